"""Close looks at one person in several frames, put together in the pixels of the full-size picture."""

from collections.abc import Sequence
from typing import Final

import cv2
import numpy as np
from attrs import evolve, field, frozen
from numpy.typing import NDArray

from putt_posture.landmarks.closeup import Box
from putt_posture.landmarks.person import Person
from putt_posture.landmarks.swaps import mend_swaps
from putt_posture.values import LANDMARK_INDEX, Clip, Landmarks

__all__ = ["Look", "gather_landmarks"]

_RIM: Final = 2
"""Pixels of background left round the person, so that the edge is seen to end."""


@frozen(kw_only=True, eq=False)
class Look:
    """The student in one frame.

    Attributes
    ----------
    time_s : float
        Clip time, seconds.
    setup : int
        Which setup the frame belongs to.
    box : (int, int, int, int)
        The part of the picture that was looked at; see `trimmed`.
    person : Person or None
        Points in the full-size picture, mask in the box; None where the student was not found.
    outline : (h, w) uint8 or None
        The person's mask refined on the picture; None where it was not.
    """

    time_s: float
    setup: int
    box: Box
    person: Person | None = field(repr=False)
    outline: NDArray[np.uint8] | None = field(default=None, repr=False)

    def trimmed(self) -> "Look":
        """Return the same with a box, mask and outline no larger than the person, so that many take little room."""
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


def gather_landmarks(found: Sequence[Look], *, clip: Clip, model: str, missed: int) -> Landmarks:
    """Put close looks together into one value.

    Parameters
    ----------
    found : sequence of Look
        Looks that found the student, at least one.
    clip : Clip
    model : str
        Name and digest of the weights.
    missed : int
        How many looks did not find the student.

    Returns
    -------
    Landmarks
        Points outside the picture are NaN; the masks share the box that holds all that was looked at.
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
    sides = mend_swaps(
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
        notes=_notes(missed=missed, total=missed + len(found), mended=sides.frames, outside=outside),
    )


_ENDS: Final = {
    "feet": ("heel", "foot_index", "ankle"),
    "hands": ("wrist", "index", "pinky"),
    "head": ("ear", "eye"),
}


def _notes(*, missed: int, total: int, mended: int, outside: NDArray[np.bool_]) -> tuple[str, ...]:
    notes = []
    if missed:
        notes.append(f"The student was not found in {missed} of {total} setup frames; they were left out.")
    if mended:
        notes.append(
            f"Left and right were taken for each other in {mended} setup frame{'s' * (mended > 1)} and put back."
        )
    for name, parts in _ENDS.items():
        index = [LANDMARK_INDEX[f"{side}_{part}"] for side in ("left", "right") for part in parts]
        if (cut := int(outside[:, index].any(axis=1).sum())) > 0:
            verb = "is" if name == "head" else "are"
            notes.append(f"The {name} {verb} cut off by the edge of the picture in {cut} of {total} setup frames.")
    return tuple(notes)
