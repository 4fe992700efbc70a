"""What is asked often asks an index: no query's work grows with the number of students or lessons."""

import re
from datetime import date

import pytest
from attrs import evolve
from filed import TODAY, add_player, file_one, make_lesson_of
from sqlalchemy import event

from putt_posture.archive import (
    Settings,
    add_practice_test,
    check_archive,
    file_lesson,
    find_coming_of_age,
    find_students,
    load_history,
    load_lessons,
    load_overview,
    load_student,
)
from putt_posture.measures import MEASURES
from putt_posture.measures.trunk import SPINE_TILT
from putt_posture.values import PuttCount

SMALL = ("arrivals", "departures", "settings", "sqlite_sequence")
"""Tables that hold a handful of rows however many students there are."""


@pytest.fixture
def plans(folder_archive):
    """The plans of what was asked since, as SQLite explains them: a list that fills itself."""
    found = []

    def explain(connection, cursor, statement, parameters, _context, _many):
        if statement.lstrip().startswith("SELECT"):
            lines = cursor.connection.execute("EXPLAIN QUERY PLAN " + statement, parameters).fetchall()
            found.extend((line[3], statement) for line in lines)

    event.listen(folder_archive.engine, "before_cursor_execute", explain)
    return found


@pytest.fixture
def number(folder_archive, stored):
    found = add_player(folder_archive)
    for at, moment in enumerate(("before", "after", "check")):
        file_one(folder_archive, found, make_lesson_of(stored, tag=moment, shift=9.0 * (at == 1)), moment=moment)
    counts = [PuttCount(distance_cm=91.44, tried=20, holed=19)]
    add_practice_test(folder_archive, found, day=TODAY, counts=counts, today=TODAY)
    return found


def scans(plans):
    """The steps that look through a whole table, or sort what is not limited to one student."""
    whole = [(step, said) for step, said in plans if re.match(r"SCAN (?!.*USING)", step)]
    return [each for each in whole if not re.search(rf"SCAN ({'|'.join(SMALL)}|looked_at|anon|\(subquery)", each[0])]


@pytest.mark.parametrize(
    "ask",
    [
        lambda archive, number: find_students(archive, "par putt"),
        load_student,
        lambda archive, number: load_history(archive, number, today=TODAY),
        lambda archive, number: load_lessons(archive, number, today=TODAY),
        lambda archive, number: load_overview(archive, today=TODAY),
    ],
    ids=["find", "student", "history", "lessons", "overview"],
)
def test_no_query_looks_through_a_whole_table(folder_archive, plans, number, ask):
    plans.clear()
    assert ask(folder_archive, number)
    assert len(plans) > 0
    assert scans(plans) == []


def test_the_overview_sorts_by_its_indexes(folder_archive, plans, number):
    plans.clear()
    assert load_overview(folder_archive, today=TODAY)
    steps = [step for step, _ in plans]
    assert not [step for step in steps if "TEMP B-TREE" in step]
    assert sum("ix_standings_last_day_student_id" in step for step in steps) == 4  # two lists, and how many there are
    assert sum("ix_standings_drifted" in step for step in steps) == 1


def test_who_comes_of_age_is_found_by_indexes(folder_archive, plans, number):
    """No consent of a grown student is read, and of students only number and day of birth."""
    grown_up = add_player(folder_archive, name="Zoe Young", born=date(2008, 2, 1), guardian="A. Guardian")
    plans.clear()
    assert [each.number for each in find_coming_of_age(folder_archive, today=TODAY)] == [grown_up]
    assert scans(plans) == []
    assert sum("ix_consents_guardian" in step for step, _ in plans) == 1


def test_a_whole_table_that_is_looked_through_would_be_seen(folder_archive, plans, number):
    with folder_archive.engine.connect() as connection:
        connection.exec_driver_sql("SELECT notes FROM students WHERE notes = 'x'")
    assert [step for step, _ in scans(plans)] == ["SCAN students"]


def test_filing_asks_no_whole_table(folder_archive, plans, number, stored):
    """So that a full archive takes no longer to file into than an empty one."""
    plans.clear()
    file_lesson(folder_archive, number, make_lesson_of(stored, tag="new"), day=TODAY, moment="check", today=TODAY)
    assert len(plans) > 10
    assert scans(plans) == []


def test_settings_are_few():
    """They are one of the small tables above."""
    assert len(Settings.__attrs_attrs__) < 20


def test_a_check_asks_no_more_for_more_measures_and_of_all_tables_at_once(folder_archive, number):
    asked = []
    event.listen(folder_archive.engine, "before_cursor_execute", lambda *about: asked.append(about[2]))
    assert check_archive(folder_archive) == ()
    assert len([each for each in asked if "pragma_" in each]) == 4
    few = len(asked)
    added = evolve(SPINE_TILT, name="lean", title="Lean", order=5, sketches={}, since="99.0")
    with MEASURES.trying(added):
        asked.clear()
        assert check_archive(folder_archive) == ()
        assert len(asked) == few
