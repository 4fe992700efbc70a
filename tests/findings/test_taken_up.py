"""The plan of the last lesson at the next one: what was worked on, whether it moved, where it is now."""

import pytest
from made_up_setups import fit_of, posture_of, student_of

from putt_posture.changes import find_changes
from putt_posture.findings import find_findings, make_plan, take_up_plan
from putt_posture.values import LessonRecord


def record(changed=None, *, length=84.0, looked=True) -> LessonRecord:
    posture, fit, student = posture_of(changed), fit_of(), student_of(putter_length_cm=length)
    findings = find_findings(posture, fit, student) if looked else None
    return LessonRecord(
        made_on=None,
        student=student,
        measures=posture.estimates,
        putter_length=fit.putter_length,
        lie=fit.lie,
        stock_length_in=33.0,
        views={},
        findings=findings,
        plan=make_plan(findings) if looked else None,
    )


def take_up(before: LessonRecord, after: LessonRecord):
    return take_up_plan(before, after, find_changes(before.measured, after.measured))


def test_what_moved_into_the_band_is_said():
    taken = take_up(record({"spine_tilt": 18.0}), record())
    assert taken.works_on == "stands_tall"
    assert taken.moved is True
    assert taken.lies == "within"
    assert "Spine tilt changed by +18.0" in taken.says
    assert taken.says.endswith("It is not among today's findings any more.")


def test_what_did_not_move_stays_the_plan():
    taken = take_up(record({"spine_tilt": 18.0}), record({"spine_tilt": 19.0}))
    assert taken.moved is False
    assert taken.lies == "outside"
    assert "no more than the noise" in taken.says
    assert "stay with it" in taken.says


def test_what_may_be_better_is_not_called_so():
    taken = take_up(record({"hand_offset": 8.5}), record({"hand_offset": 4.0}))
    assert taken.moved is False
    assert taken.lies == "unsure"
    assert "cannot tell" in taken.says


def test_a_shorter_putter_is_the_plan_of_a_long_one():
    taken = take_up(record(length=93.0), record(length=84.0))
    assert (taken.moved, taken.lies) == (True, "within")
    assert "36.6\N{NO-BREAK SPACE}in" in taken.says
    same = take_up(record(length=93.0), record(length=93.0))
    assert (same.moved, same.lies) == (False, "outside")
    assert "the same putter" in same.says


def test_a_putter_that_was_not_typed_is_asked_for():
    taken = take_up(record(length=93.0), record(length=None))
    assert taken.moved is None
    assert "type its length in both lessons" in taken.says


def test_what_cannot_be_measured_today_is_said_so():
    taken = take_up(record({"balance": 25.0}), record({"balance": "The toes are hidden."}))
    assert (taken.moved, taken.lies) == (None, "absent")
    assert "could not be measured" in taken.says


@pytest.mark.parametrize("before", [record(), record(looked=False)])
def test_without_a_plan_nothing_is_taken_up(before):
    assert take_up(before, record()) is None


def test_a_lesson_of_an_older_version_is_where_it_cannot_be_told():
    taken = take_up(record({"spine_tilt": 18.0}), record(looked=False))
    assert taken.lies == "absent"
