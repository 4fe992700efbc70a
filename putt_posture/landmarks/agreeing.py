"""Which of the looks at one setup agree with each other, and whether the student stood still in them.

Now and then the model gives another person or a folded-up body in one frame of a setup that is right in the others.
Distances are in trunk lengths, so that the size of the picture does not matter.
"""

from collections.abc import Sequence
from typing import Final

import numpy as np
from attrs import frozen
from numpy.typing import NDArray

from putt_posture.landmarks.gather import Look
from putt_posture.landmarks.person import Person
from putt_posture.values import LANDMARK_INDEX, Floats

__all__ = ["Agreeing", "keep_agreeing"]


ODD: Final = 0.25
"""A look whose joints lie this far from their median, on average, shows another pose or somebody else: at address the
scatter from frame to frame is a tenth of it (judged)."""

OTHER_SIZE: Final = 1.35
"""So does one whose trunk is so many times as long, or as short, as the median."""

ENOUGH: Final = 3
"""In fewer looks nobody can say which one is odd."""

MOVED: Final = 0.2
"""A trunk that wanders this far while a setup lasts, 10 cm, is not at rest; before a stroke it sways by 3 cm."""

_JOINTS: Final = [
    LANDMARK_INDEX[f"{side}_{part}"]
    for side in ("left", "right")
    for part in ("shoulder", "elbow", "wrist", "hip", "knee", "ankle")
]


@frozen(kw_only=True, eq=False)
class Agreeing:
    """The looks that are kept.

    Attributes
    ----------
    looks : tuple of Look
        In order; all with the student in them.
    notes : tuple of str
        What was left out, and where the student moved.
    """

    looks: tuple[Look, ...]
    notes: tuple[str, ...] = ()


def keep_agreeing(looks: Sequence[Look]) -> Agreeing:
    """Leave out the looks of each setup that show something else than most of them, and say what moved.

    Parameters
    ----------
    looks : sequence of Look
        Of any setups, each with the student in it, in order.
    """
    kept: list[Look] = []
    notes: list[str] = []
    for setup in dict.fromkeys(look.setup for look in looks):
        of_setup = [look for look in looks if look.setup == setup]
        odd = _odd([look.person for look in of_setup if look.person is not None])
        when = f"the setup at {of_setup[len(of_setup) // 2].time_s:.1f} s"
        if odd.any() and 2 * odd.sum() >= len(of_setup):
            notes.append(
                f"The looks at {when} do not agree with each other, so its numbers are not to be trusted. Give the "
                "time of a still moment with --setup-at, or a point on the student with --student-at."
            )
            odd[:] = False
        elif odd.any():
            notes.append(
                f"In {int(odd.sum())} of {len(of_setup)} frames of {when} another pose or somebody else was seen; "
                f"{'it was' if odd.sum() == 1 else 'they were'} left out."
            )
        rest = [look for look, out in zip(of_setup, odd, strict=True) if not out]
        kept += rest
        notes += _say_moved([look.person for look in rest if look.person is not None], when)
    return Agreeing(looks=tuple(kept), notes=tuple(notes))


def _odd(people: Sequence[Person]) -> NDArray[np.bool_]:
    """Return which of the looks at one setup are unlike most of them, (N,)."""
    if len(people) < ENOUGH:
        return np.zeros(len(people), dtype=bool)
    lengths = _lengths(people)
    usual = float(np.median(lengths))
    shapes = np.stack([person.points_px[_JOINTS] - person.torso.mean(axis=0) for person in people])
    mirrored = np.roll(shapes, len(_JOINTS) // 2, axis=1)  # sides taken for each other are put back later
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
