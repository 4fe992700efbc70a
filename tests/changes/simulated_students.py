"""Students whose setup is known and whose lessons are drawn with the errors that the budgets say.

The budgets are those of a lesson that the program measured (`typical_lesson.json`, the sample clip `before`, its scale
from the stature). Each cause of error is drawn for each lesson, in part the same in all lessons of a student
(`SHARES`); each setup is addressed anew with a scatter of its own.
"""

import json
import math
from collections.abc import Mapping
from datetime import date, timedelta
from functools import cache
from pathlib import Path
from typing import Final

import numpy as np
from attrs import frozen

from putt_posture.measures import MEASURES
from putt_posture.values import Estimate, History, Measured, MeasureName, Student, Visit

__all__ = ["NAMES", "SHARES", "Draw", "Sharing", "draw_history", "keep_typical_lesson"]

TYPICAL: Final = Path(__file__).parent / "typical_lesson.json"
LESSON: Final = json.loads(TYPICAL.read_text(encoding="utf-8")) if TYPICAL.exists() else {}
NAMES: Final[tuple[MeasureName, ...]] = tuple(name for name in MEASURES if name in LESSON)
STUDENT: Final = Student(stature_cm=173.0, handed="right", sex="male")
MODEL: Final = "pose_large"
TOGETHER: Final = {
    ("spine_tilt", "hand_offset"): -0.71, ("shaft_lie", "eye_offset"): 0.80, ("putter_length", "hand_height"): 0.58,
}  # fmt: skip
"""Errors of two measures of one lesson that go together (DEVELOPERS.md, the tuning part's usual shots)."""
SUGGESTED_U_CM: Final = 1.6
"""A usual standard uncertainty of a suggested length."""


@frozen(kw_only=True)
class Sharing:
    """How far the errors of two lessons of one student go together, by cause, 0 to 1."""

    joints: float
    scale: float
    constants: float

    def of(self, cause: str, name: MeasureName) -> float:
        """Return the share of one cause for one measure."""
        unit, views = MEASURES[name].unit, MEASURES[name].views
        if cause == "scale":
            return self.scale if unit == "cm" and views[0] == "down_the_line" else 0.0
        return {"joints": self.joints, "renders are not people": self.constants}.get(cause, 0.0)


SHARES: Final[Mapping[str, Sharing]] = {
    "as assumed": Sharing(joints=0.0, scale=0.0, constants=0.9),
    "as in two shots": Sharing(joints=0.25, scale=0.35, constants=0.9),
    "twice that": Sharing(joints=0.5, scale=0.7, constants=1.0),
    "none at all": Sharing(joints=0.0, scale=0.0, constants=0.0),
}
"""``as assumed``: what `putt_posture.changes.change` counts, and 0 for the rest; ``as in two shots``: with what two
shots of one body were measured to share (tests/accuracy/joint_sharing.py); ``none at all``: even what the landmarks
miss alike on everybody drawn anew for each lesson, which is against its nature."""


@frozen(kw_only=True)
class Draw:
    """How lessons are drawn.

    Attributes
    ----------
    setups : int
        In each lesson.
    sharing : Sharing
    scatter : float
        From one setup to the next, as a share of what is judged (`Measure.scatter_sd`).
    """

    setups: int
    sharing: Sharing
    scatter: float


def draw_history(
    drawn: np.random.Generator, how: Draw, truths: list[Mapping[MeasureName, float]], moments: list[str]
) -> History:
    """Draw one student's lessons.

    Parameters
    ----------
    drawn : Generator
    how : Draw
    truths : list of mapping
        For each lesson how far each measure truly is from that of the first; a name that is missing stays.
    moments : list of Moment
    """
    errors = _draw_errors(drawn, how.sharing, len(truths))
    visits = []
    for place, (truth, moment) in enumerate(zip(truths, moments, strict=True)):
        anew = drawn.standard_normal((how.setups, len(NAMES))) * JUDGED * how.scatter
        values = np.array([LESSON[name]["value"] + truth.get(name, 0.0) for name in NAMES]) + errors[place] + anew
        measures = _estimates(values)
        suggested = LESSON["suggested_cm"] + SUGGESTED_U_CM * float(drawn.standard_normal())
        visits.append(
            Visit(
                lesson=place + 1, day=date(2026, 1, 1) + timedelta(weeks=6 * place), moment=moment,
                measured=_measured(measures), putter_in_use_cm=None,
                suggested=Estimate(value=suggested, standard_uncertainty=SUGGESTED_U_CM, unit="cm"),
            )
        )  # fmt: skip
    return History(name="Nobody Real", visits=tuple(visits))


def _draw_errors(drawn: np.random.Generator, sharing: Sharing, lessons: int) -> np.ndarray:
    """Return the errors of all causes, (lessons, measures)."""
    total = np.zeros((lessons, len(NAMES)))
    for u, share in _shares(sharing):
        own, common = (drawn.standard_normal((rows, len(NAMES))) @ ROOT.T for rows in (lessons, 1))
        total += u * (np.sqrt(share) * common + np.sqrt(1 - share) * own)
    return total


@cache
def _shares(sharing: Sharing) -> list[tuple[np.ndarray, np.ndarray]]:
    """Return for each cause its standard uncertainty in each measure, and the share of it that two lessons share."""
    return [
        (
            np.array([LESSON[name]["budget"].get(cause, 0.0) for name in NAMES]),
            np.array([sharing.of(cause, name) for name in NAMES]),
        )
        for cause in CAUSES
    ]


def _estimates(values: np.ndarray) -> dict[MeasureName, Estimate]:
    """Return the measures of one lesson as `putt_posture.posture.budget` would join its setups, (setups, measures)."""
    means = np.mean(values, axis=0).tolist()
    scatters = (
        (np.std(values, ddof=1, axis=0) / np.sqrt(len(values))).tolist() if len(values) > 1 else [0.0] * len(NAMES)
    )
    setups = list(zip(*values.tolist(), strict=True))
    found = {}
    for at, name in enumerate(NAMES):
        told = LESSON[name]
        budget = dict(told["budget"])
        budget[SCATTER] = math.hypot(budget[SCATTER], scatters[at])
        found[name] = Estimate(
            value=means[at], standard_uncertainty=math.hypot(*budget.values()), unit=MEASURES[name].unit,
            view=told["view"], budget=budget, repeats=setups[at],
        )  # fmt: skip
    return found


def _measured(measures: Mapping[MeasureName, Estimate]) -> Measured:
    return Measured(
        measures=measures, scale_sources={"down_the_line": "stature", "face_on": "other_view"},
        landmark_models={"down_the_line": MODEL, "face_on": MODEL}, student=STUDENT,
    )  # fmt: skip


def keep_typical_lesson(document: Path) -> None:
    """Keep of a ``measures.json`` what the simulation needs."""
    whole = json.loads(document.read_text(encoding="utf-8"))
    kept: dict[str, object] = {
        name: {
            "value": round(each["value"], 2),
            "view": each["view"],
            "budget": {cause: round(u, 3) for cause, u in each["budget"].items()},
        }
        for name, each in whole["measures"].items()
        if each["absent"] is None
    }
    kept["suggested_cm"] = round(whole["fit"]["putter_length"]["value"], 1)
    TYPICAL.write_text(json.dumps(kept, indent=1) + "\n", encoding="utf-8")


def _root() -> np.ndarray:
    """Return the root of the correlations between measures, (measures, measures)."""
    matrix = np.eye(len(NAMES))
    for (one, two), correlation in TOGETHER.items():
        if one in NAMES and two in NAMES:
            a, b = NAMES.index(one), NAMES.index(two)
            matrix[a, b] = matrix[b, a] = correlation
    return np.linalg.cholesky(matrix)


SCATTER: Final = "scatter of the frames"
CAUSES: Final = tuple(dict.fromkeys(cause for name in NAMES for cause in LESSON[name]["budget"] if cause != SCATTER))
ROOT: Final = _root()
JUDGED: Final = np.array([MEASURES[name].scatter_sd or 0.0 for name in NAMES])
"""How far each measure is judged to scatter from one setup to the next."""
