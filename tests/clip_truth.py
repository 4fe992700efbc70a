"""Where putter, hands and ball truly are in each frame of a sample clip, in pixels.

The clips' truth holds the pose at address, how the body sways and when each stroke does what; how a stroke moves the
putter is that of `sample_clips/golfers/stroke.py`: the shoulders turn about the spine's line and carry arms and putter
along. The same formulas stand here a second time, since the renderer needs packages that the tests do not have.
"""

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import cv2
import numpy as np
from attrs import field, frozen

from putt_posture.clips import iterate_frames, read_clip
from putt_posture.values import HAND_POINTS, LANDMARK_INDEX, Estimate, Floats, Frame, Scene, View

SAMPLES = Path(__file__).parents[1] / "sample_clips"
FOLLOW, HOME_S = 1.2, 0.9
PERIODS_S = (2.7, 1.1, 3.4, 1.7)
SWING = 0.24
"""Radians that the shoulders turn back."""
BALL_SPEED, BALL_BRAKE = 1.7, 0.55
STEP_UP = {"left_hander": (0.16, 2.7, 3.5)}
"""Metres behind the address, and when the golfer steps up to it, s."""
ROLL_IN_S, ROLL_FROM_M = 1.3, np.array([0.5, 1.9, 0.0])


@frozen(kw_only=True, eq=False)
class ClipTruth:
    """One sample clip's truth; golfer frame, metres: x toward the target, y from the golfer toward the ball, z up."""

    name: str
    view: View
    truth: dict[str, Any] = field(repr=False)
    camera: tuple[Floats, Floats, Floats] = field(repr=False)

    @classmethod
    def read(cls, name: str, view: View) -> "ClipTruth":
        truth = json.loads((SAMPLES / name / "truth.json").read_text())
        shown = truth["views"][view]
        focal, (width, height) = shown["camera"]["focal_px"], shown["size_px"]
        matrix = np.array([[focal, 0, width / 2], [0, focal, height / 2], [0, 0, 1]])
        names = [each for each in shown["joints_px"] if each in truth["joints_m"] and shown["joints_px"][each]]
        sign = np.array([1.0, -1.0 if truth["student"]["handed"] == "right" else 1.0, 1.0])
        points = np.array([truth["joints_m"][each] for each in names]) * sign
        pixels = np.array([shown["joints_px"][each] for each in names])
        _, turn, shift = cv2.solvePnP(points, pixels, matrix, None, flags=cv2.SOLVEPNP_SQPNP)
        turn, shift = cv2.solvePnPRefineLM(points, pixels, matrix, None, turn, shift)
        return cls(name=name, view=view, truth=truth, camera=(turn, shift, matrix))

    def see(self, points_m: Floats) -> Floats:
        """Return golfer-frame points (…, 3) in pixels."""
        sign = np.array([1.0, -1.0 if self.truth["student"]["handed"] == "right" else 1.0, 1.0])
        turn, shift, matrix = self.camera
        seen, _ = cv2.projectPoints(points_m.reshape(-1, 3) * sign, turn, shift, matrix, None)
        return np.asarray(seen.reshape(*points_m.shape[:-1], 2))

    def scene(self, still_s: float) -> Scene:
        """Return the scene of a still as if it had been read without error but for a level camera of unknown lens."""
        shown = self.truth["views"][self.view]
        camera = shown["camera"]
        times = np.array([still_s])
        butt, sole = self.putter_px(times)[0]
        feet = np.mean(
            [self.truth["joints_m"][f"{side}_{part}"] for side in ("left", "right") for part in ("heel", "toe")], axis=0
        )
        feet[2] = 0.0

        def known(value: float, sd: float, unit: str) -> Estimate:
            return Estimate(value=value, standard_uncertainty=sd, unit=unit, view=self.view, frames=1)

        mirrored = self.truth["student"]["handed"] == "left"
        return Scene(
            view=self.view,
            px_per_cm=known(shown["px_per_cm"], 0.015 * shown["px_per_cm"], "px/cm"),
            scale_source="stature",
            roll=known(-camera["roll_deg"], 0.3, "deg"),
            yaw=known(0.0, 4.0, "deg"),
            forward=-1 if mirrored else 1,
            ground_v_px=known(float(self.see(feet)[1]), 3.0, "px"),
            distance_cm=known(100 * camera["distance_m"], 15.0, "cm"),
            shaft_px=(tuple(butt), tuple(sole)),
            shaft_source="found",
            ball_px=tuple(self.ball_px(times, putt=self.putts_before(still_s))[0]),
            ball_source="found",
        )  # fmt: skip

    def putts_before(self, time_s: float) -> int:
        """Return how many putts are over at a time."""
        return sum(each["kind"] == "putt" and each["hold_until_s"] <= time_s for each in self.strokes)

    def frames(self, start_s: float, stop_s: float) -> Iterator[Frame]:
        """Yield the clip's frames between two times."""
        [path] = (SAMPLES / self.name).glob(f"{self.view}.*")
        return iterate_frames(read_clip(path, view=self.view), start_s=start_s, stop_s=stop_s)

    def landmarks_px(self, time_s: float, noise_px: Floats) -> Floats:
        """Return the points of the hands, (33, 2), moved by noise (2,); the others are NaN."""
        points = np.full((len(LANDMARK_INDEX), 2), np.nan)
        hands = self.hands_px(np.array([time_s]))[0] + noise_px
        for side in ("left", "right"):
            for part in HAND_POINTS:
                points[LANDMARK_INDEX[f"{side}_{part}"]] = hands
        return points

    @property
    def strokes(self) -> list[dict[str, Any]]:
        """`kind`, `start_s`, `top_s`, `impact_s`, `finish_s`, `hold_until_s` of each."""
        strokes: list[dict[str, Any]] = self.truth["strokes"]
        return strokes

    def putter_m(self, times_s: Floats) -> Floats:
        """Return butt and sole, (N, 2, 3)."""
        ends = np.array([self.truth["putter_m"][end] for end in ("butt", "sole")])
        return np.stack([self._move(ends, float(time)) for time in times_s])

    def putter_px(self, times_s: Floats) -> Floats:
        """Return butt and sole, (N, 2, 2)."""
        return self.see(self.putter_m(times_s))

    def hands_px(self, times_s: Floats) -> Floats:
        """Return the hand centre, (N, 2)."""
        joints = self.truth["joints_m"]
        names = [f"{side}_{part}" for side in ("left", "right") for part in ("wrist", "index", "little")]
        centre = np.mean([joints[each] for each in names], axis=0)
        return self.see(np.stack([self._move(centre[None], float(time))[0] for time in times_s]))

    def ball_m(self, times_s: Floats, *, putt: int = 0) -> Floats:
        """Return the centre of the ball of one of the putts, (N, 3); NaN before it was rolled in."""
        putts = [each for each in self.strokes if each["kind"] == "putt"]
        impact = putts[putt]["impact_s"]
        ready = putts[putt - 1]["hold_until_s"] if putt else -np.inf
        radius = float(np.linalg.norm(np.cross(self._axis, self._ball - self._middle("shoulder"))))
        speed = BALL_SPEED * radius * SWING * np.pi / 2 / (impact - putts[putt]["top_s"])
        since = np.clip(times_s - impact, 0.0, speed / BALL_BRAKE)
        along = speed * since - BALL_BRAKE * since**2 / 2
        left = np.clip(1 - (times_s - ready) / ROLL_IN_S, 0.0, None) if putt else np.zeros_like(times_s)
        places = self._ball + along[:, None] * np.array([1.0, 0.0, 0.0]) + ROLL_FROM_M * left[:, None] ** 2
        return np.where((times_s >= ready)[:, None], places, np.nan)

    def ball_px(self, times_s: Floats, *, putt: int = 0) -> Floats:
        """Return the same in pixels, (N, 2)."""
        return self.see(self.ball_m(times_s, putt=putt))

    @property
    def _ball(self) -> Floats:
        return np.array(self.truth["ball_m"])

    def _middle(self, part: str) -> Floats:
        return np.mean([self.truth["bones_m"][f"{side}_{part}"] for side in ("left", "right")], axis=0)

    @property
    def _axis(self) -> Floats:
        spine = self._middle("shoulder") - self._middle("hip")
        return np.asarray(spine / np.linalg.norm(spine))

    def _turn_at(self, time: float) -> float:
        return sum(_turn(each, time) for each in self.strokes)

    def _sway_at(self, time: float) -> tuple[float, float]:
        sway = self.truth["sway"]
        a, b, c, d = (np.sin(2 * np.pi * time / period + k) for k, period in enumerate(PERIODS_S))
        fade = np.prod([1 - np.exp(-(((time - mark) / sway["fades_over_s"]) ** 2)) for mark in sway["nothing_at_s"]])
        forward, sideways = sway["radians"]
        return forward * (0.7 * a + 0.3 * b) * fade, sideways * (0.7 * c + 0.3 * d) * fade

    def _move(self, points: Floats, time: float) -> Floats:
        studio = np.array([1.0, -1.0, 1.0])
        shoulder, ankle, axis = self._middle("shoulder") * studio, self._middle("ankle") * studio, self._axis * studio
        rock = cv2.Rodrigues(axis * self._turn_at(time))[0]
        forward, sideways = self._sway_at(time)
        lean = cv2.Rodrigues(np.array([forward, 0, 0]))[0] @ cv2.Rodrigues(np.array([0, sideways, 0]))[0]
        rotation, shift = lean @ rock, lean @ (shoulder - rock @ shoulder - ankle) + ankle
        moved = (points * studio) @ rotation.T + shift
        if self.name in STEP_UP and time < STEP_UP[self.name][2]:
            back, start, end = STEP_UP[self.name]
            share = np.clip((time - start) / (end - start), 0, 1)
            moved = moved + np.array([0.0, back * (1 - share * share * (3 - 2 * share)), 0.0])
        return np.asarray(moved * studio)


def _turn(stroke: dict[str, Any], time: float) -> float:
    start, top, impact, finish, held = (
        stroke[f"{event}_s"] for event in ("start", "top", "impact", "finish", "hold_until")
    )
    if time <= start or time >= held + HOME_S:
        return 0.0
    if time < top:
        return -SWING * (1 - np.cos(np.pi * (time - start) / (top - start))) / 2
    if time < impact:
        return -SWING * float(np.cos(np.pi / 2 * (time - top) / (impact - top)))
    far = FOLLOW * SWING
    if time < finish:
        return far * float(np.sin(np.pi / 2 * (time - impact) / (finish - impact)))
    if time < held:
        return far
    return far * (1 + float(np.cos(np.pi * (time - held) / HOME_S))) / 2
