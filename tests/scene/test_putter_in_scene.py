"""Putter and ball in the scene: what the coach gave goes first, else what the picture shows."""

import numpy as np
import pytest
from attrs import evolve
from drawn_putter import RUBBER, Drawing, cover, without_putter
from stick_golfer import Camera, Golfer, see, student_of

from putt_posture.figures import format_length
from putt_posture.scene import Seen, read_scenes
from putt_posture.scene.scale import BENT_BODY_SHARE
from putt_posture.values import Given

PX_TOLERANCE = 4.0
"""A little over a centimetre."""
SCALE_TOLERANCE = 0.015
"""A shaft of 90 cm whose ends are good to 1 cm."""
LENT_BUTT_TOLERANCE_CM = 2.7
"""1.96 of the sigmas that the butt from the other view claims."""

SIDE, FRONT = Camera(), Camera(view="face_on", distance_cm=450.0)


def seen(drawing: Drawing, picture: np.ndarray | None = None, **given: object) -> Seen:
    return Seen(
        landmarks=see(drawing.golfer, drawing.camera),
        picture=drawing.picture() if picture is None else picture,
        given=Given(**given),  # type: ignore[arg-type]
    )


def read(drawing: Drawing, picture: np.ndarray | None = None, *, student: dict | None = None, **given: object):
    view = drawing.camera.view
    return read_scenes({view: seen(drawing, picture, **given)}, student_of(drawing.golfer, **(student or {})))[view]


@pytest.mark.parametrize("camera", [SIDE, FRONT])
@pytest.mark.parametrize("left", [False, True])
def test_shaft_and_ball_are_found_where_none_was_given(camera, left):
    drawing = Drawing(camera=camera, golfer=Golfer(left_handed=left))
    scene = read(drawing)
    assert (scene.shaft_source, scene.ball_source, scene.butt_source, scene.given) == ("found", "found", "seen", ())
    assert np.allclose(scene.shaft_px, [drawing.px(drawing.butt), drawing.px(drawing.sole)], atol=PX_TOLERANCE)
    assert np.allclose(scene.ball_px, drawing.px(drawing.ball_at), atol=PX_TOLERANCE)


def test_what_the_coach_gave_goes_before_what_was_found():
    shaft, ball = ((500.0, 900.0), (560.0, 1300.0)), (570.0, 1310.0)
    scene = read(Drawing(), shaft_px=shaft, ball_px=ball)
    assert (scene.shaft_px, scene.ball_px) == (shaft, ball)
    assert (scene.shaft_source, scene.ball_source, scene.butt_source) == ("given", "given", "given")
    assert scene.given == ("shaft", "ball")


def test_a_given_shaft_helps_to_find_the_ball():
    drawing = Drawing(camera=FRONT)
    shaft = tuple(tuple(float(c) for c in drawing.px(point)) for point in (drawing.butt, drawing.sole))
    scene = read(drawing, shaft_px=shaft)
    assert scene.ball_source == "found"
    assert np.allclose(scene.ball_px, drawing.px(drawing.ball_at), atol=PX_TOLERANCE)


@pytest.mark.parametrize("camera", [SIDE, FRONT])
def test_nothing_found_says_why_not(camera):
    scene = read(without_putter(Drawing(camera=camera)))
    assert scene.shaft_px is None
    assert scene.ball_px is None
    assert (scene.shaft_source, scene.ball_source, scene.butt_source) == ("none", "none", "none")
    assert scene.shaft_why_not
    assert "no shaft was found" in scene.ball_why_not


def test_a_found_putter_of_known_length_becomes_the_scale():
    drawing = Drawing()
    # A stick golfer's ends are its joints, those of the landmarks lie inside: so tall it would have been taken to be.
    stature = 176.0 / BENT_BODY_SHARE
    scene = read(drawing, student={"putter_length_cm": drawing.length_cm, "stature_cm": stature})
    assert scene.scale_source == "putter"
    assert scene.px_per_cm.value == pytest.approx(SIDE.focal_px / SIDE.distance_cm, rel=SCALE_TOLERANCE)
    assert scene.px_per_cm.low < SIDE.focal_px / SIDE.distance_cm < scene.px_per_cm.high
    assert "as found in the picture" in scene.px_per_cm.method


def test_a_hidden_butt_leaves_the_scale_to_stature():
    drawing = Drawing()
    u, v = drawing.px(drawing.hands)
    hidden = cover(drawing.picture(), (u - 70, v - 110), (u + 30, v - 5), (60, 40, 120))
    scene = read(drawing, hidden, student={"putter_length_cm": drawing.length_cm})
    assert scene.butt_source == "judged"
    assert scene.scale_source == "stature"


def test_a_putter_that_does_not_go_with_the_stature_is_said_and_not_used():
    drawing = Drawing()
    scene = read(drawing, student={"putter_length_cm": 1.15 * drawing.length_cm})
    assert scene.scale_source == "stature"
    (warning,) = [warning for warning in scene.warnings if "putter" in warning]
    assert "check both" in warning


def drawn_shaft(drawing: Drawing) -> tuple:
    return tuple(tuple(float(c) for c in drawing.px(point)) for point in (drawing.butt, drawing.sole))


def length_by_stature(drawing: Drawing, length_cm: float, **given) -> float:
    """Return how long something drawn is by the scale that the stature gives.

    A stick figure's stature and its putter do not go together to the percent: its joints lie where sticks meet.
    """
    student = {} if "scale_object" in given else {"putter_length_cm": length_cm}
    by_length, by_stature = read(drawing, student=student, **given), read(drawing)
    assert by_stature.scale_source == "stature"
    assert by_length.scale_source != "stature"
    return length_cm * by_length.px_per_cm.value / by_stature.px_per_cm.value


@pytest.mark.whole
@pytest.mark.parametrize("wrong", [1.12, 0.88])
def test_a_drawn_putter_whose_typed_length_does_not_go_with_the_stature_is_said(wrong):
    drawing = Drawing()
    fitting_cm = length_by_stature(drawing, drawing.length_cm, shaft_px=drawn_shaft(drawing))
    length_cm = round(wrong * fitting_cm, 1)
    scene = read(drawing, student={"putter_length_cm": length_cm}, shaft_px=drawn_shaft(drawing))
    (warning,) = [warning for warning in scene.warnings if "putter" in warning]
    assert scene.scale_source == "putter"
    assert f"putter of {format_length(length_cm)} looks" in warning
    assert "The scale is from the putter; check --shaft-at, --putter-length and --height" in warning
    looks_cm = float(warning.split(" looks ")[1].split("(")[1].split("\N{NO-BREAK SPACE}cm")[0])
    assert looks_cm == pytest.approx(fitting_cm, abs=0.06)  # it is said to the millimetre


def test_a_drawn_putter_that_goes_with_the_stature_draws_no_warning():
    drawing = Drawing()
    fitting_cm = length_by_stature(drawing, drawing.length_cm, shaft_px=drawn_shaft(drawing))
    scene = read(drawing, student={"putter_length_cm": fitting_cm}, shaft_px=drawn_shaft(drawing))
    assert not any("putter" in warning for warning in scene.warnings)


@pytest.mark.whole
@pytest.mark.parametrize("camera", [SIDE, FRONT])
def test_a_known_length_that_does_not_go_with_the_stature_is_said(camera):
    drawing = Drawing(camera=camera)
    metre = ((300.0, 1000.0), (300.0 + 100 * camera.focal_px / camera.distance_cm, 1000.0))
    fitting_cm = length_by_stature(drawing, 100.0, scale_object=(100.0, metre))
    wrong, right = (read(drawing, scale_object=(length, metre)) for length in (1.33 * fitting_cm, fitting_cm))
    assert any("known length of" in warning for warning in wrong.warnings)
    assert not any("known length" in warning for warning in right.warnings)


def test_an_object_of_known_length_comes_before_a_found_putter():
    drawing = Drawing()
    ends = tuple(tuple(float(c) for c in SIDE.project(np.array([0.0, y, 0.0]))) for y in (-40.0, 80.0))
    scene = read(drawing, student={"putter_length_cm": drawing.length_cm}, scale_object=(120.0, ends))
    assert scene.scale_source == "object"


def test_a_ball_that_looks_too_large_draws_a_warning():
    drawing = Drawing(camera=FRONT)
    metre = ((300.0, 1000.0), (300.0 + 100 * FRONT.focal_px / FRONT.distance_cm, 1000.0))
    shaft = tuple(tuple(float(c) for c in drawing.px(point)) for point in (drawing.butt, drawing.sole))
    wrong = read(drawing, scale_object=(133.0, metre), shaft_px=shaft)
    right = read(drawing, scale_object=(100.0, metre), shaft_px=shaft)
    assert any("the ball looks" in warning for warning in wrong.warnings)
    assert not any("the ball looks" in warning for warning in right.warnings)


@pytest.mark.parametrize("butt_above", [8.0, 13.0])
def test_the_face_on_picture_lends_the_butt_that_is_hidden_down_the_line(butt_above):
    side = Drawing(camera=SIDE, butt_above_cm=butt_above)
    front = Drawing(camera=FRONT, butt_above_cm=butt_above)
    u, v = side.px(side.hands)
    hidden = cover(side.picture(), (u - 90, v - 140), (u + 30, v - 5), (60, 40, 120))
    scenes = read_scenes({"down_the_line": seen(side, hidden), "face_on": seen(front)}, student_of(side.golfer))
    scene = scenes["down_the_line"]
    assert scene.butt_source == "other_view"
    miss = np.linalg.norm(np.subtract(scene.shaft_px[0], side.px(side.butt))) / scene.px_per_cm.value
    assert miss < LENT_BUTT_TOLERANCE_CM


def test_a_butt_that_no_grip_could_have_is_not_carried_over():
    side = Drawing(camera=SIDE, butt_above_cm=10.0)
    u, v = side.px(side.hands)
    hidden = cover(side.picture(), (u - 90, v - 140), (u + 30, v - 5), (60, 40, 120))
    # A long dark band on the shaft passes for the end of the grip face on.
    front = Drawing(camera=FRONT, butt_above_cm=10.0)
    (u0, v0), (u1, v1) = front.px(front.hands + 14.0 * front.down), front.px(front.hands + 26.0 * front.down)
    banded = cover(front.picture(), (min(u0, u1) - 5, v0), (max(u0, u1) + 5, v1), RUBBER)
    scenes = read_scenes({"down_the_line": seen(side, hidden), "face_on": seen(front, banded)}, student_of(side.golfer))
    assert scenes["face_on"].butt_source == "seen"
    assert scenes["down_the_line"].butt_source == "judged"


def test_the_hands_of_the_setup_in_the_picture_count():
    drawing = Drawing()
    both = see(drawing.golfer, drawing.camera, frames=6)
    points = both.points_px.copy()
    points[:4, :, 0] -= 150.0
    landmarks = evolve(both, points_px=points, setup_index=np.array([0, 0, 0, 0, 1, 1]))
    what = evolve(seen(drawing), landmarks=landmarks, still_index=5)
    assert np.allclose(what.hands_px(), drawing.px(drawing.hands))
