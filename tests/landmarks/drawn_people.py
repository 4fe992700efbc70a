"""People drawn by hand as 33 landmarks, for the tests that need no picture.

Lengths are in trunk lengths: trunk 1, thigh 0.85, shank 0.85, upper arm 0.6, forearm 0.55; about the proportions of
an adult (from memory of Drillis & Contini's segment lengths: trunk 0.29, thigh 0.245, shank 0.246 of stature).
"""

import numpy as np

from putt_posture.landmarks import Person
from putt_posture.values import LANDMARK_INDEX, LANDMARK_NAMES

TRUNK_PX = 200.0


def draw_person(
    *,
    at=(500.0, 800.0),
    trunk_px=TRUNK_PX,
    lean_deg=0.0,
    facing=1,
    hands="apart",
    across=0.0,
    visibility=0.9,
) -> Person:
    """Return a person with the hips at a point.

    `lean_deg` bends the trunk toward `facing` (+1 right, −1 left); `hands` are "apart", hanging at the sides, or
    "together", on a grip in front; `across` is how far apart the left and the right side are in the picture, in
    trunk lengths: 0 from the side, +0.6 chest to the camera, −0.6 back to the camera.
    """
    lean = np.radians(lean_deg)
    trunk = np.array([facing * np.sin(lean), -np.cos(lean)])
    hip = np.zeros(2)
    shoulder = hip + trunk
    points = {}
    for sign, side in ((1, "left"), (-1, "right")):
        aside = np.array([sign * across / 2, 0.0])
        reach = 0.25 * facing if hands == "together" and across == 0 else 0.0
        wrist_aside = 0.1 * aside if hands == "together" else 1.2 * aside
        points |= {
            f"{side}_shoulder": shoulder + aside,
            f"{side}_elbow": shoulder + aside + (0.5 * reach, 0.6),
            f"{side}_wrist": shoulder + wrist_aside + (reach, 1.1),
            f"{side}_pinky": shoulder + wrist_aside + (reach, 1.2),
            f"{side}_index": shoulder + wrist_aside + (reach, 1.25),
            f"{side}_thumb": shoulder + wrist_aside + (reach, 1.15),
            f"{side}_hip": hip + 0.7 * aside,
            f"{side}_knee": hip + 0.6 * aside + (0.05 * facing, 0.85),
            f"{side}_ankle": hip + 0.6 * aside + (0.0, 1.7),
            f"{side}_heel": hip + 0.6 * aside + (-0.1 * facing * (across == 0), 1.8),
            f"{side}_foot_index": hip + 0.7 * aside + (0.35 * facing * (across == 0), 1.85),
        }
        head = shoulder + 0.45 * trunk
        points |= {
            f"{side}_ear": head + 0.3 * aside,
            f"{side}_eye": head + 0.2 * aside + (0.15 * facing * (across == 0), 0.0),
            f"{side}_eye_inner": head + 0.1 * aside + (0.15 * facing * (across == 0), 0.0),
            f"{side}_eye_outer": head + 0.25 * aside + (0.14 * facing * (across == 0), 0.0),
            f"mouth_{side}": head + 0.1 * aside + (0.15 * facing * (across == 0), 0.15),
        }
    points["nose"] = shoulder + 0.45 * trunk + (0.2 * facing * (across == 0), 0.05)
    table = np.array([points[name] for name in LANDMARK_NAMES]) * trunk_px + at
    # Whoever faces right shows the right side, so the left is farther from the camera; and the other way round.
    depth = np.zeros(len(LANDMARK_NAMES))
    if across == 0:
        for name, index in LANDMARK_INDEX.items():
            depth[index] = facing * trunk_px * (0.3 if "left" in name else -0.3 if "right" in name else 0.0)
    return Person(points_px=table, visibility=np.full(len(LANDMARK_NAMES), visibility), depth=depth)


def golfer_at_address(*, at=(500.0, 800.0), view="down_the_line", trunk_px=TRUNK_PX, facing=1) -> Person:
    """Return someone bent by 30° with the hands together and low."""
    if view == "face_on":
        return draw_person(at=at, trunk_px=trunk_px, hands="together", across=0.6)
    return draw_person(at=at, trunk_px=trunk_px, lean_deg=30.0, hands="together", facing=facing)


def bystander(*, at=(900.0, 800.0), view="down_the_line", trunk_px=TRUNK_PX) -> Person:
    """Return someone upright with hanging arms."""
    return draw_person(at=at, trunk_px=trunk_px, across=0.6 if view == "face_on" else 0.0)


def table_of(people):
    """Return points (N, 33, 2), visibility (N, 33) and depth (N, 33) of people in a row."""
    return (
        np.stack([person.points_px for person in people]),
        np.stack([person.visibility for person in people]),
        np.stack([person.depth for person in people]),
    )
