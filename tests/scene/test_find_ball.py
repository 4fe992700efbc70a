"""The ball in drawn pictures whose ball is known by construction."""

import cv2
import numpy as np
import pytest
from attrs import evolve
from drawn_putter import BALL_RADIUS_CM, HEAD, Drawing, cover
from stick_golfer import Camera, Golfer, scene_of

from putt_posture.body import BALL_CM
from putt_posture.scene.ball import find_ball
from putt_posture.values import FoundBall

CENTRE_TOLERANCE_CM = 0.4
"""A pixel; the measures that need the ball are good to 2 cm."""
SIZE_TOLERANCE = 0.08
"""Half a pixel on either side of some 16."""

SIDE, FRONT = Camera(), Camera(view="face_on", distance_cm=450.0)


def shaft_of(drawing: Drawing) -> tuple:
    return tuple(drawing.px(drawing.butt)), tuple(drawing.px(drawing.sole))


def look(drawing: Drawing, picture: np.ndarray | None = None) -> FoundBall:
    return find_ball(
        drawing.picture() if picture is None else picture,
        shaft_px=shaft_of(drawing),
        scene=scene_of(drawing.golfer, drawing.camera),
        px_per_cm=drawing.px_per_cm(drawing.ball_at),
    )


def with_disc(picture: np.ndarray, centre_px: np.ndarray, radius_px: float, colour: tuple) -> np.ndarray:
    changed = picture.copy()
    cv2.circle(changed, tuple(np.round(centre_px * 16).astype(int)), round(radius_px * 16), colour, -1, cv2.LINE_AA, 4)
    return changed


def check(found: FoundBall, drawing: Drawing, *, whole: bool) -> None:
    assert found, found.why_not
    scale = drawing.px_per_cm(drawing.ball_at)
    miss = np.abs(np.subtract(found.centre_px, drawing.px(drawing.ball_at))) / scale
    assert miss.max() < CENTRE_TOLERANCE_CM
    if whole:
        assert found.diameter_px / scale == pytest.approx(BALL_CM, rel=SIZE_TOLERANCE)


@pytest.mark.parametrize("left", [False, True])
@pytest.mark.parametrize("camera", [SIDE, FRONT])
def test_the_ball_by_the_head_is_found(camera, left):
    drawing = Drawing(camera=camera, golfer=Golfer(left_handed=left))
    check(look(drawing), drawing, whole=camera is FRONT)


@pytest.mark.parametrize("colour", [(235, 220, 60), (250, 120, 40), (240, 130, 190), (190, 190, 188)])
def test_coloured_and_shaded_balls_are_found(colour):
    drawing = Drawing(camera=FRONT, ball=colour)
    check(look(drawing), drawing, whole=True)


@pytest.mark.parametrize("camera", [SIDE, FRONT])
def test_a_white_ball_that_looks_grey_against_the_light_is_found(camera):
    drawing = Drawing(camera=camera, ball=(78, 78, 78))
    check(look(drawing), drawing, whole=camera is FRONT)


@pytest.mark.parametrize("camera", [SIDE, FRONT])
def test_a_round_shadow_on_the_green_is_not_a_ball(camera):
    drawing = Drawing(camera=camera, ball=(42, 72, 36))
    assert not look(drawing)


@pytest.mark.parametrize("hidden_cm", [0.0, 0.8, 1.3])
def test_the_tip_of_a_ball_behind_the_head_is_enough(hidden_cm):
    # The head hides the ball up to so far above its centre.
    drawing = Drawing(camera=SIDE)
    centre, scale = drawing.px(drawing.ball_at), drawing.px_per_cm(drawing.ball_at)
    low, high = centre - [6.0 * scale, hidden_cm * scale], centre + [6.0 * scale, 3.0 * scale]
    check(look(drawing, cover(drawing.picture(), tuple(low), tuple(high), HEAD)), drawing, whole=False)


def test_an_alignment_line_on_the_ball_does_not_matter():
    drawing = Drawing(camera=FRONT)
    u, v = drawing.px(drawing.ball_at)
    check(look(drawing, cover(drawing.picture(), (u - 7, v), (u + 8, v + 2), (20, 20, 20))), drawing, whole=True)


def test_another_ball_farther_away_does_not_matter():
    drawing = Drawing(camera=FRONT)
    far = drawing.px(drawing.ball_at + np.array([40.0, -60.0, 0.0]))
    picture = with_disc(drawing.picture(), far, BALL_RADIUS_CM * 3.0, (240, 240, 238))
    check(look(drawing, picture), drawing, whole=True)


def test_two_balls_by_the_head_are_not_chosen_between():
    drawing = Drawing(camera=FRONT)
    scale = drawing.px_per_cm(drawing.ball_at)
    second = drawing.px(drawing.ball_at) + np.array([6.5 * scale, 0.0])
    found = look(drawing, with_disc(drawing.picture(), second, BALL_RADIUS_CM * scale, (240, 240, 238)))
    assert not found
    assert "more than one ball" in found.why_not


@pytest.mark.parametrize("camera", [SIDE, FRONT])
def test_without_a_ball_there_is_none_and_a_reason(camera):
    found = look(Drawing(camera=camera, ball=None))
    assert not found
    assert "nothing round" in found.why_not
    assert found.centre_px is None


@pytest.mark.whole
@pytest.mark.parametrize("seed", range(5))
@pytest.mark.parametrize("camera", [SIDE, FRONT])
def test_rough_floor_is_not_a_ball(camera, seed):
    assert not look(Drawing(camera=camera, ball=None, noise=15.0, seed=seed))


def test_a_white_shoe_is_not_a_ball():
    drawing = Drawing(camera=FRONT, ball=None)
    u, v = drawing.px(drawing.sole + np.array([8.0, -14.0, 0.0]))
    picture = drawing.picture()
    cv2.ellipse(picture, (round(u), round(v)), (16, 34), 0, 0, 360, (240, 240, 240), -1, cv2.LINE_AA)
    assert not look(drawing, picture)


def test_a_ball_half_as_large_again_is_measured_as_such():
    drawing = Drawing(camera=FRONT)
    found = find_ball(
        drawing.picture(),
        shaft_px=shaft_of(drawing),
        scene=scene_of(drawing.golfer, drawing.camera),
        px_per_cm=drawing.px_per_cm(drawing.ball_at) / 1.3,
    )
    check(found, drawing, whole=True)


def test_a_sole_outside_the_picture_gives_no_ball():
    drawing = evolve(Drawing(camera=FRONT), ball=None)
    scene = scene_of(drawing.golfer, drawing.camera)
    assert not find_ball(drawing.picture(), shaft_px=((3900.0, -1300.0), (4000.0, -900.0)), scene=scene, px_per_cm=3.0)
