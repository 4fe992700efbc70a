"""The shaft in drawn pictures whose putter is known by construction."""

import math

import numpy as np
import pytest
from attrs import evolve
from drawn_putter import GREEN, HEAD, RUBBER, STEEL, Drawing, cover, without_putter
from stick_golfer import Camera, Golfer, scene_of

from putt_posture.scene.shaft import find_shaft
from putt_posture.values import Estimate, FoundShaft

ANGLE_TOLERANCE_DEG = 0.3
"""A twentieth of a shaft's thickness over its length, and as much again for grain."""
SOLE_TOLERANCE_CM = 1.2
"""How far before the shaft's axis the visible edge of the head stands is only known of heads in general: 1 cm of depth
down the line and 2.5 cm face on, seen under some 14°, and half a centimetre for the edge."""
GRASS_TOLERANCE_CM = 2.0
"""Rough grass hides the edge of the head here and there."""
BUTT_TOLERANCE_CM = 0.6
"""Two pixels."""

SIDE, FRONT = Camera(), Camera(view="face_on", distance_cm=450.0)
USUAL_GRIP = Estimate(value=8.0, standard_uncertainty=2.0, unit="cm", method="as an adult holds it")


def look(drawing: Drawing, picture: np.ndarray | None = None, **scene: object) -> FoundShaft:
    return find_shaft(
        drawing.picture() if picture is None else picture,
        hands_px=drawing.px(drawing.hands),
        scene=scene_of(drawing.golfer, drawing.camera, **scene),
        grip_distance=USUAL_GRIP,
    )


def angle_deg(ends) -> float:
    (u0, v0), (u1, v1) = ends
    return math.degrees(math.atan2(u1 - u0, v1 - v0))


def check(found: FoundShaft, drawing: Drawing, *, butt: bool = True) -> None:
    true = drawing.px(drawing.butt), drawing.px(drawing.sole)
    assert found, found.why_not
    assert angle_deg(found.ends_px) == pytest.approx(angle_deg(true), abs=ANGLE_TOLERANCE_DEG)
    scale = drawing.px_per_cm(drawing.sole)
    assert np.linalg.norm(np.subtract(found.ends_px[1], true[1])) < SOLE_TOLERANCE_CM * scale
    if butt:
        assert found.butt_seen
        assert np.linalg.norm(np.subtract(found.ends_px[0], true[0])) < BUTT_TOLERANCE_CM * scale


@pytest.mark.parametrize("lie", [59.0, 62.0, 68.0, 74.0, 79.0])
def test_the_lie_and_both_ends_are_found_down_the_line(lie):
    drawing = Drawing(camera=SIDE, lie_deg=lie)
    check(look(drawing), drawing)


@pytest.mark.parametrize("lean", [-12.0, -3.0, 0.0, 5.0])
def test_the_lean_and_both_ends_are_found_face_on(lean):
    drawing = Drawing(camera=FRONT, lean_deg=lean)
    check(look(drawing), drawing)


@pytest.mark.parametrize("camera", [SIDE, FRONT])
def test_a_left_handers_shaft_is_found(camera):
    drawing = Drawing(camera=camera, golfer=Golfer(left_handed=True), lean_deg=2.0)
    check(look(drawing), drawing)


@pytest.mark.whole
@pytest.mark.parametrize("camera", [SIDE, FRONT])
@pytest.mark.parametrize(
    "changed",
    [{"noise": 12.0}, {"slope": 60.0}, {"shaft": (30, 30, 32)}, {"shaft": (235, 235, 235)}, {"shaft": (150, 40, 40)}],
    ids=["grain", "uneven light", "graphite", "white", "red"],
)
def test_grain_light_and_the_shafts_colour_do_not_matter(camera, changed):
    drawing = Drawing(camera=camera, **changed)
    check(look(drawing), drawing)


@pytest.mark.parametrize("camera", [SIDE, FRONT])
def test_a_shaft_that_runs_into_a_head_of_its_own_colour_ends_at_the_sole(camera):
    drawing = Drawing(camera=camera, shaft=HEAD)
    found = look(drawing)
    check(found, drawing)
    assert found.sole_seen


@pytest.mark.parametrize("guessed_cm", [220.0, 600.0])
def test_a_wrong_guess_of_the_cameras_distance_does_not_lose_the_shaft_face_on(guessed_cm):
    drawing = Drawing(camera=evolve(FRONT, distance_cm=300.0, focal_px=FRONT.focal_px * 2 / 3), lean_deg=2.0)
    guess = Estimate(value=guessed_cm, standard_uncertainty=0.35 * guessed_cm, unit="cm", method="guessed")
    check(look(drawing, distance_cm=guess), drawing, butt=False)


@pytest.mark.whole
@pytest.mark.parametrize("seed", [0, 1, 2])
@pytest.mark.parametrize("camera", [SIDE, FRONT])
def test_blades_of_grass_that_line_up_beyond_the_head_do_not_make_the_shaft_longer(camera, seed):
    drawing = Drawing(camera=camera, blades=15.0, seed=seed)
    found = look(drawing)
    assert found, found.why_not
    miss = np.linalg.norm(np.subtract(found.ends_px[1], drawing.px(drawing.sole))) / drawing.px_per_cm(drawing.sole)
    assert miss < GRASS_TOLERANCE_CM


def test_a_line_without_a_head_at_its_end_is_not_a_putter_face_on():
    drawing = Drawing(camera=FRONT)
    scale = drawing.px_per_cm(drawing.sole)
    low, high = (
        drawing.px(drawing.sole) - [9.0 * scale, 5.5 * scale],
        drawing.px(drawing.sole) + [9.0 * scale, 9.0 * scale],
    )
    found = look(drawing, cover(drawing.picture(), tuple(low), tuple(high), GREEN))
    assert not found
    assert "no putter's head" in found.why_not


def test_a_rolled_camera_is_taken_into_account():
    drawing = Drawing(camera=evolve(SIDE, roll_deg=2.5), lie_deg=72.0)
    check(look(drawing), drawing)


@pytest.mark.parametrize("camera", [SIDE, FRONT])
def test_a_picture_twice_as_coarse_still_shows_it(camera):
    drawing = Drawing(camera=evolve(camera, focal_px=camera.focal_px / 2))
    check(look(drawing), drawing, butt=False)


def test_door_posts_behind_the_hands_are_not_a_shaft():
    drawing = without_putter(Drawing(camera=FRONT))
    u, v = drawing.px(drawing.hands)
    picture = drawing.picture()
    for left, wide in ((-90, 30), (-12, 26), (60, 4)):
        picture = cover(picture, (u + left, 0), (u + left + wide, v + 70), (120, 80, 50))
    assert not look(drawing, picture)


def test_a_thin_post_beside_the_shaft_does_not_draw_it_away():
    drawing = Drawing(camera=SIDE, lie_deg=70.0)
    u, v = drawing.px(drawing.hands)
    picture = cover(drawing.picture(), (u + 34, 0), (u + 38, v + 70), (90, 60, 40))
    check(look(drawing, picture), drawing)


def test_two_clubs_side_by_side_are_not_chosen_between():
    drawing = Drawing(camera=FRONT)
    other = evolve(drawing, lean_deg=5.0)
    both = drawing.picture()
    where = np.abs(other.picture().astype(int) - without_putter(drawing).picture()).sum(axis=-1) > 40
    both[where] = other.picture()[where]
    found = look(drawing, both)
    assert not found
    assert "several lines" in found.why_not


def test_a_part_hidden_by_trousers_is_bridged():
    drawing = Drawing(camera=FRONT)
    u, v = drawing.px(drawing.hands + 34.0 * drawing.down)
    picture = cover(drawing.picture(), (u - 40, v - 22), (u + 40, v + 22), (60, 60, 70))
    check(look(drawing, picture), drawing)


def test_a_white_shoe_beside_the_shaft_does_not_cut_it_short():
    drawing = Drawing(camera=FRONT, shaft=(200, 200, 205))
    u, v = drawing.px(drawing.hands + 66.0 * drawing.down)
    picture = cover(drawing.picture(), (u - 50, v - 16), (u - 2, v + 16), (215, 215, 215))
    check(look(drawing, picture), drawing)


@pytest.mark.parametrize("camera", [SIDE, FRONT])
def test_without_a_putter_there_is_no_shaft_and_a_reason(camera):
    found = look(without_putter(Drawing(camera=camera)))
    assert not found
    assert "no thin straight line" in found.why_not
    assert found.ends_px is None


@pytest.mark.whole
@pytest.mark.parametrize("seed", range(6))
def test_rough_floor_alone_is_never_a_shaft(seed):
    assert not look(without_putter(Drawing(camera=FRONT, noise=15.0, seed=seed)))


def test_a_rod_that_ends_above_the_ground_is_not_a_putter():
    drawing = Drawing(camera=SIDE)
    low = drawing.px(drawing.hands + 50.0 * drawing.down)
    picture = cover(drawing.picture(), (low[0] - 80, low[1]), (low[0] + 120, low[1] + 130), GREEN)
    assert not look(drawing, picture)


def test_a_line_at_no_putters_angle_is_refused():
    assert not look(Drawing(camera=SIDE, lie_deg=52.0))
    assert not look(Drawing(camera=FRONT, lean_deg=27.0))


def test_hidden_hands_give_a_reason():
    drawing = Drawing()
    found = find_shaft(
        drawing.picture(),
        hands_px=np.full(2, np.nan),
        scene=scene_of(drawing.golfer, drawing.camera),
        grip_distance=USUAL_GRIP,
    )
    assert not found
    assert "hands are hidden" in found.why_not


def test_hidden_feet_give_a_reason():
    drawing = Drawing()
    ground = evolve(scene_of(drawing.golfer, drawing.camera).ground_v_px, frames=0)
    assert "feet are hidden" in look(drawing, ground_v_px=ground).why_not


def hide_butt(drawing: Drawing) -> np.ndarray:
    """Paint a sleeve over the grip above the hands, in the direction of the arm rather than of the shaft."""
    u, v = drawing.px(drawing.hands)
    return cover(drawing.picture(), (u - 70, v - 110), (u + 30, v - 5), (60, 40, 120))


@pytest.mark.parametrize("butt_above", [7.0, 11.0, 15.0])
def test_a_hidden_butt_is_judged_and_the_interval_says_so(butt_above):
    drawing = Drawing(camera=SIDE, butt_above_cm=butt_above)
    found = look(drawing, hide_butt(drawing))
    check(found, drawing, butt=False)
    assert not found.butt_seen
    miss = found.butt_above_cm - butt_above
    assert abs(miss) < 1.96 * found.butt_sd_cm
    assert found.butt_sd_cm > 1.5


def test_dark_trousers_behind_a_dark_grip_hide_the_butt():
    drawing = Drawing(camera=FRONT)
    u, v = drawing.px(drawing.hands)
    plain = without_putter(drawing).picture()
    dark = cover(drawing.picture(), (u - 100, v - 150), (u + 100, v + 30), RUBBER)
    hands = np.abs(plain[..., 0].astype(int) - 200) < 12
    dark[hands] = plain[hands]
    found = look(drawing, dark)
    assert not found.butt_seen


def test_the_butt_of_a_grip_half_covered_by_an_arm_is_seen():
    drawing = Drawing(camera=SIDE)
    u, v = drawing.px(drawing.butt)
    picture = cover(drawing.picture(), (u + 1, v - 120), (u + 60, v + 30), STEEL)
    found = look(drawing, picture)
    check(found, drawing, butt=found.butt_seen)
