"""Filed lessons are measured again from what was kept; the result stands beside the first and counts in its place."""

import shutil
import sqlite3
from contextlib import closing
from datetime import date
from pathlib import Path

import pytest

from putt_posture.archive import (
    check_archive,
    correct_landmark,
    load_history,
    load_lessons,
    load_overview,
    open_archive,
    open_lesson,
    upgrade_archive,
    withdraw_consent,
)
from putt_posture.archive.db.tables import LessonRow
from putt_posture.archive.place import DATABASE_FILE
from putt_posture.cli import main
from putt_posture.documents import DOCUMENT, read_record
from putt_posture.errors import NotAllowed, UsageError
from putt_posture.services import measure_again, measure_all_again
from putt_posture.values import Given, Interview

RELEASED = Path(__file__).parents[1] / "records" / "released" / "0.1.0" / "archive"
TODAY = date(2026, 11, 27)
VIEW = "down_the_line"


@pytest.fixture
def place(tmp_path):
    """The archive of version 0.1.0, upgraded: lesson 1 with outlines and one landmark put right, lesson 2 without."""
    folder = tmp_path / "archive"
    shutil.copytree(RELEASED / "files", folder / "files")
    with closing(sqlite3.connect(folder / DATABASE_FILE)) as connection:
        connection.executescript((RELEASED / "archive.sql").read_text(encoding="utf-8"))
    upgrade_archive(folder)
    return folder


@pytest.fixture
def archive(place):
    with open_archive(place) as opened:
        yield opened


def measures_of(archive, number):
    return open_lesson(archive, number, today=TODAY).record.measures


def test_lessons_of_the_released_version_open(archive):
    assert measures_of(archive, 1)["spine_tilt"].value == pytest.approx(17.8, abs=3)
    assert measures_of(archive, 2)["spine_tilt"].by_hand == ()
    assert not [each for each in check_archive(archive) if each.kind != "orphan"]


def test_a_corrected_lesson_is_filed_beside_the_first_and_counts_in_its_place(archive):
    before = measures_of(archive, 1)
    made = measure_again(archive, 1, today=TODAY)
    after = measures_of(archive, made.filed)
    assert measures_of(archive, 1) == before
    assert after["spine_tilt"].value != before["spine_tilt"].value
    assert after["spine_tilt"].by_hand == ("left shoulder",)
    assert after["spine_tilt"].automatic == pytest.approx(before["spine_tilt"].value)
    assert after["spine_tilt"].method.endswith("; by hand: left shoulder")
    assert [each.number for each in load_lessons(archive, 1)] == [1, 2, made.filed]
    history = load_history(archive, 1, today=TODAY)
    assert [visit.lesson for visit in history.visits] == [made.filed, 2]
    counted = next(visit for visit in history.visits if visit.lesson == made.filed)
    assert counted.measured.measures["spine_tilt"].by_hand == ("left shoulder",)
    assert counted.moment == "before"
    assert [line.lessons for line in load_overview(archive, today=TODAY).seen] == [2]
    assert not [each for each in check_archive(archive) if each.kind != "orphan"]


def test_measured_again_without_anything_new_files_nothing(archive):
    made = measure_again(archive, 1, today=TODAY)
    again = measure_again(archive, 1, today=TODAY)
    assert made
    assert not again
    assert again.lesson == made.filed
    assert "Every number is the same" in again.says


def test_what_is_given_stays_when_the_lesson_is_measured_once_more(archive):
    shaft = open_lesson(archive, 1, today=TODAY).record.views[VIEW].shaft_px
    moved = tuple((u + 3.0, v) for u, v in shaft)
    made = measure_again(archive, 1, today=TODAY, given={VIEW: Given(shaft_px=moved)})
    assert "shaft" in measures_of(archive, made.filed)["shaft_lie"].by_hand
    correct_landmark(
        archive, 1, view=VIEW, frame=2, landmark="right_hip", point_px=(110.0, 240.0), made_by="Coach", today=TODAY
    )
    then = measure_again(archive, made.filed, today=TODAY)
    assert open_lesson(archive, then.filed, today=TODAY).record.views[VIEW].shaft_px == moved
    assert {"left shoulder", "right hip"} <= set(measures_of(archive, then.filed)["spine_tilt"].by_hand)
    assert [visit.lesson for visit in load_history(archive, 1, today=TODAY).visits] == [then.filed, 2]


def test_a_lesson_kept_without_outlines_is_not_measured_again_and_stops_no_other(archive):
    with pytest.raises(UsageError, match="kept without landmarks and outlines"):
        measure_again(archive, 2, today=TODAY)
    made = list(measure_all_again(archive, today=TODAY))
    assert [bool(each) for each in made] == [True, False]
    assert "kept without landmarks and outlines" in made[1].says


@pytest.mark.parametrize("scope", ["pictures", "measures"])
def test_what_may_not_be_shown_any_more_is_not_measured_again(archive, scope):
    withdraw_consent(archive, 1, scopes=[scope], on=TODAY)
    with pytest.raises(NotAllowed):
        measure_again(archive, 1, today=TODAY)
    assert [each.number for each in load_lessons(archive, 1)] == [1, 2]


def test_correct_measures_again_and_shows_which_numbers_are_by_hand(place, capsys):
    at = ("--view", "face-on", "--frame", "1", "--landmark", "left_hip", "--at", "140,250", "--by", "Coach")
    assert main(["archive", "correct", "1", *at, "--archive", str(place)]) == 0
    shown = capsys.readouterr().out
    assert "Lesson 1 was measured again and filed as lesson 3" in shown
    assert "(by hand)" in shown


def test_all_lessons_are_measured_again_from_the_command_line(place, capsys):
    assert main(["archive", "measure-again", "--all", "--archive", str(place)]) == 0
    assert "1 of 2 lessons were filed again." in capsys.readouterr().out


def test_what_the_student_said_is_kept_when_a_lesson_is_measured_again(place):
    with open_archive(place) as opened:
        with opened.write() as session:
            row = session.get(LessonRow, 1)
            row.misses, row.weak_putts, row.limits = "left under 2 m", "short", "bad back"
        made = measure_again(opened, 1, today=TODAY, given={VIEW: Given(roll_deg=0.5)})
        again = open_lesson(opened, made.filed, today=TODAY)
        listed = next(each for each in load_lessons(opened, 1, today=TODAY) if each.number == made.filed)
    said = Interview(misses="left under 2 m", weak_putts="short", limits="bad back")
    assert again.record.interview == said
    assert read_record(again.read(DOCUMENT), where="it").interview == said
    assert listed.notes.weak_putts == "short"
