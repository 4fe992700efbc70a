"""The stroke at the terminal: its numbers, why there are none, what changed, and how it went over the visits."""

import io
import sys
from datetime import date
from pathlib import Path

import pytest
from attrs import evolve

sys.path.insert(0, str(Path(__file__).parents[1] / "strokes"))

from invented import make_lesson
from made_up import make_strokes, no_strokes

from putt_posture.changes import find_changes
from putt_posture.cli.archive.show import _stroke_as_plain
from putt_posture.cli.lesson import show_lesson
from putt_posture.cli.strokes import show_stroke_changes, show_stroke_courses, show_stroke_in_short, show_strokes
from putt_posture.cli.table import open_console
from putt_posture.documents.lesson_json import lesson_as_text
from putt_posture.documents.lesson_reading import read_record
from putt_posture.measures import STROKE_MEASURES
from putt_posture.shown_units import show_lengths_in
from putt_posture.values import Estimate, History, Visit, absent


def numbers(back):
    found = {name: absent("Too dark.", unit=each.unit) for name, each in STROKE_MEASURES.items()}
    found["backswing_time"] = Estimate(value=back, standard_uncertainty=0.01, unit="s", view="face_on", method="x")
    return found


def printed(show, *given, **more):
    stream = io.StringIO()
    show(*given, console=open_console(stream), **more)
    return stream.getvalue()


def lesson_of(back):
    return evolve(make_lesson(), strokes=make_strokes(count=2, numbers=numbers(back)))


def measured(back):
    return read_record(lesson_as_text(lesson_of(back)), where="it").measured


def history_of(*backs):
    visits = tuple(
        Visit(
            putter_in_use_cm=None,
            lesson=number,
            day=date(2026, 5, number),
            moment="check",
            measured=measured(back),
            suggested=absent("No.", unit="cm"),
        )
        for number, back in enumerate(backs, start=1)
    )
    return History(name="Parker", visits=visits)


def test_the_numbers_of_the_stroke_follow_those_of_the_setup():
    said = printed(show_lesson, lesson_of(0.67))
    assert "Face on: 2 putts" in said
    assert STROKE_MEASURES["backswing_time"].title in said
    assert "0.67" in said
    assert said.index("Spine tilt") < said.index("The stroke")
    assert " ".join(said.split()).count("Too dark.") == 1  # one reason for all that it is the reason of


def test_where_no_stroke_was_seen_the_reason_is_said_in_one_sentence():
    assert "- No stroke was seen in the clips." in printed(show_strokes, no_strokes())


def test_where_the_strokes_were_left_out_nothing_is_said():
    assert printed(show_strokes, None) == ""


def test_what_changed_in_the_stroke_is_said_beside_the_setup():
    said = printed(show_stroke_changes, find_changes(measured(0.6), measured(0.95)))
    assert "0.60 → 0.95" in said
    assert STROKE_MEASURES["backswing_time"].shift.more.split(":")[0] in " ".join(said.split())
    bare = read_record(lesson_as_text(make_lesson()), where="it").measured
    assert printed(show_stroke_changes, find_changes(bare, bare)) == ""


def test_the_stroke_is_followed_over_the_visits():
    said = printed(show_stroke_courses, history_of(0.6, 0.62, 0.95), find_changes=find_changes)
    said = " ".join(said.split())
    assert "0.60" in said
    assert "0.95" in said
    assert "yes" in said
    assert "From 1 May 2026 to 3 May 2026." in said


def test_a_student_is_shown_with_the_stroke_in_short():
    said = printed(show_stroke_in_short, history_of(0.6, 0.95), find_changes=find_changes)
    (line,) = (each for each in said.splitlines() if STROKE_MEASURES["backswing_time"].title in each)
    assert "0.60 ± 0.02" in line
    assert "real change" in line
    alone = printed(show_stroke_in_short, history_of(0.6), find_changes=find_changes)
    assert "0.60 ± 0.02" in alone
    assert "change" not in alone.partition("\n─")[2]
    assert printed(show_stroke_in_short, History(name="Parker", visits=()), find_changes=find_changes) == ""


def test_the_stroke_in_short_as_json_has_both_ends_and_the_change():
    plain = _stroke_as_plain(history_of(0.6, 0.95))
    assert list(plain) == ["backswing_time"]
    found = plain["backswing_time"]
    assert (found["first"]["value"], found["latest"]["value"]) == (0.6, 0.95)
    assert found["latest"]["day"] == date(2026, 5, 2)
    assert found["change"] == pytest.approx(0.35)
    assert found["change_low"] < 0.35 < found["change_high"]
    assert found["real"] is True
    assert _stroke_as_plain(history_of(0.6))["backswing_time"]["change"] is None


def test_where_no_number_of_the_stroke_changed_a_sentence_says_so():
    said = " ".join(printed(show_stroke_changes, find_changes(measured(0.6), measured(0.6))).split())
    assert "The one number of the stroke taken in both lessons did not change by more than the noise." in said


def test_what_goes_with_the_hands_is_said():
    strokes = evolve(lesson_of(0.6).strokes, with_hands={"head": "against"})
    assert "the head goes against the hands." in " ".join(printed(show_strokes, strokes).split())


def test_lengths_of_the_stroke_are_read_in_inches_everywhere_at_the_terminal():
    def with_hands_back(value):
        found = {
            **numbers(0.6),
            "hands_back": Estimate(value=value, standard_uncertainty=0.26, unit="cm", view="face_on"),
        }
        return evolve(make_lesson(), strokes=make_strokes(count=2, numbers=found))

    lessons = [with_hands_back(each) for each in (10.16, 20.32)]
    read = [read_record(lesson_as_text(each), where="it").measured for each in lessons]
    history = evolve(history_of(0.6, 0.6), visits=tuple(
        evolve(visit, measured=each) for visit, each in zip(history_of(0.6, 0.6).visits, read, strict=True)
    ))  # fmt: skip
    with show_lengths_in("inches"):
        said = [
            printed(show_strokes, lessons[0].strokes),
            printed(show_stroke_changes, find_changes(*read)),
            printed(show_stroke_in_short, history, find_changes=find_changes),
            printed(show_stroke_courses, history, find_changes=find_changes),
        ]
    for each in (text.replace("\N{NO-BREAK SPACE}", " ") for text in said):
        assert "4.0 ± 0.2 in" in each
        assert " cm" not in each
