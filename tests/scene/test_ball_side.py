"""The ball's side of the putter head is checked against the handedness."""

import numpy as np
import pytest
from drawn_putter import Drawing, without_putter
from stick_golfer import Camera, Golfer, see, student_of

from putt_posture.scene import Seen, read_scenes
from putt_posture.values import Given, Scene

FRONT = Camera(view="face_on", distance_cm=450.0)


def read(drawing: Drawing, *, handed: str, **given: object) -> Scene:
    view = drawing.camera.view
    seen = Seen(
        landmarks=see(drawing.golfer, drawing.camera),
        picture=drawing.picture(),
        given=Given(**given),  # type: ignore[arg-type]
    )
    return read_scenes({view: seen}, student_of(drawing.golfer, handed=handed))[view]


def asked(scene: Scene) -> list[str]:
    return [warning for warning in scene.warnings if "are you sure" in warning]


def of_hand(handed: str) -> Drawing:
    return Drawing(camera=FRONT, golfer=Golfer(left_handed=handed == "left"))


@pytest.mark.parametrize(("putts", "typed"), [("right", "left"), ("left", "right")])
def test_with_the_wrong_hand_the_ball_on_the_other_side_is_said_and_not_measured(putts, typed):
    scene = read(of_hand(putts), handed=typed)
    (warning,) = asked(scene)
    assert f"are you sure: the ball is to the {putts} of the putter head" in warning
    assert f"but --handed {typed} was given" in warning
    assert f"Give --handed {putts}" in warning
    assert scene.ball_px is None
    assert "away from the target" in scene.ball_why_not


@pytest.mark.parametrize("handed", ["right", "left"])
def test_with_the_right_hand_nothing_is_asked(handed):
    scene = read(of_hand(handed), handed=handed)
    assert asked(scene) == []
    assert scene.ball_source == "found"


def test_without_a_ball_nothing_is_asked():
    assert asked(read(without_putter(of_hand("right")), handed="left")) == []


@pytest.mark.parametrize(("handed", "count"), [("right", 0), ("left", 1)])
def test_a_ball_that_the_coach_marked_is_kept_and_its_side_said(handed, count):
    drawing = of_hand("right")
    ball = tuple(float(c) for c in drawing.px(drawing.ball_at))
    scene = read(drawing, handed=handed, ball_px=ball)
    assert len(asked(scene)) == count
    assert np.allclose(scene.ball_px, ball)
