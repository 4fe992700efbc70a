"""The rendered strokes of a study folder: each take is two clips of one performance, and the truth about every frame.

A take is a folder with two clips, an archive of places beside each, and ``truth.json``, as
``sample_clips/make_strokes.py`` makes it. Truth has the names, signs and units of the measures of a stroke; times are
clip seconds of the view that is asked for.
"""

import json
from collections.abc import Collection, Mapping, Sequence
from pathlib import Path
from typing import Any, Final

import numpy as np
from attrs import field, frozen

from putt_posture import Student
from putt_posture.errors import UsageError
from putt_posture.values import STROKE_EVENTS, Floats, StrokeEvent, View

__all__ = ["ADDRESS_S", "Take", "TrueStroke", "read_takes"]

ADDRESS_S: Final = 0.4
"""The true place at address is the mean over so long before the start, as the measures have it: the body sways."""
_MARKED_AHEAD_M: Final = (0.3, 1.5)
"""Where a coach marks the target line, ahead of the ball."""
_MOST_PLACES: Final = 600
_BODY: Final[Mapping[str, tuple[str, ...]]] = {
    "head": ("left_ear", "right_ear"),
    "sternum": ("left_shoulder", "right_shoulder"),
    "hips": ("left_hip", "right_hip"),
    "knees": ("left_knee", "right_knee"),
    "hands": ("hand_centre",),
    "putter_head": ("putter_sole",),
}


@frozen(kw_only=True, eq=False)
class TrueStroke:
    """One stroke as it was made.

    Attributes
    ----------
    kind : str
        ``putt`` or ``practice``.
    events : mapping of StrokeEvent to float
        Clip times, s.
    numbers : mapping of str to float
        By the names of the measures, NaN where there is nothing to measure.
    times_s : (N,)
        Clip times from the address to the end of the clip.
    moved_cm : mapping of str to (N, 3)
        Away from address along (+ toward the target), across (+ toward the ball) and up, by the name of the point.
    """

    kind: str
    events: Mapping[StrokeEvent, float]
    numbers: Mapping[str, float] = field(repr=False)
    times_s: Floats = field(repr=False)
    moved_cm: Mapping[str, Floats] = field(repr=False)


@frozen(kw_only=True, eq=False)
class Take:
    """One golfer filmed from both sides.

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
        """The folder's name, such as ``stroke_048``."""
        return self.folder.name

    @property
    def student(self) -> Student:
        """The student as a coach would type them: without the putter's length."""
        told = self.truth["student"]
        return Student(stature_cm=told["stature_cm"], handed=told["handed"], sex=told["sex"])

    @property
    def is_shaken(self) -> bool:
        """Whether the cameras were held by hand."""
        return any(view["shaken"] for view in self.truth["views"].values())

    def clip(self, view: View) -> Path:
        """Return the clip of one view."""
        return self.folder / str(self.truth["views"][view]["file"])

    def starts_s(self, view: View) -> float:
        """Return when the camera of a view starts, seconds of the performance."""
        return float(self.truth["views"][view]["starts_s"])

    def target_px(self) -> tuple[tuple[float, float], tuple[float, float]]:
        """Return two points of the ground on the target line as a coach marks them down the line, whole pixels.

        The camera is known from the places and pixels of all that was filmed (direct linear transform: Abdel-Aziz and
        Karara 1971, from memory).
        """
        told = np.load(self.folder / "down_the_line.npz")
        places, pixels = told["place_m"].reshape(-1, 3).astype(float), told["place_px"].reshape(-1, 2).astype(float)
        known = np.isfinite(places).all(axis=1) & np.isfinite(pixels).all(axis=1)
        camera = _find_camera(places[known], pixels[known])
        ball = places.reshape(len(told["times_s"]), -1, 3)[0, list(told["names"]).index("ball")]
        ends = np.array([[ball[0] + ahead, ball[1], 0.0, 1.0] for ahead in _MARKED_AHEAD_M]) @ camera.T
        (u0, v0), (u1, v1) = np.round(ends[:, :2] / ends[:, 2:]).tolist()
        return (u0, v0), (u1, v1)

    def quiet_s(self, view: View) -> list[tuple[float, float]]:
        """Return the true quiet address before each putt, clip times."""
        shift = self.starts_s(view)
        spans = zip(self.truth["quiet_s"], self.truth["strokes"], strict=True)
        return [(low - shift, high - shift) for (low, high), stroke in spans if stroke["kind"] == "putt"]

    def strokes(self, view: View) -> list[TrueStroke]:
        """Return the strokes of a clip in order."""
        places = np.load(self.folder / f"{view}.npz")
        return [self._stroke(told, places, view) for told in self.truth["strokes"]]

    def _stroke(self, told: Mapping[str, Any], places: Mapping[str, Any], view: View) -> TrueStroke:
        events: dict[StrokeEvent, float] = {
            name: float(told[f"{name}_s"]) - self.starts_s(view) for name in STROKE_EVENTS
        }
        times = np.asarray(places["times_s"], dtype=float)
        at = {str(name): 100 * np.asarray(places["place_m"][:, k], float) for k, name in enumerate(places["names"])}
        still = (times >= events["start"] - ADDRESS_S) & (times <= events["start"])
        moved = {}
        for name, parts in _BODY.items():
            place = np.mean([at[part] for part in parts], axis=0)
            moved[name] = place - place[still].mean(axis=0)
        return TrueStroke(
            kind=told["kind"],
            events=events,
            numbers=self._numbers(told, events, times, moved),
            times_s=times,
            moved_cm=moved,
        )

    def _numbers(
        self,
        told: Mapping[str, Any],
        events: Mapping[StrokeEvent, float],
        times: Floats,
        moved: Mapping[str, Floats],
    ) -> dict[str, float]:
        """Return the true numbers; those at events from the exact moments, the largest ones from the frames."""
        at = {
            name: {n: 100 * np.array(p) for n, p in told["at_events"][name]["place_m"].items()}
            for name in STROKE_EVENTS
        }
        numbers = {
            "backswing_time": told["top_s"] - told["start_s"],
            "through_time": told["impact_s"] - told["top_s"],
            "follow_time": told["finish_s"] - told["impact_s"],
            "tempo_ratio": told["ratio"],
            "start_direction": np.nan if told["start_direction_deg"] is None else told["start_direction_deg"],
        }
        for name, point in (("hands", "hand_centre"), ("putter", "putter_sole")):
            back = at["top"][point] - at["start"][point]
            through = at["finish"][point] - at["impact"][point]
            numbers[f"{name}_back"] = abs(back[0])
            numbers[f"{name}_through"] = abs(through[0])
            numbers[f"{name}_sideways_back"] = back[1]
            numbers[f"{name}_sideways_through"] = (at["finish"][point] - at["start"][point])[1]
            numbers[f"{name}_rise_back"] = back[2]
            numbers[f"{name}_rise_through"] = through[2]
        inside = (times >= events["start"]) & (times <= events["impact"])
        for name in ("head", "sternum", "hips", "knees"):
            for way, axis in (("along", 0), ("across", 1), ("up", 2)):
                series = moved[name][inside, axis]
                numbers[f"{name}_{way}"] = float(series[np.argmax(np.abs(series))]) if len(series) else np.nan
        lead = "left" if self.truth["student"]["handed"] == "right" else "right"
        numbers["tilt_change"] = _tilt(at["impact"]) - _tilt(at["start"])
        numbers["wrist_change"] = _wrist(at["impact"], lead) - _wrist(at["start"], lead)
        for word in ("lead", "trail"):
            gaps = [max(told["at_events"][name]["elbow_clearance_cm"][word], 0.0) for name in ("start", "impact")]
            numbers[f"elbow_gap_change_{word}"] = gaps[1] - gaps[0]
        return numbers


def read_takes(folder: Path, *, parts: Collection[str] | None = None) -> tuple[Take, ...]:
    """Read the takes of a study folder, by name.

    Parameters
    ----------
    folder : Path
    parts : collection of str, optional
        Keep only these of ``tuning`` and ``held_out``; by default all.

    Raises
    ------
    UsageError
        Nothing to study there.
    """
    every = [
        Take(folder=path.parent, truth=json.loads(path.read_text(encoding="utf-8")))
        for path in sorted(folder.glob("*/truth.json"))
    ]
    chosen = tuple(take for take in every if parts is None or take.truth["part"] in parts)
    if not chosen:
        raise UsageError(
            f"{folder} holds {len(every)} takes, none of them of that part (a take is a folder with truth.json and two "
            "clips). Make some with sample_clips/make_strokes.py."
        )
    return chosen


def _find_camera(places: Floats, pixels: Floats) -> Floats:
    """Return the (3, 4) matrix that takes places to pixels, of least algebraic error."""
    every = max(len(places) // _MOST_PLACES, 1)
    places, pixels = places[::every], pixels[::every]
    middle, spread = pixels.mean(axis=0), float(pixels.std())
    shown = (pixels - middle) / spread
    whole = np.column_stack([places, np.ones(len(places))])
    nothing = np.zeros_like(whole)
    rows = np.concatenate([
        np.hstack([whole, nothing, -shown[:, :1] * whole]),
        np.hstack([nothing, whole, -shown[:, 1:] * whole]),
    ])  # fmt: skip
    matrix = np.linalg.svd(rows, full_matrices=False)[2][-1].reshape(3, 4)
    back = np.array([[spread, 0.0, middle[0]], [0.0, spread, middle[1]], [0.0, 0.0, 1.0]])
    return np.asarray(back @ matrix)


def _tilt(at: Mapping[str, Floats]) -> float:
    """Lean of the line from mid-hip to mid-shoulder toward the ball, degrees."""
    spine = _middle(at, "shoulder") - _middle(at, "hip")
    return float(np.degrees(np.arctan2(spine[1], spine[2])))


def _wrist(at: Mapping[str, Floats], side: str) -> float:
    """Bend of a wrist as seen face on, degrees, + = bent back where it is the lead wrist.

    From elbow to wrist, and from wrist to between the knuckles of index and little finger; the back of the lead hand
    looks toward the target.
    """
    forearm = at[f"{side}_wrist"] - at[f"{side}_elbow"]
    hand = (at[f"{side}_index"] + at[f"{side}_little"]) / 2 - at[f"{side}_wrist"]
    across = forearm[0] * hand[2] - forearm[2] * hand[0]
    return float(np.degrees(np.arctan2(across, forearm[0] * hand[0] + forearm[2] * hand[2])))


def _middle(at: Mapping[str, Floats], name: str) -> Floats:
    pair: Sequence[Floats] = (at[f"left_{name}"], at[f"right_{name}"])
    return np.asarray((pair[0] + pair[1]) / 2)
