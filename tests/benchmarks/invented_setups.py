"""Setups of nobody: the measures of lesson after lesson, with faults that were mended and came back, or did not.

What is usual, and what the uncertainty of each measure is made of, is near to what the program finds on the sample
clips; the people and their faults are drawn.
"""

import math
from collections.abc import Sequence
from typing import Any

import numpy as np

from putt_posture.measures import MEASURES
from putt_posture.values import MeasureName, Moment

__all__ = ["METHOD_VERSION", "Setups"]

METHOD_VERSION = "putt_posture 0.1.0; pose_large b6bb6ccb69ae"

_CAUSES = ("joints", "measure itself", "scatter of the frames", "camera roll", "scale", "ground", "camera off square")
_FOUND = {"eye_offset": "ball found in the picture", "ball_distance": "ball found in the picture",
          "ball_position": "ball found in the picture", "head_position": "ball found in the picture",
          "shaft_lie": "shaft found in the picture", "shaft_lean": "shaft found in the picture",
          "putter_length": "ends of the putter", "back_rounding": "outline of the back",
          "elbow_depth": "depth of the trunk", "elbow_gap_lead": "trunk and depth of the arm",
          "elbow_gap_trail": "trunk and depth of the arm"}  # fmt: skip
_USUAL: dict[MeasureName, tuple[float, float, tuple[float, ...]]] = {
    # mean, how much people differ, uncertainty by cause in the order of _CAUSES with that of _FOUND last
    "spine_tilt": (37, 4, (1.7, 0.3, 0.2, 0.25, 0, 0, 0.1)),
    "back_rounding": (22, 5, (0, 4.3, 0.2, 0, 0, 0, 0, 3.2)),
    "head_drop": (19, 4, (3.9, 0.3, 0.3, 0, 0, 0, 0.2)),
    "knee_flex": (15, 4, (1.6, 0.3, 0.2, 0, 0, 0, 0.1)),
    "elbow_bend_lead": (24, 5, (2.1, 5.0, 0.3, 0, 0.05, 0, 0.2)),
    "elbow_bend_trail": (22, 5, (2.1, 4.5, 0.3, 0, 0.1, 0, 0.2)),
    "hand_offset": (1, 2, (1.4, 0.2, 0.05, 0.24, 0.15, 0, 0.1)),
    "hand_height": (72, 4, (0.9, 0.2, 0.05, 0.1, 1.3, 1.0, 0.02)),
    "elbow_gap_lead": (4, 2, (0.35, 1.2, 0.05, 0.02, 0.4, 0, 0.2, 2.2)),
    "elbow_gap_trail": (4, 2, (0.3, 1.2, 0.05, 0.02, 0.3, 0, 0.2, 2.3)),
    "elbow_depth": (1, 2, (1.1, 0.6, 0.05, 0, 0.3, 0, 0.6, 1.6)),
    "eye_offset": (-2, 3, (0.55, 0.2, 0.06, 0.6, 0.2, 0, 0.3, 0.3)),
    "ball_distance": (27, 3, (0.8, 0.2, 0.2, 0.01, 0.5, 0, 0.4, 0.3)),
    "balance": (56, 5, (2.4, 6.0, 0.3, 1.4, 0, 0, 0.2)),
    "shaft_lie": (71, 2, (0, 0.4, 0, 0.25, 0, 0, 0.05, 0.35)),
    "putter_length": (86, 3, (0, 0.8, 0, 0, 1.7, 0, 0.4, 1.1)),
    "stance_width": (30, 4, (0.5, 0.2, 0.05, 0, 0.9, 0, 0.03)),
    "ball_position": (4, 2, (0.15, 0.2, 0.03, 0.05, 0.15, 0, 1.5, 0.3)),
    "shoulder_level": (3, 2, (0.8, 0.2, 0.1, 0.25, 0, 0, 0.2)),
    "side_bend": (0, 1.5, (0.6, 0.2, 0.07, 0.25, 0.02, 0, 0.8)),
    "head_position": (-3, 2, (0.25, 0.2, 0.03, 0.6, 0.1, 0, 0.4, 0.3)),
    "shaft_lean": (0, 1.5, (0, 0.5, 0, 0.25, 0.02, 0, 0.6, 0.25)),
    "sideways_balance": (53, 3, (0.6, 3.0, 0.1, 1.2, 0.02, 0, 0.7)),
}
_FLOORS = {"elbow_gap_lead": 0.0, "elbow_gap_trail": 0.0}
_ABSENT = "The ball was not found in the picture. Leave nothing else that is round and white near the feet."
_SCATTER = _CAUSES.index("scatter of the frames")
_DRIFTING = 0.35
"""How often a check finds some of the faults back."""


class Setups:
    """Draws the measures of one student's lessons after the other.

    Parameters
    ----------
    rng : numpy.random.Generator
    """

    def __init__(self, rng: np.random.Generator) -> None:
        self._rng = rng
        self._names = list(MEASURES)
        self._causes = [[*_CAUSES, _FOUND[name]] if name in _FOUND else list(_CAUSES) for name in self._names]
        self._mean = np.array([_USUAL[name][0] for name in self._names], dtype=float)
        self._differ = np.array([_USUAL[name][1] for name in self._names], dtype=float)
        self._budget = np.array([(*_USUAL[name][2], 0.0)[:8] for name in self._names], dtype=float)
        self._views = [MEASURES[name].views[-1] for name in self._names]
        self._methods = [f"landmarks of {name.replace('_', ' ')}, as found in the picture" for name in self._names]

    def draw(self, moments: Sequence[Moment], setups: Sequence[int]) -> list[list[dict[str, Any]]]:
        """Return the columns of ``measures`` but for the lesson's number, a list for each lesson.

        Parameters
        ----------
        moments : sequence of Moment
            Of the lessons, in the order of time.
        setups : sequence of int
            How many setups were measured in each.
        """
        own = self._mean + self._differ * self._rng.standard_normal(len(self._names))
        faults, kept = np.zeros_like(own), np.zeros_like(own)
        lessons = []
        for moment, repeats in zip(moments, setups, strict=True):
            if moment == "before":
                faults = self._draw_faults()
                kept = faults
            elif moment == "after":
                kept = 0.1 * faults
            elif self._rng.random() < _DRIFTING:
                kept = np.where(self._rng.random(len(own)) < 0.7, 0.9 * faults, kept)
            lessons.append(self._measure(own + kept, repeats))
        return lessons

    def _draw_faults(self) -> np.ndarray:
        """Return what is off, some measures by several times their uncertainty."""
        sizes = np.sqrt((self._budget**2).sum(axis=1)) * self._rng.uniform(3, 7, len(self._names))
        signs = self._rng.choice([-1.0, 1.0], len(self._names))
        return sizes * signs * (self._rng.random(len(self._names)) < 0.25)

    def _measure(self, truth: np.ndarray, setups: int) -> list[dict[str, Any]]:
        budget = self._budget * self._rng.lognormal(0, 0.15, self._budget.shape)
        found = truth + 0.4 * np.sqrt((budget**2).sum(axis=1)) * self._rng.standard_normal(len(truth))
        scatter = self._rng.standard_normal((len(truth), setups)) * budget[:, [_SCATTER]]
        scatter -= scatter.mean(axis=1, keepdims=True)
        absent = self._rng.random(len(truth)) < 0.02
        raw = found + self._rng.normal(0, 3, len(truth))
        rows = []
        for at, name in enumerate(self._names):
            seen = not absent[at]
            floor = _FLOORS.get(name)
            value = float(found[at]) if floor is None else max(float(found[at]), floor)
            causes = dict(zip(self._causes[at], budget[at].tolist(), strict=False))
            rows.append(
                {
                    "name": name,
                    "value": value if seen else None,
                    "standard_uncertainty": math.hypot(*causes.values()) if seen else None,
                    "unit": MEASURES[name].unit,
                    "view": self._views[at],
                    "frames": 5 * setups if seen else 0,
                    "method": self._methods[at],
                    "method_version": METHOD_VERSION,
                    "absent": None if seen else _ABSENT,
                    "floor": floor if seen else None,
                    "raw_value": float(raw[at]) if seen else None,
                    "budget": causes if seen else {},
                    "repeats": (value + scatter[at]).tolist() if seen else [],
                }
            )
        return rows
