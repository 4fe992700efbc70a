"""The drawings of a stroke: to scale, and nothing is shown as more than can be measured."""

import re
import sys
from pathlib import Path

import matplotlib
import numpy as np
import pytest
from attrs import evolve
from changed_lesson import make_changed_lesson
from invented import make_lesson
from matplotlib.font_manager import FontProperties
from matplotlib.textpath import TextPath

sys.path.insert(0, str(Path(__file__).parents[1] / "strokes"))
from made_up import BACK_S, THROUGH_S, make_stroke, make_strokes, swing_at
from shown_strokes import add_strokes, make_numbers

from putt_posture.drawing.charts import AFTER, BEFORE, LETTERS, SOFT, WIDTH
from putt_posture.drawing.faces import hide_faces
from putt_posture.drawing.stroke_data import (
    cut_path,
    find_path_from_above,
    is_within_noise,
    put_in_step,
)
from putt_posture.drawing.stroke_from_above import draw_paths_from_above
from putt_posture.drawing.stroke_panels import WITHIN, PathsOf
from putt_posture.drawing.stroke_paths import draw_paths, say_within
from putt_posture.drawing.stroke_stillness import draw_stillness
from putt_posture.drawing.stroke_stills import draw_stroke_stills, find_stroke_crop, marks_at_event, seen_stroke_of
from putt_posture.drawing.stroke_times import draw_time_bars, time_bar_of
from putt_posture.shown_units import show_lengths_in
from putt_posture.values import Estimate, absent


def cm(value, sigma=0.2):
    return Estimate(value=value, standard_uncertainty=sigma, unit="cm")


def texts(svg):
    return re.findall(r"<!-- (.*?) -->", svg)


def bands(svg, colour):
    """Height and width of each half-transparent area of a colour, points: the bands."""
    found = re.findall(r'<path d="([^"]*)"[^>]*style="fill: (#[0-9a-f]{6}); opacity: 0\.22', svg)
    sizes = []
    for outline, each in found:
        if each == colour.lower():
            points = np.array(re.findall(r"[ML] (-?[\d.]+) (-?[\d.]+)", outline), dtype=float)
            sizes.append(tuple(np.ptp(points, axis=0)))
    return sizes


def with_sd(stroke, point, sd):
    path = stroke.paths[point]
    return evolve(stroke, paths={**stroke.paths, point: evolve(path, sd_cm=np.full_like(path.sd_cm, sd))})


def test_a_path_is_cut_at_its_events_and_reaches_its_ends_there():
    stroke = make_stroke()
    back = cut_path(stroke.paths["putter_head"], stroke.events, end="top")
    assert back.times_s[0] == pytest.approx(1.0, abs=1 / 60)
    assert back.times_s[-1] == pytest.approx(1.0 + BACK_S, abs=1 / 60)
    assert back.moved_cm[-1, 0] == pytest.approx(-24.0, abs=0.1)


def test_an_absent_event_leaves_the_path_whole_on_that_side():
    stroke = make_stroke()
    events = {**stroke.events, "finish": absent("The clip ends before it.", unit="s")}
    assert cut_path(stroke.paths["hands"], events).times_s[-1] == stroke.paths["hands"].times_s[-1]


def test_what_is_inside_the_noise_is_told_by_the_places_at_the_events():
    stroke = make_stroke("down_the_line")
    head = stroke.paths["putter_head"]  # 0.29 cm inside at the top and 0.41 at the finish
    assert not is_within_noise(head, stroke.events, axis=0)
    assert is_within_noise(with_sd(stroke, "putter_head", 0.2).paths["putter_head"], stroke.events, axis=0)


def test_noise_alone_is_called_a_way_in_about_one_of_twenty_strokes():
    """Three independent looks at pure noise leave the interval in 5 %: 25 of 500, give or take 15 (three sigma)."""
    stroke, rng = make_stroke("down_the_line"), np.random.default_rng(16)
    path = stroke.paths["hands"]
    noise = 0.15 * rng.standard_normal((500, *path.moved_cm.shape))
    called = sum(not is_within_noise(evolve(path, moved_cm=each), stroke.events, axis=0) for each in noise)
    assert 10 <= called <= 40


def test_two_views_are_put_in_step_by_their_events_however_late_one_camera_started():
    front, side = make_stroke("face_on"), make_stroke("down_the_line", start_s=4.5)
    times = put_in_step(np.array([1.0, 1.0 + BACK_S, 1.0 + BACK_S + THROUGH_S, 0.5]), front.events, side.events)
    assert times[:3] == pytest.approx([4.5, 4.5 + BACK_S, 4.5 + BACK_S + THROUGH_S])
    assert np.isnan(times[3])
    above = find_path_from_above(front, side, "putter_head")
    along = swing_at(above.times_s)
    assert above.moved_cm[:, 0] == pytest.approx(along, abs=0.05)
    assert above.moved_cm[:-1, 1] == pytest.approx((-0.012 * along**2 / 24)[:-1], abs=0.02)


def test_the_band_is_as_wide_as_the_interval_at_the_scale_of_the_picture():
    """A head that goes up alone has a band of 2 × 1.96 σ across; twice the σ is twice as wide, to one scale."""
    stroke = make_stroke("down_the_line")
    path = stroke.paths["putter_head"]
    upward = evolve(path, moved_cm=path.moved_cm * np.array([0.0, 1.0]))
    drawn = []
    for sd in (0.2, 0.4):
        changed = evolve(stroke, paths={"putter_head": evolve(upward, sd_cm=np.full_like(path.sd_cm, sd))})
        (size,) = bands(draw_paths([PathsOf(stroke=changed)], view="down_the_line"), SOFT)
        drawn.append(size)
    tall = float(np.ptp(cut_path(path, stroke.events).moved_cm[:, 1]))
    per_cm = [(drawn[k][1] - drawn[k][0]) / tall for k in (0, 1)]
    assert per_cm[0] == pytest.approx(per_cm[1], rel=0.02)
    assert drawn[0][0] / per_cm[0] == pytest.approx(2 * 1.96 * 0.2, rel=0.03)
    assert drawn[1][0] / per_cm[1] == pytest.approx(2 * 1.96 * 0.4, rel=0.03)


def test_a_band_that_is_wide_at_the_top_is_narrow_at_address():
    stroke = make_stroke("down_the_line")
    path = stroke.paths["putter_head"]
    growing = evolve(path, sd_cm=np.where(path.times_s[:, None] < 1.3, 0.05, 2.0) * np.ones(2))
    lone = evolve(stroke, paths={"putter_head": growing})
    svg = draw_paths([PathsOf(stroke=lone)], view="down_the_line")
    even = evolve(stroke, paths={"putter_head": evolve(path, sd_cm=np.full_like(path.sd_cm, 2.0))})
    whole = draw_paths([PathsOf(stroke=even)], view="down_the_line")
    assert bands(svg, SOFT)[0][1] < bands(whole, SOFT)[0][1]


def test_a_way_inside_the_noise_is_grey_and_says_so():
    stroke = make_stroke("down_the_line")
    svg = draw_paths([PathsOf(stroke=stroke)], view="down_the_line")
    assert f"Hands: sideways {WITHIN}" in texts(svg)
    assert "Putter head" in texts(svg)
    assert len(bands(svg, SOFT)) == len(bands(svg, AFTER)) == 1
    assert say_within(stroke, view="down_the_line") == f"Of the hands, the way across the line is {WITHIN}."
    sure = with_sd(stroke, "hands", 0.01)
    assert not bands(draw_paths([PathsOf(stroke=sure)], view="down_the_line"), SOFT)
    assert say_within(sure, view="down_the_line") == ""


def test_a_rise_inside_the_noise_leaves_the_way_along_the_line_as_it_is():
    stroke = with_sd(make_stroke(), "hands", 1.0)
    svg = draw_paths([PathsOf(stroke=stroke)], view="face_on")
    assert f"Hands: rise {WITHIN}" in texts(svg)
    assert len(bands(svg, AFTER)) == 2


def test_the_line_under_the_shoulders_is_drawn_or_pointed_at():
    shown = [PathsOf(stroke=make_stroke("down_the_line"))]
    near = draw_paths(shown, view="down_the_line", under_shoulders=cm(4.0))
    far = draw_paths(shown, view="down_the_line", under_shoulders=cm(30.0))
    assert "under the shoulders" in texts(near)
    assert "← under the shoulders" in texts(far)
    left = draw_paths(shown, view="down_the_line", under_shoulders=cm(30.0), forward=-1)
    assert "under the shoulders →" in texts(left)
    hidden = draw_paths(shown, view="down_the_line", under_shoulders=absent("Hidden.", unit="cm"))
    assert not [each for each in texts(hidden) if "shoulders" in each]


def test_from_above_the_measured_path_lies_beside_the_predicted_arc():
    arc = make_changed_lesson().arcs.before
    svg = draw_paths_from_above(make_strokes(), predicted=arc, under_shoulders=cm(8.0))
    assert {"by the setup", "as measured", "From above, to scale", "Putter head, 5 × across"} <= set(texts(svg))
    assert BEFORE.lower() in svg
    alone = draw_paths_from_above(make_strokes())
    assert "by the setup" not in texts(alone)


def test_headings_that_say_what_is_within_the_noise_fit_into_the_picture():
    bold = FontProperties(fname=str(Path(matplotlib.get_data_path()) / "fonts" / "ttf" / "DejaVuSans-Bold.ttf"))
    strokes = make_strokes()
    unsure = {
        view: tuple(with_sd(with_sd(each, "putter_head", 5.0), "hands", 5.0) for each in of_view)
        for view, of_view in strokes.of.items()
    }
    behind = draw_paths([PathsOf(stroke=unsure["down_the_line"][0])], view="down_the_line")
    headings = [
        each for svg in (draw_paths_from_above(evolve(strokes, of=unsure)), behind) for each in texts(svg)
        if WITHIN in each
    ]  # fmt: skip
    assert len(headings) == 4
    for each in headings:
        assert TextPath((0, 0), each, size=LETTERS, prop=bold).get_extents().x1 < WIDTH - 8


def test_from_above_needs_a_stroke_in_both_views():
    strokes = make_strokes()
    assert draw_paths_from_above(evolve(strokes, shown={"face_on": 0})) is None


def test_a_left_handers_target_is_to_the_left():
    assert "along the line, cm (the target to the left)" in texts(
        draw_paths([PathsOf(stroke=make_stroke())], view="face_on", forward=-1)
    )


def test_lengths_of_the_axes_follow_the_chosen_unit():
    with show_lengths_in("inches"):
        svg = draw_paths([PathsOf(stroke=make_stroke())], view="face_on")
    assert "along the line, in (the target to the right)" in texts(svg)


def test_nothing_seen_gives_no_picture():
    stroke = evolve(make_stroke(), paths={})
    assert draw_paths([PathsOf(stroke=stroke)], view="face_on") is None
    unknown = dict.fromkeys(stroke.events, absent("Not seen.", unit="s"))
    assert draw_time_bars([time_bar_of(evolve(stroke, events=unknown), title="1. Putt")]) is None
    assert draw_stillness({}) is None


def test_time_bars_show_duration_ratio_and_which_strokes_are_practice():
    numbers = make_numbers()
    bars = [
        time_bar_of(make_stroke(numbers=numbers, number=k + 1, start_s=1 + 6 * k, kind=kind), title=f"{k + 1}. {kind}")
        for k, kind in enumerate(("practice", "putt"))
    ]
    said = texts(draw_time_bars(bars))
    assert said.count("0.67 s".replace(" ", "\N{NO-BREAK SPACE}")) == 2
    assert "1. practice" in said
    assert "practice" in said
    assert any("back to through 2.1 ± 0.1" in each for each in said)


def test_a_clip_in_slow_motion_is_drawn_in_real_seconds():
    fast, slow = (time_bar_of(make_stroke(), title="1", time_stretch=each) for each in (1.0, 8.0))
    assert slow.events["top"].value == pytest.approx(fast.events["top"].value / 8)
    assert slow.events["top"].margin == pytest.approx(fast.events["top"].margin / 8)


def test_no_digit_of_a_ratio_is_shown_that_its_margin_drowns():
    numbers = {"tempo_ratio": Estimate(value=2.114, standard_uncertainty=0.13, unit="ratio")}
    said = texts(draw_time_bars([time_bar_of(make_stroke(numbers=numbers), title="1. Putt")]))
    assert "back to through 2.1 ± 0.3" in said


def test_stillness_shows_amounts_with_or_against_the_hands_and_grey_noise():
    numbers = {"head_along": cm(1.4), "sternum_along": cm(-1.1), "hips_along": cm(0.1)}
    numbers["knees_along"] = absent("No.", unit="cm")
    said = texts(draw_stillness(numbers, with_hands={"head": "against", "sternum": "with", "hips": "with"}))
    for each in ("against the hands", "with the hands", "within the noise", "not measured"):
        assert said.count(each) == 1
    assert not [each for each in said if re.search(r"good|bad|still|too ", each)]


@pytest.fixture(scope="module")
def lesson():
    return add_strokes(make_lesson())


@pytest.mark.parametrize("view", ["down_the_line", "face_on"])
def test_four_stills_are_cut_alike_and_in_order_of_time(lesson, view):
    stills = draw_stroke_stills(lesson, view)
    assert [each.event for each in stills] == ["start", "top", "impact", "finish"]
    assert len({each.picture.shape for each in stills}) == 1
    crop = find_stroke_crop(lesson, view)
    assert stills[0].picture.shape[:2] == crop.size[::-1]
    plain = [crop.cut_frame(frame).astype(int) for frame in lesson.views[view].strokes.strokes[0].stills]
    drawn = [
        float((np.abs(each.picture - bare).max(axis=2) > 24).mean()) for each, bare in zip(stills, plain, strict=True)
    ]
    assert all(0.005 < each < 0.2 for each in drawn)


def test_the_lines_at_address_are_those_of_the_setups_joints(lesson):
    _, seen = seen_stroke_of(lesson, "face_on")
    result = lesson.views["face_on"]
    moved = evolve(result.joints, points_px=result.joints.points_px + np.array([3.0, -2.0]))
    plain, shifted = (
        marks_at_event(each, seen, "start", handed="right") for each in (result, evolve(result, joints=moved))
    )
    assert np.subtract(shifted["spine"], plain["spine"]) == pytest.approx(np.tile([3.0, -2.0], (2, 1)))
    assert shifted["shaft"] == plain["shaft"]


def test_no_still_is_drawn_where_none_was_kept_or_no_stroke_is_shown(lesson):
    assert draw_stroke_stills(add_strokes(make_lesson(), stills=False), "face_on") == ()
    assert draw_stroke_stills(add_strokes(make_lesson(), views=("face_on",)), "down_the_line") == ()
    assert draw_stroke_stills(make_lesson(), "face_on") == ()


def test_heads_are_hidden_in_the_stills_of_the_stroke_too(lesson):
    hidden = hide_faces(lesson)
    for view, result in lesson.views.items():
        for before, after in zip(
            result.strokes.strokes[0].stills, hidden.views[view].strokes.strokes[0].stills, strict=True
        ):
            changed = np.abs(before.picture.astype(int) - after.picture).max(axis=2) > 12
            assert changed.mean() > 0.0005
            assert np.nonzero(changed.any(axis=1))[0].max() < 0.6 * len(changed)
