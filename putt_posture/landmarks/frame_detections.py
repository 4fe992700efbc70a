"""Detections of the student in the setup frames: outliers are left out, the rest become `Landmarks`.

Now and then the model finds another person or a folded-up body in one frame of a setup, and is right in the others.
Distances are in trunk lengths, so that the size of the picture does not matter.
"""

from collections.abc import Sequence
from typing import Final

import cv2
import numpy as np
from attrs import evolve, field, frozen
from numpy.typing import NDArray

from putt_posture.landmarks.crops import Box
from putt_posture.landmarks.person import Person
from putt_posture.landmarks.swaps import correct_swaps
from putt_posture.values import LANDMARK_INDEX, Clip, Floats, Landmarks

__all__ = ["ConsistentDetections", "FrameDetection", "combine_detections", "drop_outlying_detections"]

ODD: Final = 0.25
"""A detection whose joints are this far from their median, on average, shows another pose or another person; at address
the scatter from frame to frame is a tenth of this (judged)."""
OTHER_SIZE: Final = 1.35
"""A detection whose trunk is longer or shorter than the median by this factor does too."""
ENOUGH: Final = 3
"""With fewer detections it is not clear which one is the outlier."""
MOVED: Final = 0.2
"""A trunk that moves this far during a setup, 10 cm, is not at rest; before a stroke it sways by 3 cm."""
_JOINTS: Final = [
    LANDMARK_INDEX[f"{side}_{part}"]
    for side in ("left", "right")
    for part in ("shoulder", "elbow", "wrist", "hip", "knee", "ankle")
]


@frozen(kw_only=True, eq=False)
class FrameDetection:
    """The student in one frame.

    Attributes
    ----------
    time_s : float
        Clip time, seconds.
    setup : int
        Which setup the frame belongs to.
    box : (int, int, int, int)
        The crop that was searched; see `trimmed`.
    person : Person or None
        Points in the full-size picture, mask in the box; None where the student was not found.
    outline : (h, w) uint8 or None
        The person's mask refined on the picture; None where it was not refined.
    """

    time_s: float
    setup: int
    box: Box
    person: Person | None = field(repr=False)
    outline: NDArray[np.uint8] | None = field(default=None, repr=False)

    def trimmed(self) -> "FrameDetection":
        """Return the detection with box, mask and outline cut to the person, so that many take little memory."""
        if self.person is None or self.person.mask is None:
            return self
        mask = self.person.mask
        outline = mask if self.outline is None else self.outline
        left, top, wide, high = cv2.boundingRect(mask | outline)
        if not wide:
            return self
        u0, v0, _, _ = self.box
        left, top, right, bottom = (
            max(left - _RIM, 0),
            max(top - _RIM, 0),
            min(left + wide + _RIM, mask.shape[1]),
            min(top + high + _RIM, mask.shape[0]),
        )
        part = np.s_[top:bottom, left:right]
        return evolve(
            self,
            box=(u0 + left, v0 + top, u0 + right, v0 + bottom),
            person=evolve(self.person, mask=mask[part].copy()),
            outline=outline[part].copy(),
        )


@frozen(kw_only=True, eq=False)
class ConsistentDetections:
    """The detections that are kept.

    Attributes
    ----------
    looks : tuple of FrameDetection
        In order; all with the student in them.
    notes : tuple of str
        What was left out, and where the student moved.
    """

    looks: tuple[FrameDetection, ...]
    notes: tuple[str, ...] = ()


_RIM: Final = 2
"""Pixels of background left around the person, so that the edge is complete."""
_ENDS: Final = {
    "feet": ("heel", "foot_index", "ankle"),
    "hands": ("wrist", "index", "pinky"),
    "head": ("ear", "eye"),
}


def drop_outlying_detections(looks: Sequence[FrameDetection]) -> ConsistentDetections:
    """Leave out the outliers among the detections of each setup, and report a student who moved.

    Parameters
    ----------
    looks : sequence of FrameDetection
        Of any setups, in order; the student is in each.
    """
    kept: list[FrameDetection] = []
    notes: list[str] = []
    for setup in dict.fromkeys(look.setup for look in looks):
        of_setup = [look for look in looks if look.setup == setup]
        odd = _odd([look.person for look in of_setup if look.person is not None])
        when = f"the setup at {of_setup[len(of_setup) // 2].time_s:.1f} s"
        if odd.any() and 2 * odd.sum() >= len(of_setup):
            notes.append(
                f"The looks at {when} do not agree with each other, so its numbers cannot be trusted. Give the time of "
                "a still moment with --setup-at, or a point on the student with --student-at."
            )
            odd[:] = False
        elif odd.any():
            notes.append(
                f"In {int(odd.sum())} of {len(of_setup)} frames of {when} another pose or another person was seen; "
                f"{'it was' if odd.sum() == 1 else 'they were'} left out."
            )
        rest = [look for look, out in zip(of_setup, odd, strict=True) if not out]
        kept += rest
        notes += _say_moved([look.person for look in rest if look.person is not None], when)
    return ConsistentDetections(looks=tuple(kept), notes=tuple(notes))


def combine_detections(found: Sequence[FrameDetection], *, clip: Clip, model: str, missed: int) -> Landmarks:
    """Combine the detections of a clip into one value.

    Parameters
    ----------
    found : sequence of FrameDetection
        Detections of the student, at least one.
    clip : Clip
    model : str
        Name and digest of the weights.
    missed : int
        In how many frames the student was not found.

    Returns
    -------
    Landmarks
        Points outside the picture are NaN; the masks share one box that holds all crops.
    """
    boxes = np.array([look.box for look in found])
    u0, v0 = (int(edge) for edge in boxes[:, :2].min(axis=0))
    u1, v1 = (int(edge) for edge in boxes[:, 2:].max(axis=0))
    masks = np.zeros((len(found), v1 - v0, u1 - u0), dtype=np.uint8)
    outlines = np.zeros_like(masks)
    for row, look in enumerate(found):
        if look.person is not None and look.person.mask is not None:
            left, top, right, bottom = look.box
            part = np.s_[row, top - v0 : bottom - v0, left - u0 : right - u0]
            masks[part] = look.person.mask
            outlines[part] = look.person.mask if look.outline is None else look.outline
    people = [look.person for look in found if look.person is not None]
    sides = correct_swaps(
        np.stack([person.points_px for person in people]),
        np.stack([person.visibility for person in people]),
        np.stack([person.depth for person in people]),
        view=clip.view,
    )
    points = sides.points_px
    outside: NDArray[np.bool_] = np.any((points < 0) | (points > (clip.width, clip.height)), axis=2)
    points[outside] = np.nan
    return Landmarks(
        view=clip.view,
        times_s=np.array([look.time_s for look in found]),
        setup_index=np.array([look.setup for look in found], dtype=np.int64),
        points_px=points,
        visibility=sides.visibility,
        depth=sides.depth,
        masks=masks,
        outlines=outlines,
        mask_box_px=(u0, v0, u1, v1),
        size_px=(clip.width, clip.height),
        model=model,
        notes=_notes(missed=missed, total=missed + len(found), corrected=sides.frames, outside=outside),
    )


def _odd(people: Sequence[Person]) -> NDArray[np.bool_]:
    """Return which detections of one setup are outliers, (N,)."""
    if len(people) < ENOUGH:
        return np.zeros(len(people), dtype=bool)
    lengths = _lengths(people)
    usual = float(np.median(lengths))
    shapes = np.stack([person.points_px[_JOINTS] - person.torso.mean(axis=0) for person in people])
    mirrored = np.roll(shapes, len(_JOINTS) // 2, axis=1)  # swapped sides are corrected later
    middle = np.median(shapes, axis=0)
    away = np.minimum(*(np.linalg.norm(one - middle, axis=2).mean(axis=1) for one in (shapes, mirrored))) / usual
    resized = np.abs(np.log(lengths / usual)) > np.log(OTHER_SIZE)
    return np.asarray((away > ODD) | resized)


def _say_moved(people: Sequence[Person], when: str) -> list[str]:
    if len(people) < 2:
        return []
    places = np.stack([person.torso.mean(axis=0) for person in people])
    gaps = np.linalg.norm(places[:, None] - places[None], axis=2)
    far_px = float(gaps.max())
    share = far_px / float(np.median(_lengths(people)))
    if share <= MOVED:
        return []
    return [
        f"The student moved by {far_px:.0f} pixels, {100 * share:.0f} % of the trunk's length, during {when}; a setup "
        "is a still moment. Give the time of one with --setup-at."
    ]


def _lengths(people: Sequence[Person]) -> Floats:
    return np.array([max(person.torso_length, 1.0) for person in people])


def _notes(*, missed: int, total: int, corrected: int, outside: NDArray[np.bool_]) -> tuple[str, ...]:
    notes = []
    if missed:
        notes.append(f"The student was not found in {missed} of {total} setup frames; they were left out.")
    if corrected:
        notes.append(f"Left and right were swapped in {corrected} setup frame{'s' * (corrected > 1)} and corrected.")
    for name, parts in _ENDS.items():
        index = [LANDMARK_INDEX[f"{side}_{part}"] for side in ("left", "right") for part in parts]
        if (cut := int(outside[:, index].any(axis=1).sum())) > 0:
            verb = "is" if name == "head" else "are"
            notes.append(f"The {name} {verb} cut off by the edge of the picture in {cut} of {total} setup frames.")
    return tuple(notes)
