"""What is filed comes back as it was, and what cannot be filed leaves nothing."""

import errno
import io
import json
from datetime import date

import numpy as np
import pytest
from filed import TODAY, add_player, file_one, make_clips, make_lesson_of
from hypothesis import given
from hypothesis import strategies as st
from sqlalchemy import event, text

from putt_posture.archive import (
    Told,
    add_practice_test,
    check_archive,
    load_history,
    load_landmarks,
    load_lesson,
    load_lessons,
    load_overview,
    open_archive,
    open_lesson,
)
from putt_posture.archive.rows import as_estimate, as_measure_rows
from putt_posture.errors import ArchiveError, NotInArchive, UsageError
from putt_posture.values import MEASURES, Estimate, LessonRecord, PuttCount, Student, absent

FINITE = st.floats(-1e6, 1e6)


def test_a_lesson_comes_back_with_every_number(archive, player, stored):
    kept = make_lesson_of(stored, tag="one")
    number = file_one(archive, player, kept)
    (visit,) = load_history(archive, player).visits
    assert visit.lesson == number
    for name in MEASURES:
        was, now = kept.record.measures[name], visit.measured.measures[name]
        assert (was.absent, was.unit, was.view, was.frames, was.method) == (
            now.absent, now.unit, now.view, now.frames, now.method,
        )  # fmt: skip
        if was:
            assert (was.value, was.standard_uncertainty, was.floor, was.repeats) == (
                now.value, now.standard_uncertainty, now.floor, now.repeats,
            )  # fmt: skip
            assert dict(was.budget) == dict(now.budget)
    assert visit.measured.scale_sources == kept.record.measured.scale_sources
    assert visit.measured.landmark_models == kept.record.measured.landmark_models
    assert visit.suggested.value == kept.record.putter_length.value


def test_every_file_comes_back_byte_for_byte(archive, player, stored, tmp_path):
    clips = make_clips(tmp_path / "clips", "one")
    kept = make_lesson_of(stored, tag="one", clips=clips)
    opened = open_lesson(archive, file_one(archive, player, kept, clips=clips))
    assert opened.names == kept.names | {"clips/down_the_line.mov", "clips/face_on.mov"}
    assert all(opened.read(name) == kept.read(name) for name in kept.names)
    assert opened.read("clips/face_on.mov") == clips["face_on"].read_bytes()
    assert repr(opened.record) == repr(kept.record)


def test_landmarks_come_back_to_single_precision(archive, player, stored):
    number = file_one(archive, player, make_lesson_of(stored, tag="one"))
    seen = load_landmarks(archive, number, "face_on")
    with np.load(io.BytesIO(stored["landmarks.npz"])) as arrays:
        points = arrays["face_on.points_px"]
    assert np.allclose(seen.points[..., :2], points, rtol=1e-6, equal_nan=True)


@given(
    value=FINITE,
    uncertainty=st.floats(0, 1e6),
    floor=st.none() | FINITE,
    raw=st.none() | FINITE,
    budget=st.dictionaries(st.text(max_size=9), st.floats(0, 1e6), max_size=3),
    repeats=st.lists(FINITE, max_size=4),
    reason=st.none() | st.text(min_size=1, max_size=9),
)
def test_an_estimate_comes_back_bit_for_bit(value, uncertainty, floor, raw, budget, repeats, reason):
    estimate = (
        absent(reason, unit="deg", view="face_on", method="eye")
        if reason
        else Estimate(
            value=value, standard_uncertainty=uncertainty, unit="deg", view="face_on", frames=3, method="eye",
            floor=floor, raw_value=raw, budget=budget, repeats=tuple(repeats),
        )
    )  # fmt: skip
    nothing = absent("nothing", unit="cm")
    record = LessonRecord(
        made_on=TODAY, student=Student(stature_cm=170.0, handed="right"), measures={"spine_tilt": estimate},
        putter_length=nothing, lie=nothing, stock_length_in=None, views={},
    )  # fmt: skip
    (row,) = as_measure_rows(record)
    row.budget, row.repeats = json.loads(json.dumps(row.budget)), json.loads(json.dumps(row.repeats))
    back = as_estimate(row)
    assert repr(back) == repr(estimate)


def test_what_was_told_comes_back(archive, player, stored):
    told = Told(place="the green", coach="Casey", notes="wind\n— and rain", misses="short, right", limits="none")
    number = file_one(archive, player, make_lesson_of(stored, tag="one"), told=told)
    assert load_lesson(archive, number).told == told


def test_lessons_and_tests_come_in_the_order_of_time(archive, player, stored):
    late = file_one(archive, player, make_lesson_of(stored, tag="late"), day=date(2026, 5, 1))
    early = file_one(archive, player, make_lesson_of(stored, tag="early"), day=date(2026, 4, 1))
    again = file_one(archive, player, make_lesson_of(stored, tag="again"), day=date(2026, 5, 1), moment="after")
    for month in (6, 3):
        counts = [PuttCount(distance_cm=100.0 * month, tried=5, holed=2), PuttCount(distance_cm=90.0, tried=3, holed=3)]
        add_practice_test(archive, player, day=date(2026, month, 1), counts=counts, today=TODAY)
    history = load_history(archive, player)
    assert [visit.lesson for visit in history.visits] == [early, late, again]
    assert [test.day.month for test in history.practice] == [3, 6]
    assert [count.distance_cm for count in history.practice[0].counts] == [90.0, 300.0]


def test_putts_of_one_length_are_added_up(archive, player):
    counts = [PuttCount(distance_cm=100.0, tried=5, holed=2), PuttCount(distance_cm=100.0, tried=3, holed=3)]
    add_practice_test(archive, player, day=TODAY, counts=counts, today=TODAY)
    (test,) = load_history(archive, player).practice
    assert test.counts == (PuttCount(distance_cm=100.0, tried=8, holed=5),)


@pytest.mark.parametrize(
    ("count", "says"),
    [
        (PuttCount(distance_cm=0.0, tried=5, holed=2), "cannot be"),
        (PuttCount(distance_cm=9e9, tried=5, holed=2), "cannot be"),
        (PuttCount(distance_cm=100.0, tried=2, holed=5), "5 putts holed of 2 tried"),
        (PuttCount(distance_cm=100.0, tried=0, holed=0), "0 putts holed of 0 tried"),
    ],
)
def test_putts_that_cannot_be_are_refused(archive, player, count, says):
    with pytest.raises(UsageError, match=says):
        add_practice_test(archive, player, day=TODAY, counts=[count], today=TODAY)
    assert load_history(archive, player).practice == ()


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


def refuse(archive, player, stored, **about):
    before = list(archive.files.digests()), load_lessons(archive, player)
    lesson = about.pop("lesson", None) or make_lesson_of(stored, tag="one")
    with pytest.raises((UsageError, ArchiveError)) as caught:
        file_one(archive, player, lesson, **about)
    assert (list(archive.files.digests()), load_lessons(archive, player)) == before
    assert check_archive(archive) == ()
    return str(caught.value)


def test_a_lesson_of_tomorrow_is_refused(archive, player, stored):
    assert "a day to come" in refuse(archive, player, stored, day=date(2027, 1, 1))


def test_a_lesson_of_another_hand_is_refused(archive, player, stored, tmp_path):
    lesson = make_lesson_of(stored, tag="left", change=lambda document: document["student"].update(handed="left"))
    assert "putts left-handed" in refuse(archive, player, stored, lesson=lesson)


def test_a_lesson_is_not_filed_twice(archive, player, stored, tmp_path):
    number = file_one(archive, player, make_lesson_of(stored, tag="one"))
    assert f"filed already, as lesson {number}" in refuse(archive, player, stored)


def test_a_clip_that_was_not_measured_is_refused(archive, player, stored, tmp_path):
    clips = make_clips(tmp_path / "clips", "other")
    assert "is not the clip that was measured" in refuse(archive, player, stored, clips=clips)


def test_a_clip_that_is_not_there_is_refused(archive, player, stored, tmp_path):
    clips = make_clips(tmp_path / "clips", "gone")
    lesson = make_lesson_of(stored, tag="gone", clips=clips)
    clips["face_on"].unlink()
    assert "cannot be read" in refuse(archive, player, stored, lesson=lesson, clips=clips)


def test_a_full_disk_keeps_nothing_of_the_lesson(archive, player, stored, tmp_path, monkeypatch):
    def full(_number):
        raise OSError(errno.ENOSPC, "No space left on device")

    with monkeypatch.context() as patched:
        patched.setattr("putt_posture.archive.file_store.os.fsync", full)
        with pytest.raises(ArchiveError, match=r"[Ff]ull|[Ss]pace"):
            file_one(archive, player, make_lesson_of(stored, tag="one"))
    assert load_lessons(archive, player) == ()
    assert check_archive(archive) == ()


def test_a_full_database_keeps_nothing_of_the_lesson(folder_archive, stored):
    player = add_player(folder_archive)
    with folder_archive.read() as session:
        pages = session.execute(text("PRAGMA page_count")).scalar_one()
    folder_archive.engine.dispose()

    def limit(connection, _record):
        connection.execute(f"PRAGMA max_page_count={pages}")

    event.listen(folder_archive.engine, "connect", limit)
    with pytest.raises(ArchiveError, match="full"):
        file_one(folder_archive, player, make_lesson_of(stored, tag="one"), told=Told(notes="long " * 100_000))
    event.remove(folder_archive.engine, "connect", limit)
    folder_archive.engine.dispose()
    assert load_lessons(folder_archive, player) == ()
    with open_archive(folder_archive.place.folder) as again:
        assert check_archive(again) == ()


def test_what_is_not_there_is_said(archive):
    for load in (load_lesson, open_lesson, load_history):
        with pytest.raises(NotInArchive, match="There is no"):
            load(archive, 9)
