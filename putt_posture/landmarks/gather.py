"""Close looks at one person in several frames, put together in the pixels of the full-size picture."""

from collections.abc import Sequence

import numpy as np
from attrs import field, frozen

from putt_posture.landmarks.closeup import Box
from putt_posture.landmarks.person import Person
from putt_posture.values import Clip, Landmarks

__all__ = ["Look", "gather_landmarks"]


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
        The part of the picture that was looked at.
    person : Person or None
        Points in the full-size picture, mask in the box; None where the student was not found.
    """

    time_s: float
    setup: int
    box: Box
    person: Person | None = field(repr=False)


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
    for row, look in enumerate(found):
        if look.person is not None and look.person.mask is not None:
            left, top, right, bottom = look.box
            masks[row, top - v0 : bottom - v0, left - u0 : right - u0] = look.person.mask
    people = [look.person for look in found if look.person is not None]
    points = np.stack([person.points_px for person in people])
    outside = ~((points >= 0) & (points <= (clip.width - 1, clip.height - 1))).all(axis=2)
    points[outside] = np.nan
    notes = []
    if missed:
        total = missed + len(found)
        notes.append(f"The student was not found in {missed} of {total} setup frames; they were left out.")
    return Landmarks(
        view=clip.view,
        times_s=np.array([look.time_s for look in found]),
        setup_index=np.array([look.setup for look in found], dtype=np.int64),
        points_px=points,
        visibility=np.stack([person.visibility for person in people]),
        depth=np.stack([person.depth for person in people]),
        masks=masks,
        mask_box_px=(u0, v0, u1, v1),
        size_px=(clip.width, clip.height),
        model=model,
        notes=tuple(notes),
    )
