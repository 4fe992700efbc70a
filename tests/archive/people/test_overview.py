"""Who is due, and whose setup went back."""

import sys
from datetime import date, timedelta
from pathlib import Path

import pytest
from filed import TODAY, file_one, make_lesson_of
from sqlalchemy import event, func, select

sys.path.insert(0, str(Path(__file__).parents[2] / "benchmarks"))

from big_archive import TODAY as BIG_TODAY
from big_archive import make_rows

from putt_posture.archive import find_coming_of_age, load_overview
from putt_posture.archive.db.tables import LessonRow


def test_the_overview_says_who_went_back(archive, player, stored):
    def tilt(value):
        return lambda document: document["measures"]["spine_tilt"].update(
            value=value, standard_uncertainty=1.0, low=value - 2, high=value + 2
        )

    lessons = (("before", 25.0, 1), ("after", 40.0, 1), ("check", 39.0, 5))
    for moment, value, month in lessons:
        lesson = make_lesson_of(stored, tag=moment, change=tilt(value))
        file_one(archive, player, lesson, day=date(2026, month, 1), moment=moment)
    assert load_overview(archive, today=TODAY).drifted == ()
    file_one(archive, player, make_lesson_of(stored, tag="lost", change=tilt(28.0)), day=TODAY, moment="check")
    (line,) = load_overview(archive, today=TODAY).drifted
    assert line.drifts == ("spine_tilt",)
    assert line.last_day == TODAY


@pytest.mark.parametrize(("today", "due"), [(date(2026, 4, 25), False), (date(2026, 4, 26), True)])
def test_a_student_is_due_after_the_weeks_that_were_set(archive, player, stored, today, due):
    file_one(archive, player, make_lesson_of(stored, tag="one"), day=date(2026, 3, 1))
    assert bool(load_overview(archive, today=today).due) == due


def test_the_overview_counts_all_and_lists_only_as_many_as_are_asked_for(folder_archive):
    make_rows(folder_archive, students=60, lessons=300, file_rows=False)
    found = load_overview(folder_archive, today=BIG_TODAY, most=5)
    with folder_archive.read() as session:
        days = dict(session.execute(select(LessonRow.student_id, func.max(LessonRow.day)).group_by("student_id")).all())
    due = [number for number, day in days.items() if day + timedelta(weeks=8) <= BIG_TODAY]
    assert (found.students, found.students_due) == (len(days), len(due))
    assert len(due) > 5
    assert [len(each) for each in (found.seen, found.due, found.drifted)] == [5, 5, 5]


def test_those_who_came_of_age_first_are_found_without_reading_the_others(folder_archive):
    make_rows(folder_archive, students=200, lessons=200, file_rows=False)
    everyone = find_coming_of_age(folder_archive, today=BIG_TODAY)
    assert len(everyone) > 4
    asked = []

    def note(_connection, _cursor, statement, parameters, _context, _many):
        if "FROM consents" in statement and "relation =" not in statement:
            asked.append(len(parameters))

    event.listen(folder_archive.engine, "before_cursor_execute", note)
    assert find_coming_of_age(folder_archive, today=BIG_TODAY, most=2) == everyone[:2]
    assert sum(asked) < len(everyone)
