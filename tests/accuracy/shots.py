"""The rendered golfers of a study folder: each shot is two stills and the truth about them.

A shot is a folder with ``dtl.png``, ``fo.png`` and ``truth.json``, as ``sample_clips/make_stills.py`` makes it. Sets
made before shots had parts and conditions can be read as well; what they do not say is `NOT_STATED`.
"""

import json
from collections.abc import Collection, Iterator, Mapping, Sequence
from pathlib import Path
from typing import Any, Final

from attrs import field, frozen

from putt_posture import Student
from putt_posture.errors import UsageError
from putt_posture.values import Given, MeasureName, View

__all__ = ["NOT_STATED", "PARTS", "SHOTS", "Shot", "read_shots"]

PARTS: Final = ("tuning", "held_out", "other_renderer", "unusual", "planted")
"""What the golfers are for: to tune on, never looked at while tuning, the same in another renderer's look, and with
grips, ages and builds that nothing was learned from, or with one planted fault (for `tests/findings`)."""

SHOTS: Final = ("usual", "hard")
"""As a careful coach films, and with the camera askew in bad light, blurred or squeezed."""

NOT_STATED: Final = "not stated"


@frozen(kw_only=True, eq=False)
class Shot:
    """One golfer filmed once from both sides.

    Attributes
    ----------
    folder : Path
    truth : mapping
        The whole of ``truth.json``.
    """

    folder: Path
    truth: Mapping[str, Any] = field(repr=False)

    @property
    def name(self) -> str:
        """The folder's name, such as ``golfer_007_hard``."""
        return self.folder.name

    @property
    def seed(self) -> int:
        """What the golfer was drawn from; the shots of one golfer share it."""
        return int(self.truth["seed"])

    @property
    def part(self) -> str:
        """One of `PARTS`."""
        return str(self.truth.get("part", NOT_STATED))

    @property
    def kind(self) -> str:
        """One of `SHOTS`."""
        return str(self.truth.get("shot", NOT_STATED))

    @property
    def student(self) -> Student:
        """The student as a coach would type them: without the putter's length."""
        told = self.truth["student"]
        return Student(stature_cm=told["stature_cm"], handed=told["handed"], sex=told["sex"])

    @property
    def measures(self) -> Mapping[MeasureName, float | None]:
        """The true measures; None where there is nothing to measure."""
        true: Mapping[MeasureName, float | None] = self.truth["measures"]
        return true

    def picture(self, view: View) -> Path:
        """Return the still of one view."""
        return self.folder / str(self.truth["views"][view]["file"])

    def given(self, view: View) -> Given:
        """Return shaft and ball as a coach without a slip of the hand would draw them."""
        at = self.truth["views"][view]["joints_px"]
        return Given(shaft_px=(_point(at["putter_butt"]), _point(at["putter_sole"])), ball_px=_point(at["ball"]))


def read_shots(
    folder: Path, *, parts: Collection[str] | None = None, kinds: Collection[str] | None = None
) -> tuple[Shot, ...]:
    """Read the shots of a study folder, by name.

    Parameters
    ----------
    folder : Path
    parts, kinds : collection of str, optional
        Keep only these of `PARTS` and `SHOTS`; by default all.

    Raises
    ------
    UsageError
        Nothing to study there.
    """
    every = tuple(_read(folder))
    if not every:
        raise UsageError(
            f"{folder} holds no shot (a folder with truth.json). Make some with sample_clips/make_stills.py."
        )
    chosen = [shot for shot in every if (parts is None or shot.part in parts) and (kinds is None or shot.kind in kinds)]
    if not chosen:
        there = ", ".join(sorted({f"{shot.part} {shot.kind}" for shot in every}))
        raise UsageError(f"None of the {len(every)} shots in {folder} is of that part and kind. There are: {there}.")
    return tuple(chosen)


def _read(folder: Path) -> Iterator[Shot]:
    for path in sorted(folder.glob("*/truth.json")):
        yield Shot(folder=path.parent, truth=json.loads(path.read_text(encoding="utf-8")))


def _point(at: Sequence[float]) -> tuple[float, float]:
    u, v = at
    return float(u), float(v)
