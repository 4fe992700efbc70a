"""Did it stick? The answer in plain words, and what cannot be told."""

from datetime import timedelta

import pytest
from attrs import evolve
from invented_history import FIRST, REBUILT, START, drift, one_day, one_visit, part_way, plain_changes, visit

from putt_posture.history import find_courses
from putt_posture.measures import MEASURES
from putt_posture.pages.history_answer import CHANCE_OF_BACK, CHANCE_OF_HELD, write_answer
from putt_posture.values import History


def answer_of(history):
    return write_answer(history, find_courses(history, find_changes=plain_changes))


def looks(*shares, moments=None):
    """Return a history that goes `shares` of the way from the first setup to the rebuilt one."""
    moments = moments or ("before", "after", *["check"] * (len(shares) - 2))
    visits = [
        visit(place + 1, START + timedelta(days=60 * place), moment, part_way(share))
        for place, (share, moment) in enumerate(zip(shares, moments, strict=True))
    ]
    return History(name="", visits=tuple(visits))


def titles(group):
    return [row.title for row in group.rows]


def plain_spaces(text):
    return text.replace("\N{NO-BREAK SPACE}", " ")


@pytest.mark.parametrize(
    ("history", "headline"),
    [
        (History(name=""), "No lesson yet"),
        (one_visit(), "One visit so far"),
        (one_day(), "Not measured again yet"),
        (looks(0, 0.5, 1, moments=("before", "check", "check")), "No rebuilt setup yet"),
        (looks(0, 1, 1), "So far it stuck"),
        (looks(0, 1, -0.1), "It went back"),
        (drift(), "Most of it went back"),
        (looks(0, 1, 0.75), "Held so far in 5 of 8"),
        (looks(0, 0, 0), "Nothing to hold"),
    ],
)
def test_the_headline_is_the_answer(history, headline):
    answer = answer_of(history)
    assert answer.headline == headline
    assert all(sentence.endswith(".") for sentence in answer.sentences)


def test_what_went_back_and_what_held_is_listed_with_its_numbers():
    answer = answer_of(drift())
    back, held = answer.groups
    assert back.title == "Went back since the rebuild"
    assert "Spine tilt" in titles(back)
    assert "Hand height" in titles(held)
    assert not set(titles(back)) & set(titles(held))
    (tilt,) = (row for row in back.rows if row.title == "Spine tilt")
    says = "Rebuild: +11.9 ± 3.1°. Since then: −6.0 ± 3.1° (from 36.1 ± 3.1° to 30.1 ± 3.1°)."
    assert plain_spaces(tilt.says) == says
    kept = len(held.rows)
    assert answer.sentences[0].endswith(
        f"seen again, {len(back.rows)} went back by more than the noise (part of the way or all of it) and {kept} held."
    )


def courses_of(back=0, held=0, unsure=0, further=0):
    """Return courses with so many of each verdict, whatever their numbers."""
    history = looks(0, 1, 1)
    verdicts = [*["back"] * back, *["held"] * held, *["unsure"] * unsure, *["further"] * further]
    verdicts += ["steady"] * (len(MEASURES) - len(verdicts))
    courses = find_courses(history, find_changes=plain_changes)
    return history, {
        name: evolve(course, verdict=verdict) for (name, course), verdict in zip(courses.items(), verdicts, strict=True)
    }


@pytest.mark.parametrize(
    ("counts", "headline", "says"),
    [
        ({"back": 7, "held": 1}, "Most of it went back", "(part of the way or all of it) and 1 held."),
        ({"back": 8}, "It went back", "8 went back by more than the noise (part"),
        ({"back": 1, "held": 7}, "Part of it went back", "1 went back"),
        ({"back": 4, "held": 4}, "Part of it went back", "4 went back"),
        ({"back": 2, "held": 1, "unsure": 1}, "Part of it went back", "and of 1 it is not certain yet."),
        ({"held": 3, "further": 1}, "So far it stuck", "4 held."),
        ({"held": 3, "unsure": 5}, "Held so far in 3 of 8", "3 held and of 5 it is not certain yet."),
        ({"unsure": 2}, "Not certain yet", "seen again, none is certain yet."),
        ({}, "Nothing to hold", "changed nothing by more than the noise"),
    ],
)  # fmt: skip
def test_the_headline_follows_the_counts(counts, headline, says):
    answer = write_answer(*courses_of(**counts))
    assert answer.headline == headline
    assert says in answer.sentences[0]


def test_what_chance_alone_says_stands_beside_every_count():
    went, stuck, unsure = (write_answer(*courses_of(**counts)) for counts in ({"back": 3}, {"held": 3}, {"unsure": 3}))
    assert CHANCE_OF_BACK in went.sentences
    assert CHANCE_OF_HELD not in went.sentences
    assert {CHANCE_OF_BACK, CHANCE_OF_HELD} <= set(stuck.sentences)
    assert CHANCE_OF_HELD not in unsure.sentences
    assert answer_of(one_day()).sentences[-1].endswith("Chance alone names any of them in at most 1 of 20 histories.")


def test_what_cannot_be_told_yet_is_listed_as_that_and_not_as_held():
    groups = {group.title: titles(group) for group in answer_of(looks(0, 1, 0.6)).groups}
    assert "Spine tilt" in groups["Not certain yet"]
    assert "Held since the rebuild" not in groups or "Spine tilt" not in groups["Held since the rebuild"]


def test_what_changed_since_the_first_visit_is_named():
    said = answer_of(one_day()).sentences[-1]
    assert said.startswith("Since the first visit 8 of 22 measures changed for real: spine tilt, back rounding")
    assert answer_of(looks(0, 0, 0)).sentences[-1].startswith("Since the first visit none of 22 measures changed")


def test_a_measure_that_moved_though_the_rebuild_left_it_has_a_group_of_its_own():
    visits = (
        visit(1, START, "before", FIRST),
        visit(2, START, "after", REBUILT),
        visit(3, START + timedelta(days=90), "check", REBUILT | {"knee_flex": 40.0, "spine_tilt": 50.0}),
    )
    groups = {group.title: titles(group) for group in answer_of(History(name="", visits=visits)).groups}
    assert groups["Moved since, though the rebuild had left it"] == ["Knee flex"]
    assert groups["Went on the same way"] == ["Spine tilt"]


def test_a_rebuild_that_nobody_looked_at_again_lists_what_it_changed_only():
    (group,) = answer_of(one_day()).groups
    assert group.title == "Rebuilt, not looked at since"
    assert "Spine tilt" in titles(group)
    assert "Knee flex" not in titles(group)


def without(history, place, *names):
    """Take measures out of one visit."""
    visits = list(history.visits)
    kept = {name: one for name, one in visits[place].measured.measures.items() if name not in names}
    visits[place] = evolve(visits[place], measured=evolve(visits[place].measured, measures=kept))
    return evolve(history, visits=tuple(visits))


def untold(history):
    return {row.title: row.says for row in answer_of(history).untold.rows}


def test_what_cannot_be_told_has_its_reason():
    history = looks(0, 1, 0.4)
    assert untold(history) == {}
    assert untold(without(history, 2, "spine_tilt")) == {
        "Spine tilt": "Not measured since the rebuild of 2 January 2026."
    }
    assert untold(without(history, 1, "spine_tilt")) == {
        "Spine tilt": "Not measured at a visit that shows the rebuilt setup."
    }
    once = without(without(history, 2, "spine_tilt"), 1, "spine_tilt")
    assert untold(once) == {"Spine tilt": "Measured at one visit only."}
    never = without(once, 0, "spine_tilt")
    assert untold(never) == {"Spine tilt": "Measured at no visit."}


def test_the_reason_of_the_latest_visit_is_carried_on():
    visits = (visit(1, START, "before", FIRST), visit(2, START, "after", REBUILT, without=("face_on",)))
    assert untold(History(name="", visits=visits))["Stance width"] == (
        "Measured at one visit only. Latest visit: No clip of this view was given."
    )


def test_an_older_look_is_dated():
    history = without(looks(0, 1, 0.3, 0.3), 3, "spine_tilt")
    rows = [row for group in answer_of(history).groups for row in group.rows if row.title == "Spine tilt"]
    assert "Since then until 3 March 2026:" in rows[0].says
