"""Strokes seen in both clips: when they are one and the same, and what one clip may say of the other."""

import numpy as np
import pytest
from attrs import evolve
from filmed_strokes import film_stroke

from putt_posture.strokes.events import find_events
from putt_posture.strokes.same_strokes import LAID_SD_S, SameStrokes, TimedStroke, match_views
from putt_posture.strokes.two_views import LAID_CAUSE, OTHER_CLIP, TEMPO_CAUSE, share_times, time_strokes
from putt_posture.values import STROKE_EVENTS, Estimate, SeenStrokes, absent

PARTS = {"start": -1.0, "top": -0.32, "impact": 0.0, "finish": 0.4}
FRONT_SD = {"start": 0.018, "top": 0.012, "impact": 0.002, "finish": 0.02}
SIDE_SD = {"start": 0.1, "top": 0.1, "impact": 0.012, "finish": 0.1}
CLOCKS = 3.21
"""The clip down the line starts so much earlier, s."""


def made(impact_s, *, sds, kind="putt", stretch=1.0, slower=1.0, lacking=(), off_s=0.0, shift_s=float("nan")):
    """Return a stroke that meets the ball at a real time."""
    events = {
        name: absent("It was not seen.", unit="s")
        if name in lacking
        else Estimate(
            value=stretch * (impact_s + slower * part + (off_s if name in ("start", "top") else 0.0)),
            standard_uncertainty=stretch * sds[name],
            unit="s",
            method=f"the {name}",
        )
        for name, part in PARTS.items()
    }
    return TimedStroke(events=events, kind=kind, stretch=stretch, middle_s=impact_s - 0.3, shift_s=shift_s)


def front(*impacts_s, **how):
    return [made(each, sds=FRONT_SD, **how) for each in impacts_s]


def side(*impacts_s, **how):
    return [made(each, sds=SIDE_SD, **how) for each in impacts_s]


def test_strokes_of_one_performance_are_matched_by_the_waits_between_them():
    same = match_views(front(2.0, 9.5, 14.0), side(2.0 + CLOCKS, 9.51 + CLOCKS, 14.0 + CLOCKS))
    assert same.pairs == ((0, 0), (1, 1), (2, 2))
    assert same.shift_s == pytest.approx(CLOCKS, abs=0.02)
    assert 0 < same.shift_sd_s < 0.012
    assert match_views(front(2.0, 9.5, 14.0), side(7.55, 12.05)).pairs == ((1, 0), (2, 1))


@pytest.mark.parametrize(
    ("in_front", "at_side"),
    [
        (front(2.0), side(3.0)),
        (front(2.0, 9.5), side(3.0, 9.9)),
        (front(2.0, 9.5, 14.0), side(3.0, 15.0)),
        (front(2.0, 9.5), side(3.0, 10.5, lacking=("impact", "top"))),
        (front(2.0, 9.5), []),
    ],
    ids=["one stroke each", "another wait", "a stroke left out", "no times", "no strokes"],
)
def test_strokes_of_two_performances_and_single_strokes_are_not_matched(in_front, at_side):
    assert match_views(in_front, at_side) == SameStrokes() or not match_views(in_front, at_side).pairs


def test_waits_that_are_known_too_roughly_show_nothing():
    rough = dict.fromkeys(STROKE_EVENTS, 0.1)
    at_side = [made(each, sds=rough) for each in (2.0, 6.5)]
    assert not match_views(front(2.0, 6.5), at_side).pairs
    assert match_views(front(2.0, 6.5), side(2.0, 6.5)).pairs


def test_two_performances_of_one_student_are_rarely_taken_as_one():
    # Waits that repeat to 12 %, as judged; each of three hundred pairs of clips shows two putts.
    rng = np.random.default_rng(3)
    waits = 6.0 * (1 + 0.12 * rng.normal(size=(300, 2)))
    measured = waits + 0.012 * np.sqrt(2) * rng.normal(size=waits.shape)
    taken = [bool(match_views(front(2.0, 2.0 + a), side(4.0, 4.0 + b)).pairs) for a, b in measured]
    assert np.mean(taken) < 0.06
    again = [bool(match_views(front(2.0, 2.0 + a), side(4.0, 4.0 + a + 0.017 * rng.normal())).pairs) for a, _ in waits]
    assert np.mean(again) > 0.85


def test_motion_that_is_alike_in_both_clips_matches_a_single_stroke():
    same = match_views(front(5.0), side(5.0 + CLOCKS), rough_shift_s=CLOCKS + 0.15)
    assert same.pairs == ((0, 0),)
    assert same.shift_s == pytest.approx(CLOCKS, abs=1e-6)
    assert not match_views(front(5.0), side(5.0 + CLOCKS), rough_shift_s=CLOCKS + 1.0).pairs


def test_a_putt_and_a_practice_stroke_or_another_tempo_are_not_one_stroke():
    assert not match_views(front(5.0), side(5.0, kind="practice"), rough_shift_s=0.0).pairs
    quick = [made(5.0, sds=FRONT_SD, slower=0.8)]
    assert not match_views(front(5.0), quick, rough_shift_s=0.0).pairs


def test_times_of_one_performance_go_over_with_the_shift_in_their_uncertainty():
    strokes = {"face_on": front(5.0), "down_the_line": side(5.0 + CLOCKS, off_s=0.15)}
    same = SameStrokes(pairs=((0, 0),), shift_s=CLOCKS, shift_sd_s=0.01)
    shared = share_times(strokes, same)
    for name, part in PARTS.items():
        (there,) = shared["down_the_line"]
        assert there[name].value == pytest.approx(5.0 + CLOCKS + part, abs=1e-9)
        assert OTHER_CLIP in there[name].method
        assert there[name].budget["clock"] == 0.01
        assert there[name].standard_uncertainty == pytest.approx(np.hypot(FRONT_SD[name], 0.01))
        assert there[name].view == "down_the_line"
    assert shared["face_on"] == [dict(strokes["face_on"][0].events)]


def test_clips_at_other_speeds_share_real_time():
    strokes = {"face_on": front(5.0, stretch=8.0), "down_the_line": side(6.0)}
    shared = share_times(strokes, SameStrokes(pairs=((0, 0),), shift_s=1.0, shift_sd_s=0.001))
    assert shared["down_the_line"][0]["top"].value == pytest.approx(6.0 + PARTS["top"])
    assert shared["down_the_line"][0]["top"].standard_uncertainty == pytest.approx(0.012, abs=1e-3)


def test_a_single_stroke_of_two_performances_takes_over_the_tempo_only():
    shared = share_times({"face_on": front(5.0), "down_the_line": side(9.0, off_s=0.2)}, SameStrokes())
    (there,) = shared["down_the_line"]
    assert there["impact"].value == 9.0
    assert there["top"].value == pytest.approx(9.0 + PARTS["top"])
    assert there["start"].value == pytest.approx(9.0 + PARTS["start"])
    assert there["top"].budget[TEMPO_CAUSE] > 0.015
    assert there["start"].budget[TEMPO_CAUSE] > 0.04
    assert there["start"].standard_uncertainty > there["top"].standard_uncertainty


def test_what_is_known_better_and_what_was_placed_by_hand_stays():
    own = side(9.0)[0]
    placed = evolve(own.events["start"], by_hand=("events of the stroke",), value=7.7)
    sure = evolve(own.events["top"], standard_uncertainty=0.005, value=8.6)
    mine = TimedStroke(events={**own.events, "start": placed, "top": sure}, kind="putt")
    for same in (SameStrokes(), SameStrokes(pairs=((0, 0),), shift_s=4.0, shift_sd_s=0.01)):
        (there,) = share_times({"face_on": front(5.0), "down_the_line": [mine]}, same)["down_the_line"]
        assert there["start"] == placed
        assert there["top"] == sure


def test_a_stroke_that_is_hardly_seen_is_timed_by_the_likest_of_the_other_clip():
    (lost,) = side(7.0, lacking=("start", "top", "impact"), shift_s=1.95)
    shared = share_times({"face_on": front(1.0, 5.0), "down_the_line": [lost]}, SameStrokes())
    (there,) = shared["down_the_line"]
    for name, part in PARTS.items():
        assert there[name].value == pytest.approx(6.95 + part)  # of the second stroke, whose middle lies nearer
        assert LAID_SD_S < there[name].standard_uncertainty < 1.7 * LAID_SD_S
        assert there[name].budget[LAID_CAUSE] == LAID_SD_S
        assert "likest stroke" in there[name].method
    assert shared["face_on"][1] == front(1.0, 5.0)[1].events


def test_what_is_known_better_than_by_the_likest_stroke_stays_and_a_far_one_does_not_count():
    sure = [made(7.0, sds=FRONT_SD, shift_s=1.95)]
    shared = share_times({"face_on": front(5.0), "down_the_line": sure}, SameStrokes())
    assert shared["down_the_line"] == [sure[0].events]
    far = side(7.0, lacking=("start", "top", "impact"), shift_s=4.0)
    (there,) = share_times({"face_on": front(5.0), "down_the_line": far}, SameStrokes())["down_the_line"]
    assert not any("likest" in each.method for each in there.values() if each)


def test_a_shift_by_motion_counts_beside_the_events_of_one_performance():
    here, there = front(2.0, 9.5), [made(each + CLOCKS, sds=SIDE_SD, shift_s=CLOCKS + 0.02) for each in (2.0, 9.5)]
    alone = match_views(here, side(2.0 + CLOCKS, 9.5 + CLOCKS))
    both = match_views(here, there)
    assert alone.shift_s < both.shift_s < CLOCKS + 0.02
    assert both.shift_sd_s < alone.shift_sd_s


def test_a_practice_stroke_lends_its_tempo_only_where_there_is_no_putt():
    both = [*front(2.0, kind="practice", slower=1.3), *front(8.0)]
    (there,) = share_times({"face_on": both, "down_the_line": side(9.0)}, SameStrokes())["down_the_line"]
    assert there["top"].value == pytest.approx(9.0 + PARTS["top"])


def test_without_any_time_of_its_own_a_stroke_stays_without():
    lost = side(9.0, lacking=STROKE_EVENTS)
    assert share_times({"face_on": front(5.0), "down_the_line": lost}, SameStrokes())["down_the_line"] == [
        dict(lost[0].events)
    ]


def test_one_performance_filmed_from_two_sides_is_timed_down_the_line_as_well_as_face_on():
    """Before, nothing passed the events of one clip to the other, and the start down the line was told 0.1 s off."""
    rng = np.random.default_rng(20)
    seen = {}
    for view, first_s in (("face_on", 0.0), ("down_the_line", 3.0)):
        strokes = [film_stroke(rng=rng, view=view, first_s=first_s + at).seen for at in (0.0, 7.3)]
        seen[view] = SeenStrokes(view=view, strokes=tuple(strokes))
    events, same = time_strokes(seen, stretches=dict.fromkeys(seen, 1.0))
    assert same.pairs == ((0, 0), (1, 1))
    alone = find_events(seen["down_the_line"].strokes[0])
    there = events["down_the_line"][0]
    assert there["start"].value == pytest.approx(3.0 + 1.2, abs=0.03)
    assert there["start"].standard_uncertainty < 0.7 * alone["start"].standard_uncertainty
