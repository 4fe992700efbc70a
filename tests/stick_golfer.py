"""A jointed stick golfer in space, seen by a pinhole camera: landmarks whose truth is known by construction.

World axes as in the program: x toward the target, y toward the ball, z up, centimetres. Numbers are made up.
"""

import math

import numpy as np
from attrs import evolve, frozen

from putt_posture.values import (
    LANDMARK_INDEX,
    LANDMARK_NAMES,
    Clip,
    Estimate,
    Frame,
    Landmarks,
    Scene,
    Setup,
    Student,
    View,
    ViewResult,
)

SIZE = (1080, 1920)


@frozen(kw_only=True)
class Golfer:
    """A wanted setup, degrees and centimetres; hips stand over the ankles."""

    tilt_deg: float = 35.0
    head_drop_deg: float = 30.0
    knee_flex_deg: float = 20.0
    hand_offset_cm: float = 4.0
    hand_height_cm: float = 72.0
    side_bend_deg: float = 0.0
    stance_cm: float = 30.0
    trunk_cm: float = 50.0
    left_handed: bool = False

    def joints(self) -> dict[str, np.ndarray]:
        """Return every landmark in space, (3,) cm; lead is toward +x."""
        shank, thigh = 41.0, 43.0
        half = math.radians(self.knee_flex_deg / 2)
        ankle = np.array([0.0, 0.0, 9.0])
        knee = ankle + shank * np.array([0.0, math.sin(half), math.cos(half)])
        hip = knee + thigh * np.array([0.0, -math.sin(half), math.cos(half)])
        tilt, side = math.radians(self.tilt_deg), math.radians(self.side_bend_deg)
        up = self.trunk_cm * math.cos(tilt)
        shoulder = hip + np.array([-up * math.tan(side), self.trunk_cm * math.sin(tilt), up])
        head = math.radians(self.tilt_deg + self.head_drop_deg)
        ear = shoulder + 18.0 * np.array([0.0, math.sin(head), math.cos(head)])
        hand = np.array([0.0, shoulder[1] + self.hand_offset_cm, self.hand_height_cm])
        elbow = (shoulder + hand) / 2 + np.array([0.0, -5.0, 0.0])
        middles = {
            "nose": ear + [0, 9, -6], "eye_inner": ear + [0, 8, -2], "eye": ear + [0, 8, -2],
            "eye_outer": ear + [0, 7, -2], "ear": ear, "mouth": ear + [0, 7, -9], "shoulder": shoulder,
            "elbow": elbow, "wrist": hand, "pinky": hand, "index": hand, "thumb": hand, "hip": hip, "knee": knee,
            "ankle": ankle, "heel": np.array([0.0, -5.0, 3.0]), "foot_index": np.array([0.0, 15.0, 3.0]),
        }  # fmt: skip
        half_widths = {
            "shoulder": 17.0, "elbow": 21.0, "hip": 8.5, "knee": 11.0, "ear": 7.0, "eye": 3.2, "eye_inner": 1.7,
            "eye_outer": 4.7, "mouth": 2.5,
        }  # fmt: skip
        points = {}
        for name in LANDMARK_NAMES:
            side_name = next((s for s in ("left", "right") if s in name.split("_")), None)
            part = "_".join(word for word in name.split("_") if word not in ("left", "right"))
            lead = "right" if self.left_handed else "left"
            sign = 0 if side_name is None else (1 if side_name == lead else -1)
            wide = self.stance_cm / 2 if part in ("ankle", "heel", "foot_index") else half_widths.get(part, 0.0)
            points[name] = np.asarray(middles[part], dtype=float) + np.array([sign * wide, 0.0, 0.0])
        return points


@frozen(kw_only=True)
class Camera:
    """A pinhole camera at a height, level but for its roll; yaw turns it about the golfer."""

    view: View = "down_the_line"
    distance_cm: float = 400.0
    height_cm: float = 95.0
    yaw_deg: float = 0.0
    roll_deg: float = 0.0
    focal_px: float = 1500.0

    def project(self, points: np.ndarray, *, left_handed: bool = False) -> np.ndarray:
        """Return pixels (…, 2) of points (…, 3); a left-hander's world is the mirror image."""
        x, y, z = np.moveaxis(points, -1, 0)
        if self.view == "down_the_line":
            right, toward = y, -x
        else:
            right, toward = x, y
        yaw = math.radians(self.yaw_deg)
        right, toward = right * math.cos(yaw) + toward * math.sin(yaw), toward * math.cos(yaw) - right * math.sin(yaw)
        if left_handed:
            right = -right
        size = self.focal_px / (self.distance_cm - toward)
        du, up = right * size, (z - self.height_cm) * size
        roll = math.radians(self.roll_deg)
        u = du * math.cos(roll) + up * math.sin(roll)
        v = du * math.sin(roll) - up * math.cos(roll)
        return np.stack([u + SIZE[0] / 2, v + SIZE[1] / 2], axis=-1)


def see(golfer: Golfer, camera: Camera, *, frames: int = 3, hidden: tuple[str, ...] = ()) -> Landmarks:
    """Return the landmarks of a still golfer as the camera sees them; hidden names are NaN."""
    joints = golfer.joints()
    points = camera.project(np.array([joints[name] for name in LANDMARK_NAMES]), left_handed=golfer.left_handed)
    for name in hidden:
        points[LANDMARK_INDEX[name]] = np.nan
    return Landmarks(
        view=camera.view,
        times_s=np.arange(frames) / 30,
        setup_index=np.zeros(frames, dtype=np.int64),
        points_px=np.repeat(points[None], frames, axis=0),
        visibility=np.ones((frames, 33)),
        depth=np.zeros((frames, 33)),
        masks=np.zeros((frames, 8, 8), dtype=np.uint8),
        mask_box_px=(0, 0, 8, 8),
        size_px=SIZE,
        model="stick",
    )


def scene_of(golfer: Golfer, camera: Camera, **changed: object) -> Scene:
    """Return the scene as it truly is, with small uncertainties."""

    def sure(value: float, sd: float, unit: str) -> Estimate:
        return Estimate(value=value, standard_uncertainty=sd, unit=unit, view=camera.view, frames=1, method="known")

    scale = camera.focal_px / camera.distance_cm
    ground = camera.project(np.zeros(3))[1]
    scene = Scene(
        view=camera.view,
        px_per_cm=sure(scale, 0.01 * scale, "px/cm"),
        scale_source="object",
        roll=sure(camera.roll_deg, 0.3, "deg"),
        yaw=Estimate(value=0.0, standard_uncertainty=3.0, unit="deg", view=camera.view, method="drawn"),
        forward=-1 if golfer.left_handed else 1,
        ground_v_px=sure(float(ground), 2.0, "px"),
        distance_cm=sure(camera.distance_cm, 20.0, "cm"),
    )
    return evolve(scene, **changed)  # type: ignore[arg-type]


def result_of(golfer: Golfer, camera: Camera, *, hidden: tuple[str, ...] = (), **changed: object) -> ViewResult:
    """Return a whole view result of a still golfer."""
    from pathlib import Path

    clip = Clip(path=Path("stick.png"), sha256="0" * 64, view=camera.view, kind="still", width=SIZE[0], height=SIZE[1])
    return ViewResult(
        clip=clip,
        setups=(Setup(moment_s=0.0, times_s=(0.0,), window_s=(0.0, 0.0)),),
        landmarks=see(golfer, camera, hidden=hidden),
        scene=scene_of(golfer, camera, **changed),
        still=Frame(time_s=0.0, picture=np.zeros((SIZE[1], SIZE[0], 3), dtype=np.uint8)),
    )


def student_of(golfer: Golfer, **changed: object) -> Student:
    """Return a student to go with the golfer."""
    student = Student(stature_cm=176.0, handed="left" if golfer.left_handed else "right", sex="male")
    return evolve(student, **changed)  # type: ignore[arg-type]
