"""Elbow gap against trunks and arms whose distances are worked by hand."""

import math

import numpy as np
import pytest
from stick_golfer import Camera, Golfer, result_of, student_of

from putt_posture.posture.elbows import ArmPlace, elbow_gap
from putt_posture.posture.plane import place_in_plane
from putt_posture.posture.ribs import ARM_RADIUS_CM
from putt_posture.posture.trunk_shape import LEVELS, TrunkShape, shape_trunk

SAME_CM = 0.15
"""The section's rim is drawn with half-degree steps, and perspective is only nominally taken out."""
BESIDE_CM = 21.0
"""Of the stick golfer's elbows."""


def shape(**changed: float) -> TrunkShape:
    full = {"length": 50.0, "breadth": 24.0, "behind": 8.0, "ahead": 8.0} | changed
    return TrunkShape(
        length=full["length"],
        breadth=full["breadth"],
        behind=np.full(LEVELS.size, full["behind"]),
        ahead=np.full(LEVELS.size, full["ahead"]),
        breadth_sd=1.0,
        depth_sd=1.0,
    )


def gap(trunk: TrunkShape, arm: ArmPlace) -> float:
    front = result_of(Golfer(), Camera(view="face_on", distance_cm=40000.0, focal_px=150000.0))
    plane = place_in_plane(front, toward_cm={})
    return float(np.median(elbow_gap(plane, side="left", shape=trunk, arm=arm)))


def test_an_arm_straight_beside_the_trunk_is_its_breadth_away() -> None:
    # Upper arm in the plane of the shoulders, from 21 cm beside at the elbow to 17 cm at the shoulder, 40 cm long:
    # 5 cm up it has come 0.5 cm nearer.
    arm = ArmPlace(elbow_ahead=0.0, elbow_station=0.2, shoulder_ahead=0.0, shoulder_station=1.0)
    length = math.hypot(BESIDE_CM - 17.0, 0.8 * 50.0)
    nearest = BESIDE_CM - 5.0 * (BESIDE_CM - 17.0) / length
    assert gap(shape(), arm) == pytest.approx(nearest - 12.0 - ARM_RADIUS_CM, abs=SAME_CM)


def test_a_broader_trunk_is_nearer_by_half_of_what_it_gains() -> None:
    arm = ArmPlace(elbow_ahead=0.0, elbow_station=0.2)
    assert gap(shape(), arm) - gap(shape(breadth=26.0), arm) == pytest.approx(1.0, abs=SAME_CM)


def test_an_elbow_inside_the_trunk_touches_it() -> None:
    assert gap(shape(breadth=60.0), ArmPlace(elbow_ahead=0.0, elbow_station=0.3)) == 0.0


def test_an_elbow_far_before_a_round_trunk_is_its_radius_away() -> None:
    # A round trunk of 12 cm radius: the distance is that from its middle, whatever the direction.
    arm = ArmPlace(elbow_ahead=20.0, elbow_station=0.3, shoulder_ahead=20.0, shoulder_station=1.0)
    length = math.hypot(BESIDE_CM - 17.0, 0.7 * 50.0)
    nearest = math.hypot(20.0, BESIDE_CM - 5.0 * (BESIDE_CM - 17.0) / length)
    assert gap(shape(behind=12.0, ahead=12.0), arm) == pytest.approx(nearest - 12.0 - ARM_RADIUS_CM, abs=SAME_CM)


def test_a_shape_without_outlines_comes_from_the_tables() -> None:
    student = student_of(Golfer())
    trunk = shape_trunk(student)
    section = trunk.section(0.4)
    assert 18 < section.depth < 30
    assert 24 < section.breadth < 36
    assert section.front + section.behind == pytest.approx(section.depth)
