"""The invented lesson a while later, and views drawn on paper."""

from datetime import date

import numpy as np
from attrs import evolve
from invented import make_lesson

from putt_posture.values import LANDMARK_INDEX, Estimate, KeptView, Lesson, ViewRecord

AFTER_ON = date(2026, 7, 3)


def make_after(**changes) -> Lesson:
    """Return the lesson with more tilt, hands further in, and no shaft found."""
    lesson = make_lesson()
    estimates = dict(lesson.posture.estimates)
    for name, by in (("spine_tilt", 9.0), ("hand_offset", -7.0), ("knee_flex", 1.0)):
        estimates[name] = evolve(estimates[name], value=estimates[name].value + by)
    estimates["shaft_lie"] = estimates["putter_length"]  # absent
    estimates["shaft_lie"] = evolve(estimates["shaft_lie"], unit="deg")
    return evolve(lesson, posture=evolve(lesson.posture, estimates=estimates), **changes)


def paper_view(*, px_per_cm=5.0, roll_deg=0.0, forward=1, tall=150.0, feet=(540.0, 1500.0), view="down_the_line"):
    """Return a view of a white post on black, 20 cm wide, whose foot stands at a place of the picture.

    A true vertical leans to the right by the roll; the post begins on the ground and its ankles are 8 cm up.
    """
    size = (1080, 1920)
    rows, columns = np.mgrid[0 : size[1], 0 : size[0]]
    roll = np.radians(roll_deg)
    du, dv = columns + 0.5 - feet[0], rows + 0.5 - feet[1]
    right = (du * np.cos(roll) + dv * np.sin(roll)) / px_per_cm
    up = (du * np.sin(roll) - dv * np.cos(roll)) / px_per_cm
    post = (np.abs(right) <= 10) & (up >= 0) & (up <= tall)
    joints = np.full((33, 2), np.nan)
    for name in ("left_ankle", "right_ankle"):
        joints[LANDMARK_INDEX[name]] = (
            feet[0] + 8 * px_per_cm * np.sin(roll), feet[1] - 8 * px_per_cm * np.cos(roll),
        )  # fmt: skip

    def reading(value, unit="deg"):
        return Estimate(value=value, standard_uncertainty=0.1, unit=unit, view=view)

    record = ViewRecord(
        view=view, file="post.mov", sha256="ab" * 32, kind="still", size_px=size, setups=1,
        px_per_cm=reading(px_per_cm, "px/cm"), scale_source="object", roll=reading(roll_deg), yaw=reading(0.0),
        distance_cm=reading(400.0, "cm"), forward=forward, ground_v_px=feet[1], still_index=0,
        still_box_px=(0, 0, *size), still_size=size, landmark_model="none",
    )  # fmt: skip
    white = (255 * post).astype(np.uint8)
    return KeptView(
        record=record, still=np.repeat(white[..., None], 3, axis=2), outline=white, outline_box_px=(0, 0, *size),
        joints_px=joints,
    )  # fmt: skip
