"""The work of a question does not grow with the number of other students: SQLite's own plan walks no whole table."""

import pytest
from filed import TODAY, add_player, file_one, make_lesson_of
from sqlalchemy import event

from putt_posture.archive import find_students, load_history, load_lessons, load_overview, load_student

QUESTIONS = {
    "search": lambda archive: find_students(archive, "par putt"),
    "history": lambda archive: load_history(archive, 1),
    "overview": lambda archive: load_overview(archive, today=TODAY),
    "student": lambda archive: load_student(archive, 1),
    "lessons": lambda archive: load_lessons(archive, 1),
}
BIG = ("students", "name_words", "lessons", "measures", "clips", "fits", "lesson_files", "practice_tests", "putts")


@pytest.mark.parametrize("question", QUESTIONS)
def test_no_big_table_is_walked(folder_archive, stored, question):
    file_one(folder_archive, add_player(folder_archive), make_lesson_of(stored, tag="one"))
    asked = []
    event.listen(folder_archive.engine, "before_cursor_execute", lambda *about: asked.append(about[2:4]))
    QUESTIONS[question](folder_archive)
    selects = [(statement, values) for statement, values in asked if statement.startswith("SELECT")]
    assert selects
    with folder_archive.engine.connect() as connection:
        for statement, values in selects:
            plan = connection.exec_driver_sql(f"EXPLAIN QUERY PLAN {statement}", values).all()
            walked = [row.detail for row in plan if row.detail.startswith("SCAN") and "USING" not in row.detail]
            assert [detail for detail in walked if detail.split()[1] in BIG] == []
