"""How measures went over the visits, and what became of a rebuilt setup."""

from datetime import date, timedelta

import numpy as np
import pytest
from attrs import evolve
from hypothesis import given
from hypothesis import strategies as st
from invented_history import FIRST, NOISE, REBUILT, START, drift, many, one_day, one_visit, plain_changes, visit

from putt_posture.history import VERDICTS, find_courses, find_putter_changes, find_verdicts
from putt_posture.measures import MEASURES
from putt_posture.values import Estimate, History

MOMENTS = ("before", "after", "check")


def tilts(*pairs, moments=None):
    """Return a history in which only the tilt moves."""
    moments = moments or ("before", "after", *["check"] * (len(pairs) - 2))
    visits = [
        visit(place + 1, START + timedelta(days=30 * place), moment, FIRST | {"spine_tilt": tilt})
        for place, (tilt, moment) in enumerate(zip(pairs, moments, strict=True))
    ]
    return History(name="Robin Example", visits=tuple(visits))


def course(history, name="spine_tilt"):
    return find_courses(history, find_changes=plain_changes)[name]


@pytest.mark.parametrize(
    ("values", "verdict"),
    [
        ((20, 35, 22), "back"),
        ((20, 35, 35), "held"),
        ((20, 35, 28), "back"),
        ((20, 27, 25), "unsure"),
        ((20, 35, 50), "further"),
        ((20, 20, 35), "moved"),
        ((20, 20, 20), "steady"),
        ((35, 20, 33), "back"),
        ((20, 35), "open"),
    ],
)
def test_the_verdict_is_told_by_the_change_of_the_rebuild_and_the_change_since(values, verdict):
    assert course(tilts(*values)).verdict == verdict


def test_what_became_of_the_rebuild_is_judged_among_what_it_changed_and_the_rest_among_the_rest():
    # One measure rebuilt; its way back of 2.5 standard uncertainties (chance 0.012) would be none among 23.
    u = NOISE["deg"]
    history = tilts(20, 35, 35)
    measures = dict(history.visits[1].measured.measures)
    latest = measures | {
        name: evolve(measures[name], value=measures[name].value - 2.5 * u) for name in ("spine_tilt", "knee_flex")
    }
    visits = (
        *history.visits[:2],
        evolve(history.visits[2], measured=evolve(history.visits[2].measured, measures=latest)),
    )
    found = find_courses(evolve(history, visits=visits), find_changes=plain_changes)
    assert found["spine_tilt"].verdict == "back"
    assert found["spine_tilt"].since_rebuilt.joint_chance == found["spine_tilt"].since_rebuilt.chance
    assert found["knee_flex"].verdict == "steady"
    assert found["knee_flex"].since_rebuilt.joint_chance > 10 * found["knee_flex"].since_rebuilt.chance


@pytest.mark.parametrize("history", [drift(), many(), one_day(), one_visit(), History(name="")])
def test_verdicts_alone_are_those_of_the_courses(history):
    courses = find_courses(history, find_changes=plain_changes)
    assert find_verdicts(history, find_changes=plain_changes) == {name: each.verdict for name, each in courses.items()}


def test_another_putter_is_no_change_of_the_posture():
    # The putter is a shorter one at the rebuild and the old one again later; the posture stays as it was.
    lengths = (91.4, 83.8, 91.4)
    history = tilts(20, 20, 20)
    visits = [
        evolve(each, measured=evolve(each.measured, measures=_with_putter(each.measured.measures, length)))
        for each, length in zip(history.visits, lengths, strict=True)
    ]
    found = find_courses(evolve(history, visits=tuple(visits)), find_changes=plain_changes)
    putter = found["putter_length"]
    assert (putter.verdict, putter.rebuilt, putter.by_rebuild, putter.since_rebuilt) == ("club", None, None, None)
    assert [step.change.change.value for step in putter.steps] == pytest.approx([-7.6, 7.6])
    plain = find_courses(history, find_changes=plain_changes)
    assert {name: each.verdict for name, each in found.items()} == {name: each.verdict for name, each in plain.items()}


def _with_putter(measures, length_cm):
    return measures | {"putter_length": Estimate(value=length_cm, standard_uncertainty=0.3, unit="cm")}


def test_without_a_rebuilt_visit_nothing_is_said_of_it():
    found = course(tilts(20, 35, 22, moments=("before", "check", "check")))
    assert (found.verdict, found.rebuilt, found.since_rebuilt) == ("unrebuilt", None, None)
    assert found.since_first.before.value < found.since_first.after.value


def test_the_latest_rebuilt_visit_counts():
    found = course(tilts(20, 35, 21, 36, 35, moments=("before", "after", "before", "after", "check")))
    assert (found.rebuilt, found.verdict) == (3, "held")


def test_a_first_visit_that_is_the_rebuilt_one_has_no_way_back():
    found = course(tilts(35, 20, moments=("after", "check")))
    assert found.by_rebuild is None
    assert found.verdict == "moved"


def test_a_measure_is_followed_through_the_visits_that_have_it():
    history = drift()
    tilt, level = (course(history, name) for name in ("spine_tilt", "shoulder_level"))
    assert [(step.start, step.end) for step in tilt.steps] == [(0, 1), (1, 2), (2, 3), (3, 4), (4, 5)]
    assert [(step.start, step.end) for step in level.steps] == [(0, 1), (1, 2), (2, 4), (4, 5)]
    hidden = tuple(
        evolve(each, measured=evolve(each.measured, measures={})) if place in (0, 5) else each
        for place, each in enumerate(history.visits)
    )
    found = course(evolve(history, visits=hidden))
    assert (found.first, found.latest, found.rebuilt) == (1, 4, 1)


def test_one_visit_or_none_tells_nothing():
    assert course(one_visit()).verdict == "untold"
    assert course(one_visit()).first == 0
    empty = course(History(name=""))
    assert (empty.first, empty.latest, empty.steps, empty.verdict) == (None, None, (), "untold")


def test_each_pair_of_visits_is_compared_once():
    asked = []

    def counted(before, after, *, repeats):
        asked.append((id(before), id(after)))
        return plain_changes(before, after)

    find_courses(many(), find_changes=counted)
    assert len(asked) == len(set(asked))
    assert len(asked) < 3 * 40


@given(st.lists(st.tuples(st.sampled_from(MOMENTS), st.floats(0, 60)), max_size=6))
def test_every_history_has_a_course_for_every_measure(looks):
    visits = tuple(
        visit(place + 1, START + timedelta(days=place), moment, FIRST | {"spine_tilt": tilt})
        for place, (moment, tilt) in enumerate(looks)
    )
    found = find_courses(History(name="", visits=visits), find_changes=plain_changes)
    assert list(found) == list(MEASURES)
    for each in found.values():
        assert each.verdict in VERDICTS
        assert len(each.steps) == max(len(visits) - 1, 0)
        if each.verdict == "back":
            assert each.by_rebuild.change.value * each.since_rebuilt.change.value < 0


def test_the_setups_of_all_visits_tell_the_scatter_between_any_two():
    def repeated(each, *setups):
        tilt = evolve(each.measured.measures["spine_tilt"], repeats=setups)
        return evolve(each, measured=evolve(each.measured, measures=each.measured.measures | {"spine_tilt": tilt}))

    asked = []

    def counted(before, after, *, repeats):
        asked.append(repeats)
        return plain_changes(before, after)

    one, two, three = tilts(20, 35, 30).visits
    visits = (repeated(one, 20.0), repeated(two, 35.0), repeated(three, 29.0, 31.0, 30.0))
    find_courses(History(name="", visits=visits), find_changes=counted)
    assert all(list(each) == ["spine_tilt"] for each in asked)
    assert {each["spine_tilt"].degrees_of_freedom for each in asked} == {2}


def test_another_putter_in_the_hands_and_another_suggestion_are_found():
    found = [(change.visit, change.kind, change.before_cm, change.after_cm) for change in find_putter_changes(drift())]
    assert found == [(1, "in_use", 90.2, 85.1), (5, "suggested", 85.1, 80.0)]
    assert [change.visit for change in find_putter_changes(many()) if change.kind == "in_use"] == [10, 20, 30]
    assert find_putter_changes(one_visit()) == ()
    assert find_putter_changes(History(name="")) == ()


def test_small_steps_count_once_they_add_up_and_untold_lengths_are_passed_over():
    day = date(2026, 1, 1)
    putters = [90.2, None, 89.9, 89.6, 89.6]
    suggestions = [85.0, 87.7, None, 90.0, 88.9]
    visits = tuple(
        visit(place + 1, day, "check", REBUILT, putter=putter, suggested=suggested)
        for place, (putter, suggested) in enumerate(zip(putters, suggestions, strict=True))
    )
    found = find_putter_changes(History(name="", visits=visits))
    assert [(change.visit, change.kind, change.before_cm, change.after_cm) for change in found] == [
        (3, "in_use", 90.2, 89.6),
        (3, "suggested", 85.0, 90.0),
    ]


def test_another_length_is_suggested_only_beyond_the_margin_of_the_difference():
    def suggest(*lengths, u):
        visits = tuple(
            evolve(
                visit(place + 1, START, "check", REBUILT),
                suggested=Estimate(value=length, standard_uncertainty=u, unit="cm"),
            )
            for place, length in enumerate(lengths)
        )
        return [change.visit for change in find_putter_changes(History(name="", visits=visits))]

    assert suggest(85.0, 88.5, u=1.2) == [1]  # 3.5 > 1.96 · √2 · 1.2 = 3.33
    assert suggest(85.0, 88.2, u=1.2) == []
    assert suggest(85.0, 85.0, 88.5, u=1.2) == []  # two looks: 2.24 · √2 · 1.2 = 3.80
    assert suggest(85.0, 86.0, u=0.0) == []  # less than half an inch asks for the same putter
    assert suggest(85.0, 86.3, u=0.0) == [1]


def test_of_suggestions_that_do_not_move_one_history_in_twenty_marks_any():
    drawn, runs, marked = np.random.default_rng(3), 400, 0
    for _ in range(runs):
        visits = tuple(
            evolve(
                one_visit().visits[0],
                suggested=Estimate(value=85.0 + 1.6 * float(error), standard_uncertainty=1.6, unit="cm"),
            )
            for error in drawn.standard_normal(5)
        )
        marked += bool(find_putter_changes(History(name="", visits=visits)))
    assert 0 < marked / runs < 0.05 + 3 * (0.05 * 0.95 / runs) ** 0.5  # three standard errors of 400 draws


def test_a_rebuild_and_nothing_after_it_is_open():
    found = find_courses(one_day(), find_changes=plain_changes)
    assert {each.verdict for name, each in found.items() if name != "putter_length"} == {"open"}
