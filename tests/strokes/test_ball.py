"""The direction in which the ball leaves, seen by made-up cameras whose geometry is known."""

import math

import numpy as np
import pytest
from attrs import evolve

from putt_posture.strokes.ball import find_start_direction
from putt_posture.values import LANDMARK_NAMES, Estimate, Floats, Scene, SeenStroke, absent

SIZE = (720, 1280)
FOCAL, HEIGHT_CM, DISTANCE_CM, BALL_AT_CM = 1529.0, 95.0, 360.0, 28.0
EXACT_DEG = 0.03
"""How far off a level camera with known distance may be: the ball's middle is 2 cm above the ground."""


def see(
    beside_cm: Floats, ahead_cm: Floats, *, yaw_deg: float = 0.0, tilt_deg: float = 0.0, up_cm: float = 0.0
) -> Floats:
    """Return points of the ground, as seen down the line from a camera behind the feet, (N, 2) px."""
    turn, tilt = math.radians(yaw_deg), math.radians(tilt_deg)
    x, z = np.asarray(beside_cm, float), np.asarray(ahead_cm, float)
    # The camera turns about the feet, so that they stay in the middle.
    right = x * math.cos(turn) + z * math.sin(turn)
    forward = DISTANCE_CM + z * math.cos(turn) - x * math.sin(turn)
    down = np.full_like(forward, HEIGHT_CM - up_cm)
    deep, low = (
        forward * math.cos(tilt) + down * math.sin(tilt),
        down * math.cos(tilt) - forward * math.sin(tilt),
    )
    return np.stack([SIZE[0] / 2 + FOCAL * right / deep, SIZE[1] / 2 + FOCAL * low / deep], axis=-1)


def scene(*, forward: int = 1, tilt_deg: float = 0.0) -> Scene:
    def known(value: float, sd: float, unit: str) -> Estimate:
        return Estimate(value=value, standard_uncertainty=sd, unit=unit, view="down_the_line", frames=1)

    feet = see(np.zeros(1), np.zeros(1), tilt_deg=tilt_deg)[0]
    return Scene(
        view="down_the_line",
        px_per_cm=known(FOCAL / DISTANCE_CM, 0.05, "px/cm"),
        scale_source="stature",
        roll=known(0.0, 0.3, "deg"),
        yaw=known(0.0, 4.0, "deg"),
        forward=1 if forward == 1 else -1,
        ground_v_px=known(float(feet[1]), 3.0, "px"),
        distance_cm=known(DISTANCE_CM, 0.2 * DISTANCE_CM, "cm"),
    )


def stroke(
    start_deg: float, *, rate_hz: float = 60.0, noise_px: float = 0.0, seed: int = 0, **camera: float
) -> SeenStroke:
    """Return a putt that leaves at 2 s with 2 m/s, so many degrees to the ball side."""
    times = np.arange(1.5, 2.6, 1 / rate_hz)
    gone = 200.0 * np.maximum(times - 2.0, 0.0)
    turn = math.radians(start_deg)
    ball = see(BALL_AT_CM + gone * math.sin(turn), gone * math.cos(turn), **camera)
    ball = ball + np.random.default_rng(seed).normal(0.0, noise_px, ball.shape)
    bare = SeenStroke.without_putter(
        view="down_the_line",
        times_s=times,
        address_s=(1.5, 1.6),
        stroke_s=(1.6, 2.5),
        points_px=np.full((len(times), len(LANDMARK_NAMES), 2), np.nan),
        ball_leaves_s=Estimate(value=2.0, standard_uncertainty=0.002, unit="s", frames=10),
        why="The ball rolls away.",
    )
    return evolve(bare, kind="putt", ball_px=ball, ball_sd_px=np.full(len(times), max(noise_px, 0.1)))


def line(beside_cm: float = BALL_AT_CM, *, from_cm: float = 0.0, to_cm: float = 300.0, **camera: float):
    first, second = see(np.full(2, beside_cm), np.array([from_cm, to_cm]), **camera)
    return (float(first[0]), float(first[1])), (float(second[0]), float(second[1]))


def direction(seen: SeenStroke, target, where: Scene) -> Estimate:
    return find_start_direction(seen, where, target, size_px=SIZE)


@pytest.mark.parametrize("start_deg", [-3.0, 0.0, 1.5, 5.0])
@pytest.mark.parametrize("beside_cm", [BALL_AT_CM, 0.0, 60.0])
def test_a_level_camera_gives_the_direction_whether_the_line_runs_through_the_ball_or_beside_it(start_deg, beside_cm):
    found = direction(stroke(start_deg), line(beside_cm), scene())
    assert found.value == pytest.approx(start_deg, abs=EXACT_DEG)
    assert found.view == "down_the_line"
    assert found.unit == "deg"


@pytest.mark.parametrize("yaw_deg", [-6.0, 4.0])
def test_a_camera_off_square_turns_ball_and_line_alike(yaw_deg):
    found = direction(stroke(1.5, yaw_deg=yaw_deg), line(yaw_deg=yaw_deg), scene())
    assert found.value == pytest.approx(1.5, abs=0.1)


def test_plus_is_away_from_the_golfer_for_a_left_hander_too():
    def flipped(points):
        return np.array([SIZE[0], 0.0]) + np.array([-1.0, 1.0]) * points

    seen = stroke(2.0)
    seen = evolve(seen, ball_px=flipped(seen.ball_px))
    target = tuple(tuple(point) for point in flipped(np.array(line())))
    assert direction(seen, target, scene(forward=-1)).value == pytest.approx(2.0, abs=EXACT_DEG)


def test_the_order_of_the_two_points_does_not_matter():
    first, second = line()
    turned = direction(stroke(2.0), (second, first), scene())
    assert turned.value == pytest.approx(direction(stroke(2.0), (first, second), scene()).value, abs=1e-9)


def test_intervals_hold_for_tilted_cameras_and_noisy_balls():
    rng = np.random.default_rng(3)
    off, told = [], []
    for seed in range(120):
        tilt, true = rng.normal(0.0, 3.0), rng.normal(0.0, 1.5)
        beside = BALL_AT_CM + rng.normal(0.0, 15.0)
        found = direction(
            stroke(true, noise_px=0.4, seed=seed, tilt_deg=tilt), line(beside, tilt_deg=tilt), scene(tilt_deg=tilt)
        )
        if not found:  # a camera that points up by 10° sees the far point of the line above its middle
            continue
        off.append(found.value - true)
        told.append(found.margin)
    assert len(off) >= 115
    inside = float(np.mean(np.abs(off) <= told))
    assert 0.90 <= inside <= 1.0
    assert np.median(told) < 4 * np.std(off)
    assert float(np.sqrt(np.mean(np.square(off)))) < 0.7


def test_a_line_far_beside_the_ball_has_the_larger_uncertainty_from_the_camera():
    near, far = (direction(stroke(1.0), line(beside), scene()) for beside in (BALL_AT_CM, -60.0))
    assert far.budget["camera"] > 3 * near.budget["camera"]
    assert near.standard_uncertainty == pytest.approx(math.hypot(*near.budget.values()))


def test_a_moved_camera_is_taken_out():
    seen = stroke(1.5)
    shift = np.array([7.0, -4.0])
    maps = np.tile(np.eye(2, 3), (len(seen.times_s), 1, 1))
    maps[20:, :, 2] = shift
    shaken = seen.ball_px.copy()
    shaken[20:] -= shift
    found = direction(evolve(seen, ball_px=shaken, camera_px=maps), line(), scene())
    assert found.value == pytest.approx(direction(seen, line(), scene()).value, abs=1e-6)


def test_it_is_absent_with_the_reason_without_a_line_a_putt_or_enough_of_the_way():
    seen = stroke(1.0)
    assert "No target line was given" in str(direction(seen, None, scene()).absent)
    gone = evolve(seen, kind="practice", ball_leaves_s=absent("The ball stays at its place.", unit="s"))
    assert direction(gone, line(), scene()).absent == "The ball stays at its place."
    few = seen.ball_px.copy()
    few[seen.times_s > 2.05] = np.nan
    assert "too little" in str(direction(evolve(seen, ball_px=few), line(), scene()).absent)
    assert "more than a putt can" in str(direction(stroke(40.0), line(), scene()).absent)
    above = ((300.0, 500.0), (400.0, 1000.0))
    assert "not on the ground" in str(direction(seen, above, scene()).absent)


def test_only_the_first_half_metre_counts():
    straight = stroke(1.0)
    gone = 200.0 * np.maximum(straight.times_s - 2.0, 0.0)
    turn = math.radians(1.0)
    beside = BALL_AT_CM + gone * math.sin(turn) + np.maximum(gone - 52.0, 0.0) * 0.2
    bent = evolve(straight, ball_px=see(beside, gone * math.cos(turn)))
    assert direction(bent, line(), scene()).value == pytest.approx(1.0, abs=EXACT_DEG)
