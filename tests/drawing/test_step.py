"""A step of a rebuild shows what was filmed and where it should be, on the student's own still."""

import math

import numpy as np
import pytest
from attrs import evolve
from invented import make_lesson

from putt_posture.disk.marks import DRAWN_STEPS
from putt_posture.documents import lesson_as_json
from putt_posture.drawing.feet import Standing
from putt_posture.drawing.sheet import Sheet
from putt_posture.drawing.step import (
    STEP_SHORT_SIDE,
    _shown_band,
    choose_drawn,
    draw_kept_step,
    draw_rebuild,
    draw_step,
)
from putt_posture.drawing.step_plans import STEP_PLANS, Band, StepView
from putt_posture.drawing.stills import as_jpeg
from putt_posture.errors import ArgumentError
from putt_posture.measures import MEASURES
from putt_posture.records.measured import MeasuredLesson
from putt_posture.values import LANDMARK_INDEX, LANDMARK_NAMES, absent

BANDS = {
    "spine_tilt": (33.0, 40.0), "back_rounding": (10.0, 20.0), "head_drop": (12.0, 20.0), "knee_flex": (10.0, 15.0),
    "hand_offset": (-1.0, 2.0), "elbow_gap_lead": (0.0, 2.0), "elbow_gap_trail": (0.0, 2.0), "elbow_depth": (-1.0, 1.0),
    "eye_offset": (-3.0, 0.0), "balance": (50.0, 65.0), "shaft_lie": (69.0, 71.0), "stance_width": (34.0, 40.0),
    "ball_position": (0.0, 3.0),
}  # fmt: skip
MOST_BYTES = 160_000
"""Of a picture that goes into a page, as JPEG of the usual quality."""


def test_there_is_a_drawing_for_every_step_of_the_rebuild():
    assert set(STEP_PLANS) == set(BANDS) == set(DRAWN_STEPS)


@pytest.mark.parametrize("name", BANDS)
@pytest.mark.parametrize("pair", ["before", "left_hander"])
def test_every_step_is_drawn_with_both_labels_on_a_sample_lesson(sample_lessons, pair, name, monkeypatch):
    finished = []
    finish = Sheet.finish
    monkeypatch.setattr(Sheet, "finish", lambda sheet: finished.append(found := finish(sheet)) or found)
    drawing = draw_step(sample_lessons[pair], name, wanted=BANDS[name])
    ((_, tags),) = finished
    assert {tag.name for tag in tags} == {"wanted", "filmed"}
    assert min(drawing.picture.shape[:2]) == STEP_SHORT_SIDE
    assert len(as_jpeg(drawing.picture, most_bytes=10**7)) < 2 * MOST_BYTES
    assert len(as_jpeg(drawing.picture, most_bytes=MOST_BYTES)) <= MOST_BYTES
    assert drawing.says.startswith(f"{MEASURES[name].title}: filmed ")
    assert ", wanted " in drawing.says


@pytest.mark.parametrize("name", ["hand_offset", "back_rounding", "stance_width"])
def test_a_kept_lesson_gives_the_same_drawing_as_the_one_that_was_measured(sample_lessons, name):
    lesson = sample_lessons["before"]
    view = next(iter(MEASURES[name].sketches))
    kept = MeasuredLesson.of(lesson).view(view)
    measured = draw_step(lesson, name, wanted=BANDS[name])
    again = draw_kept_step(kept, name, filmed=lesson.posture[name], wanted=BANDS[name], handed="right")
    assert again.says == measured.says
    assert again.picture.shape == measured.picture.shape
    assert np.abs(again.picture.astype(int) - measured.picture).mean() < 3.0


def test_an_absent_measure_has_no_drawing(lesson):
    estimates = {**lesson.posture.estimates, "spine_tilt": absent("The near hip is hidden.", unit="deg")}
    hidden = evolve(lesson, posture=evolve(lesson.posture, estimates=estimates))
    assert draw_step(hidden, "spine_tilt", wanted=35.0) is None
    assert draw_step(make_lesson(views=("face_on",)), "hand_offset", wanted=0.0) is None


def test_without_the_joints_or_the_scale_that_it_needs_there_is_no_drawing(lesson):
    assert draw_step(lesson, "eye_offset", wanted=0.0) is None  # the invented student has no eye landmarks
    result = lesson.views["down_the_line"]
    unscaled = evolve(result, scene=evolve(result.scene, px_per_cm=absent("No scale.", unit="px/cm")))
    assert draw_step(evolve(lesson, views={"down_the_line": unscaled}), "hand_offset", wanted=0.0) is None


@pytest.mark.parametrize(
    ("name", "wanted", "says"),
    [("putter_length", 80.0, "no drawing of a step for 'putter_length'"), ("spine_tilt", (40.0, 33.0), "lower end"),
     ("spine_tilt", math.nan, "a number or the two ends"), ("spine_tilt", (1.0, 2.0, 3.0), "a number or the two ends")],
)  # fmt: skip
def test_what_cannot_be_drawn_is_refused_in_one_sentence(lesson, name, wanted, says):
    with pytest.raises(ArgumentError, match=says):
        draw_step(lesson, name, wanted=wanted)


def test_the_other_view_of_a_kept_lesson_is_refused(sample_lessons):
    lesson = sample_lessons["before"]
    kept = MeasuredLesson.of(lesson).view("face_on")
    with pytest.raises(ArgumentError, match="only the down-the-line one shows it"):
        draw_kept_step(kept, "hand_offset", filmed=lesson.posture["hand_offset"], wanted=0.0, handed="right")


def test_a_band_may_have_one_open_end(sample_lessons):
    lesson = sample_lessons["before"]
    for ends, says in (((45.0, None), "wanted at least 45"), ((None, 60.0), "wanted up to 60")):
        assert says in draw_step(lesson, "balance", wanted=ends).says
    assert draw_step(lesson, "elbow_gap_lead", wanted=(None, 3.0)) is not None
    with pytest.raises(ArgumentError, match="a number or the two ends"):
        draw_step(lesson, "balance", wanted=(None, None))


@pytest.mark.parametrize(
    ("ends", "filmed", "shown"),
    [((None, 27.0), 10.0, (0.0, 27.0, 27.0)), ((None, 27.0), 40.0, (17.0, 27.0, 27.0)),
     ((5.0, None), 40.0, (5.0, 50.0, 5.0)), ((5.0, None), 1.0, (5.0, 15.0, 5.0)), ((5.0, 9.0), 1.0, (5.0, 9.0, 7.0))],
)  # fmt: skip
def test_an_open_band_goes_on_past_what_was_filmed_and_its_line_is_its_end(ends, filmed, shown):
    assert _shown_band(MEASURES["knee_flex"], ends, filmed) == Band(*shown)


def test_of_each_step_the_number_that_lies_outside_its_band_is_drawn(sample_lessons):
    lesson = sample_lessons["before"]
    drawn = draw_rebuild(lesson)
    tilt = next(each for each in lesson.steps if each.name == "tilt_from_hips")
    assert choose_drawn(tilt).quantity in drawn
    outside = evolve(tilt, numbers=tuple(
        evolve(each, lies="outside" if each.quantity == "hand_offset" else "within") for each in tilt.numbers
    ))  # fmt: skip
    assert choose_drawn(outside).quantity == "hand_offset"
    assert choose_drawn(evolve(tilt, numbers=())) is None
    assert len(drawn) >= 6
    boxes = lesson_as_json(lesson)["pictures"]["steps"]
    assert boxes.keys() == drawn.keys()
    for name, drawing in drawn.items():
        assert boxes[name]["size"] == [drawing.picture.shape[1], drawing.picture.shape[0]]


def made_view(forward: int = 1, handed: str = "right") -> StepView:
    """A made-up golfer of 10 pixels a centimetre, seen as both views see one: points are along and up, cm."""
    joints = np.full((33, 2), np.nan)
    places = {
        "hip": (0, 90), "shoulder": (28, 135), "ear": (45, 148), "eye": (50, 142), "elbow": (28, 105),
        "wrist": (35, 80), "index": (37, 74), "pinky": (36, 74), "knee": (8, 50), "ankle": (0, 10), "heel": (-6, 2),
        "foot_index": (20, 2),
    }  # fmt: skip
    for name in LANDMARK_NAMES:
        part = name.split("_", 1)[-1]
        if part in places:
            along, up = places[part]
            joints[LANDMARK_INDEX[name]] = (1000 + forward * 10 * along, 2000 - 10 * up)
    standing = Standing(
        joints_px=joints, outline=np.zeros((0, 0), np.uint8), outline_corner_px=(0, 0),
        ball_px=(1000 + forward * 600, 1979), px_per_cm=10.0,
    )  # fmt: skip
    return StepView(
        standing=standing, up=np.array([0.0, -1.0]), ahead=np.array([float(forward), 0.0]), forward=forward,
        handed=handed, shaft_px=((1000 + forward * 340, 1150), (1000 + forward * 600, 1990)),
    )  # fmt: skip


def band(low, high):
    return Band(low, high, (low + high) / 2)


def angle_of(line, view):
    way = line[1] - line[0]
    return math.degrees(math.atan2(way @ view.ahead, way @ view.up))


@pytest.mark.parametrize("forward", [1, -1])
def test_hands_are_wanted_on_the_plumb_line_under_the_shoulders(forward):
    view = made_view(forward)
    filmed = (view.hands - view.middle("shoulder")) @ view.ahead / 10
    plan = STEP_PLANS["hand_offset"](view, filmed, band(0.0, 0.0))
    assert plan.wanted[0][:, 0] == pytest.approx(view.middle("shoulder")[0])
    assert plan.reference[0][:, 0] == pytest.approx(view.middle("shoulder")[0])
    strip = STEP_PLANS["hand_offset"](view, filmed, band(0.0, 3.0)).band[0]
    assert np.ptp(strip[:, 0]) == pytest.approx(30.0)


@pytest.mark.parametrize("forward", [1, -1])
def test_the_wanted_tilt_turns_the_spine_about_the_hips(forward):
    view = made_view(forward)
    filmed = angle_of(np.array([view.middle("hip"), view.middle("shoulder")]), view)
    plan = STEP_PLANS["spine_tilt"](view, filmed, band(36.0, 40.0))
    assert angle_of(plan.wanted[0], view) == pytest.approx(38.0)
    assert plan.wanted[0][0] == pytest.approx(view.middle("hip"))
    rim = plan.band[0][1:]
    assert angle_of(np.array([view.middle("hip"), rim[0]]), view) == pytest.approx(36.0)
    assert angle_of(np.array([view.middle("hip"), rim[-1]]), view) == pytest.approx(40.0)


@pytest.mark.parametrize("forward", [1, -1])
def test_a_lie_that_should_be_steeper_brings_the_hands_toward_the_ball(forward):
    view = made_view(forward)
    butt, sole = np.array(view.shaft_px)
    lie = math.degrees(math.atan2((butt - sole) @ view.up, -(butt - sole) @ view.ahead))
    plan = STEP_PLANS["shaft_lie"](view, lie, band(lie + 3, lie + 3))
    turned = plan.wanted[0][1] - sole
    assert math.degrees(math.atan2(turned @ view.up, -turned @ view.ahead)) == pytest.approx(lie + 3)


@pytest.mark.parametrize("wanted", [4.0, 12.0, 25.0])
def test_the_wanted_knee_bends_by_the_wanted_angle_and_keeps_its_bones(wanted):
    view = made_view()
    hip, knee, ankle = (view.joint(f"right_{part}") for part in ("hip", "knee", "ankle"))

    def bend(one, at, two):
        a, b = (one - at) / np.linalg.norm(one - at), (two - at) / np.linalg.norm(two - at)
        return 180 - math.degrees(math.acos(a @ b))

    plan = STEP_PLANS["knee_flex"](view, bend(hip, knee, ankle), band(wanted, wanted))
    assert bend(*plan.wanted[0]) == pytest.approx(wanted)
    assert np.linalg.norm(plan.wanted[0][0] - plan.wanted[0][1]) == pytest.approx(np.linalg.norm(hip - knee))
    assert plan.wanted[0][2] == pytest.approx(ankle)


def test_the_wanted_elbow_is_at_the_front_of_the_ribs():
    view = made_view()
    plan = STEP_PLANS["elbow_depth"](view, -4.0, band(0.0, 0.0))
    front, elbow = plan.bracket
    assert np.linalg.norm(front - elbow) == pytest.approx(40.0)
    assert (front - elbow) @ view.ahead > 0  # the elbow is behind it
    assert plan.wanted[0].mean(axis=0) == pytest.approx(front)


def test_the_wanted_balance_is_a_stretch_under_the_foot():
    view = made_view()
    plan = STEP_PLANS["balance"](view, 30.0, band(50.0, 65.0))
    heel, toe = view.middle("heel")[0], view.middle("foot_index")[0]
    assert plan.dots[0][0] == pytest.approx(heel + 0.30 * (toe - heel))
    assert sorted({round(u) for u in plan.band[0][:, 0]}) == [round(heel + s * (toe - heel)) for s in (0.5, 0.65)]
    assert plan.bracket[:, 1].min() > view.middle("foot_index")[1]


def test_a_flatter_back_bends_less_between_the_same_ends():
    view = made_view()
    plan = STEP_PLANS["back_rounding"](view, 40.0, band(15.0, 15.0))
    filmed, wanted = plan.filmed[0], plan.wanted[0]
    moved = np.linalg.norm(filmed - wanted, axis=1)
    spine = view.middle("shoulder") - view.middle("hip")
    most = (math.tan(math.radians(10)) - math.tan(math.radians(3.75))) / 2 * np.linalg.norm(spine)
    assert moved.max() == pytest.approx(most, rel=0.02)
    assert moved[len(moved) // 2] > 3 * max(moved[0], moved[-1])
    assert ((wanted - filmed) @ view.ahead)[len(moved) // 2] > 0  # forward, into the trunk


def test_eyes_ball_stance_and_gaps_move_by_what_is_wanted():
    view = made_view()
    eyes = STEP_PLANS["eye_offset"](view, -10.0, band(0.0, 0.0))
    assert eyes.wanted[0][0, 0] == pytest.approx(view.middle("eye")[0] + 100)
    ball = STEP_PLANS["ball_position"](view, 5.0, band(2.0, 2.0))
    assert ball.wanted[0][0, 0] == pytest.approx(view.standing.ball_px[0] - 30)
    stance = STEP_PLANS["stance_width"](view, 0.0, band(8.0, 8.0))
    assert abs(stance.wanted[0][0, 0] - stance.wanted[1][0, 0]) == pytest.approx(80)
    gaps = {whose: STEP_PLANS[f"elbow_gap_{whose}"](view, 5.0, band(1.0, 1.0)) for whose in ("lead", "trail")}
    for whose, sign in (("lead", -1), ("trail", 1)):
        skin, ribs = gaps[whose].bracket
        assert sign * (ribs - skin) @ view.ahead == pytest.approx(50)  # the trunk lies between the elbows
        assert sign * (gaps[whose].wanted[0][0] - skin) @ view.ahead == pytest.approx(40)


@pytest.mark.parametrize("name", BANDS)
def test_a_left_handers_plan_is_the_mirror_of_a_right_handers(name):
    right, left = made_view(1, "right"), made_view(-1, "left")
    names = list(LANDMARK_NAMES)
    swap = [names.index(_other_side(each)) for each in names]
    mirrored = evolve(left.standing, joints_px=left.standing.joints_px[swap])
    one = STEP_PLANS[name](right, 12.0, band(*BANDS[name])).points
    two = STEP_PLANS[name](evolve(left, standing=mirrored), 12.0, band(*BANDS[name])).points
    assert np.sort(one[:, 0]) == pytest.approx(np.sort(2000 - two[:, 0]))
    assert np.sort(one[:, 1]) == pytest.approx(np.sort(two[:, 1]))


def _other_side(name: str) -> str:
    return name.replace("left", "LEFT").replace("right", "left").replace("LEFT", "right")
