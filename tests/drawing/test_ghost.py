"""The ghost stands where the student stands, as large as the student, and says what changes."""

import math

import numpy as np
import pytest
from attrs import evolve
from changed_lesson import HEEL, make_changed_lesson, make_figure
from invented import make_lesson
from invented_golfer import GROUND_V, LIE, PX_PER_CM, SIZE, px
from PIL import Image, ImageDraw

from putt_posture.drawing.colours import PART_COLOURS
from putt_posture.drawing.feet import Standing
from putt_posture.drawing.ghost import draw_ghost, find_ghost_crop, find_legs
from putt_posture.drawing.placing import Placing
from putt_posture.drawing.silhouette import outline_body
from putt_posture.values import Estimate, absent

SAME_BODY = 0.8
"""Share of the union of both that the two bodies have in common; the invented student is of other capsules, which are
a few centimetres thicker or thinner."""


def share_of(picture, colour):
    """The share of a picture that has a colour."""
    want = np.array([int(colour[i : i + 2], 16) for i in (1, 3, 5)])
    return (np.abs(picture.astype(int) - want).max(axis=2) <= 20).mean()


def wanted():
    return {
        "spine_tilt": Estimate(value=40.2, standard_uncertainty=2.0, unit="deg"),
        "hand_offset": Estimate(value=0.0, standard_uncertainty=0.5, unit="cm"),
    }


@pytest.mark.parametrize("handed", ["right", "left"])
def test_in_the_students_own_setup_it_covers_the_student(handed):
    lesson = make_lesson(handed=handed)
    forward = 1 if handed == "right" else -1
    shape = outline_body(make_figure(), lesson.student)
    canvas = Image.new("1", SIZE)
    for piece in (*shape.leg, *shape.body, *shape.arm):
        ImageDraw.Draw(canvas).polygon([px(y - HEEL, z, forward) for y, z in piece], fill=1)
    ghost = np.asarray(canvas)
    marks = lesson.views["down_the_line"].landmarks
    u0, v0, u1, v1 = marks.mask_box_px
    student = np.zeros_like(ghost)
    student[v0:v1, u0:u1] = marks.masks[1] > 128
    assert (ghost & student).sum() / (ghost | student).sum() > SAME_BODY


@pytest.mark.parametrize("forward", [1, -1])
def test_it_is_placed_at_scale_on_the_ground_and_to_the_right_side(forward):
    place = Placing(anchor_px=px(7.0, 0.0, forward), anchor_cm=7.0, px_per_cm=PX_PER_CM, forward=forward, roll_deg=0.0)
    points = np.array([[0.0, 0.0], [60.0, 2.1], [-12.0, 150.0]])
    assert np.array(place.points(points)) == pytest.approx(np.array([px(y, z, forward) for y, z in points]))


def test_a_rolled_camera_rolls_it_about_its_feet():
    place = Placing(anchor_px=(540.0, GROUND_V), anchor_cm=0.0, px_per_cm=1.0, forward=1, roll_deg=10.0)
    u, v = place.point((0.0, 100.0))
    # A true vertical leans to the right at its top.
    assert u - 540.0 == pytest.approx(100 * math.sin(math.radians(10)))
    assert GROUND_V - v == pytest.approx(100 * math.cos(math.radians(10)))


def test_it_says_what_changes_and_leaves_the_photograph_to_be_seen():
    lesson = make_lesson()
    lesson = evolve(lesson, student=evolve(lesson.student, putter_length_cm=88.9))
    ghost = draw_ghost(lesson, make_figure(), wanted=wanted(), putter_cm=83.8)
    for part in (
        "putter of 33.0\N{NO-BREAK SPACE}in",
        "spine tilt 34.0 → 40.2°",
        "hands to shoulders 5.9 → 0.0\N{NO-BREAK SPACE}cm outside",
        "putter 35.0 → 33.0\N{NO-BREAK SPACE}in (88.9 → 83.8\N{NO-BREAK SPACE}cm)",
        "own footprints",
    ):
        assert part in ghost.says
    assert ghost.picture.dtype == np.uint8
    assert min(ghost.picture.shape[:2]) >= 1000
    # The shirt is blue before and under the wash: never covered wholly.
    red, _, blue = (ghost.picture[..., band].astype(int) for band in range(3))
    assert ((blue - red) > 40).mean() > 0.01


def test_it_says_nothing_of_what_does_not_change_by_more_than_its_margin():
    lesson = make_lesson()
    same = {name: lesson.posture[name] for name in ("spine_tilt", "hand_offset", "back_rounding", "eye_offset")}
    almost = {**same, "spine_tilt": evolve(same["spine_tilt"], value=same["spine_tilt"].value + 3.0)}  # of ± 4.1
    for unchanged in (same, almost):
        says = draw_ghost(lesson, make_figure(), wanted=unchanged, putter_cm=83.8).says
        assert "→" not in says
        assert not any(word in says for word in ("tilt", "shoulders", "rounding", "eyes"))


def test_a_putter_that_is_left_as_it_is_is_not_named_as_a_change():
    lesson = make_changed_lesson()
    shown = {advice: draw_ghost(evolve(lesson, spec=evolve(lesson.spec, advice=advice)), make_figure(), wanted={},
                                putter_cm=86.4).says for advice in ("cut", "leave")}  # fmt: skip
    assert "putter 36.0 → 34.0\N{NO-BREAK SPACE}in" in shown["cut"]
    assert "→" not in shown["leave"]


def test_back_and_eyes_are_drawn_where_they_are_what_changes():
    lesson = make_lesson()
    now = {name: lesson.posture[name] for name in ("back_rounding", "eye_offset")}
    changed = {name: evolve(each, value=each.value + 20.0) for name, each in now.items()}
    quiet, said = (draw_ghost(lesson, make_figure(), wanted=each, putter_cm=83.8) for each in (now, changed))
    assert "back rounding 17.3 → 37.3°" in said.says
    assert "eyes over the ball" in said.says
    for part in ("trunk", "head"):
        assert share_of(said.picture, PART_COLOURS[part]) > share_of(quiet.picture, PART_COLOURS[part]) + 0.0005


def test_the_wanted_ball_is_drawn_where_the_figure_has_it():
    lesson = make_lesson()
    far = evolve(make_figure(), ball=(make_figure().ball[0] + 12.0, make_figure().ball[1]))
    crop = find_ghost_crop(evolve(lesson, fit=evolve(lesson.fit, figure=far)))
    picture = draw_ghost(lesson, far, wanted={}, putter_cm=83.8).picture
    u, v = (round(each) for each in crop.place(px(far.ball[0] - HEEL, far.ball[1], 1)))
    assert picture[v - 2 : v + 3, u - 2 : u + 3].min() > 240  # white on the lawn


@pytest.mark.parametrize("name", ["before", "left_hander"])
def test_both_feet_stand_on_the_soles_of_the_student(sample_lessons, name):
    lesson = sample_lessons[name]
    result, figure = lesson.views["down_the_line"], lesson.fit.figure
    mask, (u0, v0) = result.landmarks.masks[result.still_index] > 128, result.landmarks.mask_box_px[:2]
    near = "right" if result.scene.forward > 0 else "left"
    foot = Standing.of(result).foot(near)
    columns = np.arange(round(foot[:2, 0].min()), round(foot[:2, 0].max()))
    sole = np.median([v0 + np.flatnonzero(mask[:, column - u0])[-1] for column in columns])
    legs = find_legs(lesson, figure)
    lowest = [max(v for piece in leg for _, v in piece) for leg in legs]
    cm = result.scene.px_per_cm.value
    assert abs(lowest[0] - sole) < 1.5 * cm
    assert lowest[0] - lowest[1] > 2.0 * cm  # the far foot stands higher in the picture


def test_the_whole_ghost_is_in_the_picture():
    tall = evolve(make_figure(), joints={name: (y, 1.15 * z) for name, (y, z) in make_figure().joints.items()})
    lesson = make_lesson()
    small, large = (draw_ghost(lesson, each, wanted={}, putter_cm=83.8).picture for each in (make_figure(), tall))
    white = [(picture.min(axis=2) > 245).any(axis=1).argmax() / picture.shape[0] for picture in (small, large)]
    assert all(0.01 < top < 0.4 for top in white)


def test_the_putter_lies_at_its_angle():
    butt, sole = make_figure().butt, make_figure().sole
    assert math.degrees(math.atan2(butt[1] - sole[1], sole[0] - butt[0])) == pytest.approx(LIE, abs=0.5)


@pytest.mark.parametrize("missing", ["view", "scale", "feet"])
def test_without_view_scale_or_feet_there_is_no_ghost(missing):
    lesson = make_lesson(views=("face_on",) if missing == "view" else ("down_the_line", "face_on"))
    if missing == "scale":
        side = lesson.views["down_the_line"]
        scene = evolve(side.scene, px_per_cm=absent("No scale.", unit="px/cm"))
        lesson = evolve(lesson, views={**lesson.views, "down_the_line": evolve(side, scene=scene)})
    if missing == "feet":
        marks = {view: {n: p for n, p in each.items() if n != "foot"} for view, each in lesson.posture.marks.items()}
        lesson = evolve(lesson, posture=evolve(lesson.posture, marks=marks))
    assert draw_ghost(lesson, make_figure(), wanted=wanted(), putter_cm=83.8) is None
