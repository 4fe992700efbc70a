"""Who is due, and whose setup went back."""

from datetime import date

import pytest
from filed import TODAY, file_one, make_lesson_of

from putt_posture.archive import load_overview


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
