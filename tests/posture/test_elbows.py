"""Elbow gap against trunks and arms whose distances are worked by hand."""

import math

import numpy as np
import pytest
from attrs import evolve
from stick_golfer import Camera, Golfer, result_of, student_of

from putt_posture.posture.back import BackOutline
from putt_posture.posture.elbows import ArmPlace, elbow_depth, elbow_gap
from putt_posture.posture.plane import place_in_plane
from putt_posture.posture.side_outline import FrontOutline, SideOutline
from putt_posture.posture.trunk_shape import ARM_RADIUS_CM, LEVELS, TrunkShape, shape_trunk
from putt_posture.values import LANDMARK_INDEX

SAME_CM = 0.15
"""The section's rim is drawn with half-degree steps, and perspective is only nominally taken out."""
BESIDE_CM = 21.0
"""Of the stick golfer's elbows."""


def shape(**changed: float) -> TrunkShape:
    full = {"length": 50.0, "breadth": 24.0, "behind": 8.0, "ahead": 8.0} | changed
    return TrunkShape(
        length=np.array([full["length"]]),
        breadth=full["breadth"],
        behind=np.full((1, LEVELS.size), full["behind"]),
        ahead=np.full((1, LEVELS.size), full["ahead"]),
        breadth_sd=1.0,
        depth_sd=np.ones((1, LEVELS.size)),
    )


def arm_at(*, ahead: float, station: float) -> ArmPlace:
    """Return an arm whose shoulder joint lies on the spine line's end."""
    return ArmPlace(
        elbow_ahead=np.array([ahead]),
        elbow_station=np.array([station]),
        shoulder_ahead=np.array([0.0]),
        shoulder_station=np.array([1.0]),
    )


def gap(trunk: TrunkShape, arm: ArmPlace) -> float:
    front = result_of(Golfer(), Camera(view="face_on", distance_cm=40000.0, focal_px=150000.0))
    plane = place_in_plane(front, toward_cm={})
    return float(np.median(elbow_gap(plane, side="left", shape=trunk, arm=arm)))


def test_an_arm_straight_beside_the_trunk_is_its_breadth_away() -> None:
    # Upper arm in the plane of the shoulders, from 21 cm beside at the elbow to 17 cm at the shoulder, 40 cm long:
    # 5 cm up it has come 0.5 cm nearer.
    arm = arm_at(ahead=0.0, station=0.2)
    length = math.hypot(BESIDE_CM - 17.0, 0.8 * 50.0)
    nearest = BESIDE_CM - 5.0 * (BESIDE_CM - 17.0) / length
    assert gap(shape(), arm) == pytest.approx(nearest - 12.0 - ARM_RADIUS_CM, abs=SAME_CM)


def test_a_broader_trunk_is_nearer_by_half_of_what_it_gains() -> None:
    arm = arm_at(ahead=0.0, station=0.2)
    assert gap(shape(), arm) - gap(shape(breadth=26.0), arm) == pytest.approx(1.0, abs=SAME_CM)


def test_an_elbow_inside_the_trunk_touches_it() -> None:
    assert gap(shape(breadth=60.0), arm_at(ahead=0.0, station=0.3)) == 0.0


def test_an_elbow_far_before_a_round_trunk_is_its_radius_away() -> None:
    # A round trunk of 12 cm radius: the distance is that from its middle, whatever the direction.
    arm = evolve(arm_at(ahead=20.0, station=0.3), shoulder_ahead=np.array([20.0]))
    length = math.hypot(BESIDE_CM - 17.0, 0.7 * 50.0)
    nearest = math.hypot(20.0, BESIDE_CM - 5.0 * (BESIDE_CM - 17.0) / length)
    assert gap(shape(behind=12.0, ahead=12.0), arm) == pytest.approx(nearest - 12.0 - ARM_RADIUS_CM, abs=SAME_CM)


def test_a_shape_without_outlines_comes_from_the_tables() -> None:
    student = student_of(Golfer())
    trunk = shape_trunk(student)
    section = trunk.section(0.4)
    assert section.depth.shape == (1,)
    assert 18 < section.depth[0] < 30
    assert 24 < section.breadth < 36
    assert section.front + section.behind == pytest.approx(section.depth)


def test_cloth_beyond_the_tables_is_taken_off_and_leaves_the_front_less_certain() -> None:
    student = student_of(Golfer())
    tables = shape_trunk(student).section(0.4)
    slim, loose = (
        shape_trunk(student, [drawn_outline(8.0, ahead)], px_per_cm=1.0).section(0.4) for ahead in (10.0, 24.0)
    )
    assert slim.depth == pytest.approx(18.0, abs=SAME_CM)
    assert loose.depth == pytest.approx(tables.depth, abs=SAME_CM)
    assert loose.behind == pytest.approx(8.0, abs=SAME_CM)
    assert loose.depth_sd == tables.depth_sd > slim.depth_sd


def test_elbow_depth_is_measured_from_the_front_that_the_outline_shows() -> None:
    side = result_of(Golfer(), Camera(distance_cm=40000.0, focal_px=150000.0))
    plane = place_in_plane(side, toward_cm={})
    trunk = shape()
    hip, shoulder, elbow = plane.middle("hip")[0], plane.middle("shoulder")[0], plane.at("right_elbow")[0]
    spine = (shoulder - hip) / np.linalg.norm(shoulder - hip)
    ahead = float((elbow - hip) @ [spine[1], -spine[0]])
    assert elbow_depth(plane, side="right", shape=trunk)[0] == pytest.approx(ahead - 8.0, abs=SAME_CM)


def test_an_error_of_hips_and_shoulders_alone_hardly_moves_the_elbow_depth() -> None:
    side = result_of(Golfer(), Camera())
    plane = place_in_plane(side, toward_cm={})
    spine_px = np.array([[side.joints.middle(part)[0] for part in ("hip", "shoulder")]])
    moved = np.zeros((33, 2))
    for part in ("hip", "shoulder"):
        for name in ("left", "right"):
            moved[LANDMARK_INDEX[f"{name}_{part}"]] = (11.0, 0.0)  # 3 cm
    loose, tied = shape(), evolve(shape(), spine_px=spine_px)
    there, here = (elbow_depth(plane.misplaced(moved[None]), side="right", shape=one)[0] for one in (loose, tied))
    assert here == pytest.approx(elbow_depth(plane, side="right", shape=tied)[0], abs=SAME_CM)
    assert abs(there - here) > 1.0


def drawn_outline(behind: float, ahead: float) -> SideOutline:
    """Return an outline of 1 px per cm at fixed distances from a spine line of 50 cm."""
    stations = np.linspace(-0.1, 1.4, 121)
    back = BackOutline(
        hip_px=np.array([100.0, 100.0]),
        shoulder_px=np.array([100.0, 50.0]),
        rear=np.array([-1.0, 0.0]),
        stations=stations,
        behind=np.full(stations.size, behind / 50.0),
        edge_px=np.column_stack([np.full(stations.size, 100.0 - behind), 100.0 - 50.0 * stations]),
    )
    front = FrontOutline(stations=stations, ahead=np.full(stations.size, ahead / 50.0))
    return SideOutline(back=back, front=front)
