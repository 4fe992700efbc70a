"""Arc and window of a swinging putter against cases worked by hand, and against rotations by scipy.

A head on a radius of 100 cm that swings 60 cm to either side: sin φ = 0.6, cos φ = 0.8. In a plane that leans by θ with
sin θ = 0.6 (36.8699°) it is 100 · (1 − 0.8) · 0.6 = 12 cm inside, and a face square to the arc looks
atan(0.75 · 0.6) = atan 0.45 = 24.2277° off the line.

Hands 10 cm outside shoulders that are 55 cm higher: tan θ = 0.181818, θ = 10.3048°, sin θ = 0.178885. Arms reach
√(100 + 3025) = 55.9017 cm. Hands at 75 cm on a shaft at 70°: 75 / 0.939693 = 79.8133 cm of shaft below them, of which
sin 80.3048° = 0.985720 runs along the arms, 78.6736 cm. R = 134.5753 cm. Swinging 25 cm: sin φ = 0.185770,
cos φ = 0.982593, and the head is 134.5753 · 0.017407 · 0.178885 = 0.4191 cm inside.

A putt of 300 cm at a hole of 10.8 cm: tan α = 5.4 / 300 = 0.018, α = 1.0312°. On that arc the start line turns by α
where tan φ = 0.018 / 0.178885 = 0.100623, φ = 0.100286 rad: 13.4960 cm along the arc to either side, 26.992 cm in all.
The whole stroke is φ = asin 0.185770 = 0.186855 rad: 0.5367 of it.
"""

import numpy as np
import pytest
from scipy.spatial.transform import Rotation

from putt_posture.setup_arc import find_arc, find_capture_angle, find_window
from putt_posture.setup_arc.arc import find_arc_depth, find_face_to_target, find_plane_lean, find_radius
from putt_posture.values import Estimate, Pendulum

DIGITS = 5e-4
"""Cases are worked to four digits behind the point, or to four digits."""


def exact(value, unit="cm"):
    return Estimate(value=value, standard_uncertainty=0.0, unit=unit)


WORKED = Pendulum(hand_offset=exact(10.0), shoulder_drop=exact(55.0), hand_height=exact(75.0), lie=exact(70.0, "deg"))


def test_a_three_four_five_swing_in_a_three_four_five_plane():
    lean = np.degrees(np.arcsin(0.6))
    assert find_arc_depth(60.0, 100.0, lean) == pytest.approx(12.0, abs=DIGITS)
    assert find_face_to_target(-60.0, 100.0, lean) == pytest.approx(24.2277, abs=DIGITS)
    assert find_face_to_target(60.0, 100.0, lean) == pytest.approx(-24.2277, abs=DIGITS)


def test_a_student_with_the_hands_10_cm_outside():
    arc = find_arc(WORKED, half_stroke_cm=25.0)
    assert arc.lean.value == pytest.approx(10.3048, abs=DIGITS)
    assert arc.radius.value == pytest.approx(134.5753, abs=DIGITS)
    assert arc.depth.value == pytest.approx(0.4191, abs=DIGITS)


def test_the_window_of_that_student_for_a_putt_of_three_metres():
    assert find_capture_angle(300.0) == pytest.approx(1.0312, abs=DIGITS)
    window = find_window(find_arc(WORKED, half_stroke_cm=25.0), putt_cm=300.0)
    assert window.length_cm == pytest.approx(26.992, abs=2 * DIGITS)
    assert window.share == pytest.approx(0.5367, abs=DIGITS)
    assert (window.low_cm, window.high_cm) == pytest.approx((window.length_cm, window.length_cm))


@pytest.mark.parametrize("swing_deg", [-15.0, -4.0, 0.0, 7.0, 12.0])
@pytest.mark.parametrize("offset", [-6.0, 0.0, 10.0])
def test_turning_the_putter_in_space_gives_the_same_arc_and_face(offset, swing_deg):
    # The rigid putter is turned about an axis through the shoulders, square to arms and target line; x along the
    # target line, y toward the ball, z up; shoulders at the origin. The sign makes a forward swing positive.
    drop, height, lie = 55.0, 75.0, 70.0
    arms = np.array([0.0, offset, -drop])
    shaft = height / np.sin(np.radians(lie)) * np.array([0.0, np.cos(np.radians(lie)), -np.sin(np.radians(lie))])
    axis = np.cross(arms, [1.0, 0.0, 0.0])
    turn = Rotation.from_rotvec(np.radians(swing_deg) * axis / np.linalg.norm(axis))
    head, face = turn.apply(arms + shaft), turn.apply([1.0, 0.0, 0.0])
    inside = (arms + shaft)[1] - head[1]
    lean, radius = find_plane_lean(offset, drop), find_radius(offset, drop, height, lie)
    assert find_arc_depth(head[0], radius, lean) == pytest.approx(inside, abs=1e-9)
    assert find_face_to_target(head[0], radius, lean) == pytest.approx(np.degrees(np.arctan2(face[1], face[0])))
