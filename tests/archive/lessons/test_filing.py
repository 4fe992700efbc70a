"""A lesson that is filed comes back as it was."""

import io
import json
import math
from datetime import date, timedelta
from pathlib import Path

import numpy as np
import pytest
from attrs import evolve, fields_dict
from filed import NAME, TODAY, add_player, file_one, make_clips, make_lesson_of
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from sqlalchemy.orm import Session

from putt_posture.archive import (
    LessonNotes,
    add_student,
    check_archive,
    check_filing,
    file_lesson,
    load_history,
    load_landmarks,
    load_lesson,
    load_lessons,
    open_lesson,
    withdraw_consent,
)
from putt_posture.archive.db.rows import as_estimate, as_measure_rows
from putt_posture.archive.db.tables import LessonRow, MeasureRow
from putt_posture.archive.files.pending import PendingFiles
from putt_posture.errors import ArchiveError, NotAllowed, NotInArchive, UsageError
from putt_posture.measures import MEASURES
from putt_posture.values import WEAK_PUTTS, Estimate, Interview, Student, absent

NUMBERS = st.floats(allow_nan=False, allow_infinity=False).map(lambda number: number + 0.0)
"""Without −0, of which SQLite keeps 0."""
POSITIVE = st.floats(min_value=0, allow_nan=False, allow_infinity=False)
TEXTS = st.text(st.characters(blacklist_categories=["Cs", "Cc"]), max_size=40)
ESTIMATES = st.builds(
    Estimate,
    value=NUMBERS,
    standard_uncertainty=POSITIVE,
    unit=st.sampled_from(["deg", "cm", "%"]),
    view=st.sampled_from(["down_the_line", "face_on", None]),
    frames=st.integers(0, 10_000),
    method=TEXTS,
    floor=st.none() | NUMBERS,
    raw_value=st.none() | NUMBERS,
    budget=st.dictionaries(TEXTS, POSITIVE, max_size=4),
    repeats=st.lists(NUMBERS, max_size=5).map(tuple),
) | st.builds(
    absent,
    TEXTS.filter(bool),
    unit=st.sampled_from(["deg", "cm", "%"]),
    view=st.sampled_from(["down_the_line", "face_on", None]),
    method=TEXTS,
)


def bits(estimate):
    """Every attribute, numbers by their bits: NaN is itself."""
    return {name: _bits(getattr(estimate, name)) for name in fields_dict(Estimate)}


def _bits(value):
    if isinstance(value, float):
        return value.hex() if math.isfinite(value) else "nan"
    if isinstance(value, dict):
        return {name: _bits(each) for name, each in value.items()}
    return [_bits(each) for each in value] if isinstance(value, tuple | list) else value


@given(measures=st.fixed_dictionaries(dict.fromkeys(list(MEASURES)[:4], ESTIMATES)))
@settings(suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_estimates_come_back_from_the_database_bit_for_bit(archive, player, lesson, stored, measures):
    """Through the rows of a real database, in a transaction that is not ended."""
    record = evolve(make_lesson_of(stored, tag="any").record, measures=measures)
    with archive.engine.connect() as connection, Session(connection) as session:
        row = session.get(LessonRow, lesson)
        another = {each.name: getattr(row, each.name) for each in LessonRow.__table__.columns if each.name != "id"}
        new = LessonRow(**another | {"document": "0" * 64})
        session.add(new)
        session.flush()
        for each in as_measure_rows(record):
            each.lesson_id = new.id
            session.add(each)
        session.flush()
        session.expire_all()
        found = {name: as_estimate(session.get(MeasureRow, (new.id, name))) for name in measures}
        session.rollback()
    assert {name: bits(each) for name, each in found.items()} == {name: bits(each) for name, each in measures.items()}


def test_the_history_tells_what_the_record_told(archive, player, stored, tmp_path):
    kept = make_lesson_of(stored, tag="one", shift=1 / 3)
    number = file_one(
        archive, player, kept, day=date(2026, 3, 4), moment="after", notes=LessonNotes(coach="C", place="P")
    )
    history = load_history(archive, player, today=TODAY)
    (visit,) = history.visits
    assert history.name == NAME
    assert (visit.lesson, visit.day, visit.moment, visit.coach, visit.place) == (
        number, date(2026, 3, 4), "after", "C", "P",
    )  # fmt: skip
    record = kept.record
    assert list(visit.measured.measures) == list(MEASURES)
    for name, each in record.measures.items():
        assert bits(visit.measured.measures[name]) == bits(each), name
    assert visit.measured.scale_sources == {view: seen.scale_source for view, seen in record.views.items()}
    assert visit.measured.landmark_models == {view: seen.landmark_model for view, seen in record.views.items()}
    assert evolve(visit.measured.student, name=None) == evolve(record.student, name=None)
    assert visit.suggested.value == record.putter_length.value
    assert visit.suggested.standard_uncertainty == record.putter_length.standard_uncertainty
    assert visit.putter_in_use_cm == record.student.putter_length_cm


def test_a_lesson_is_opened_with_the_files_that_were_filed(archive, player, stored, tmp_path):
    clips = make_clips(tmp_path, "one")
    kept = make_lesson_of(stored, tag="one", clips=clips)
    number = file_one(archive, player, kept, clips=clips)
    opened = open_lesson(archive, number, today=TODAY)
    assert opened.names == kept.names | {"clips/face_on.mov", "clips/down_the_line.mov"}
    assert all(opened.read(name) == kept.read(name) for name in kept.names)
    assert all(opened.read(f"clips/{view}.mov") == path.read_bytes() for view, path in clips.items())
    assert repr(opened.record) == repr(evolve(kept.record, made_on=TODAY))


def test_landmarks_come_back_to_single_precision(archive, player, stored):
    number = file_one(archive, player, make_lesson_of(stored, tag="one"))
    seen = load_landmarks(archive, number, "face_on", today=TODAY)
    with np.load(io.BytesIO(stored["landmarks.npz"])) as arrays:
        points = arrays["face_on.points_px"]
    assert np.allclose(seen.points[..., :2], points, rtol=1e-6, equal_nan=True)


@given(
    notes=st.builds(
        LessonNotes,
        **{
            name: st.none() | st.sampled_from(WEAK_PUTTS)
            if name == "weak_putts"
            else st.text(st.characters(blacklist_categories=["Cs"]), max_size=60)
            for name in fields_dict(LessonNotes)
        },
    )
)
@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], max_examples=8)
def test_notes_come_back_without_control_signs(archive, player, stored, notes):
    tag = str(len(load_lessons(archive, player)))
    number = file_one(archive, player, make_lesson_of(stored, tag=tag), notes=notes, pictures=False)
    found = load_lesson(archive, number, today=TODAY).notes
    for name in fields_dict(LessonNotes):
        said = getattr(notes, name)
        plain = said and "".join(each for each in said if each in "\n\t" or not _is_control(each))
        assert getattr(found, name) == plain


def with_answers(stored, **answers):
    """The invented lesson with what its student said."""
    document = json.loads(stored["measures.json"])
    document["interview"] |= answers
    return make_lesson_of(stored | {"measures.json": json.dumps(document).encode()}, tag="said")


def test_what_the_student_said_is_taken_from_the_folder(archive, player, stored):
    kept = with_answers(stored, misses="left under 2 m", weak_putts="lag", limits="bad back")
    number = file_one(archive, player, kept, notes=LessonNotes(coach="C"), pictures=False)
    assert load_lesson(archive, number, today=TODAY).notes == LessonNotes(
        coach="C", misses="left under 2 m", weak_putts="lag", limits="bad back"
    )


def test_what_is_typed_goes_before_what_the_folder_says(archive, player, stored):
    kept = with_answers(stored, misses="left under 2 m", weak_putts="lag", limits="bad back")
    typed = LessonNotes(misses="right", weak_putts="short")
    number = file_one(archive, player, kept, notes=typed, pictures=False)
    said = Interview(misses="right", weak_putts="short", limits="bad back")
    assert load_lesson(archive, number, today=TODAY).notes.alone() == said
    assert open_lesson(archive, number, today=TODAY).record.interview == said


def test_who_said_nothing_and_was_taught_somewhere_keeps_the_place(archive, player, stored):
    number = file_one(
        archive, player, make_lesson_of(stored, tag="one"), notes=LessonNotes(place="Green"), pictures=False
    )
    assert load_lesson(archive, number, today=TODAY).notes.place == "Green"


def test_nothing_that_was_said_is_shown_without_consent_for_keeping(archive, player, stored):
    number = file_one(archive, player, with_answers(stored, limits="bad back"), pictures=False)
    withdraw_consent(archive, player, scopes=["measures"], on=TODAY)
    assert load_lesson(archive, number, today=TODAY).notes == LessonNotes()


def _is_control(letter):
    return letter < " " or "\x7f" <= letter <= "\x9f"


def test_lessons_come_in_the_order_of_time(archive, player, stored):
    days = [date(2026, 3, 1), date(2025, 1, 1), date(2026, 3, 1), date(2026, 2, 1)]
    for at, day in enumerate(days):
        file_one(archive, player, make_lesson_of(stored, tag=str(at)), day=day, pictures=False)
    assert [(each.day, each.number) for each in load_lessons(archive, player)] == [
        (days[1], 2), (days[3], 4), (days[0], 1), (days[2], 3),
    ]  # fmt: skip


def test_without_pictures_nothing_that_shows_the_student_is_kept(archive, player, stored, tmp_path):
    clips = make_clips(tmp_path, "one")
    number = file_one(archive, player, make_lesson_of(stored, tag="one", clips=clips), clips=clips, pictures=False)
    assert load_lesson(archive, number).names == ("measures.csv", "measures.json")
    assert check_archive(archive) == ()


def test_a_lesson_is_filed_once(archive, player, stored):
    kept = make_lesson_of(stored, tag="one")
    number = file_one(archive, player, kept, day=date(2026, 3, 4))
    with pytest.raises(UsageError, match=rf"filed already, as lesson {number} of 2026-03-04\. Nothing was changed"):
        file_one(archive, player, kept)
    assert len(load_lessons(archive, player)) == 1
    assert check_archive(archive) == ()


@pytest.mark.parametrize("day", [TODAY + timedelta(days=1), date(2100, 1, 1)])
def test_a_day_to_come_is_refused(archive, player, stored, day):
    with pytest.raises(UsageError, match="in the future"):
        file_one(archive, player, make_lesson_of(stored, tag="one"), day=day)
    assert load_lessons(archive, player) == ()


def test_a_lesson_of_the_other_side_is_refused(archive, stored):
    left = Student(name="Lefty", stature_cm=178.0, handed="left")
    number = add_student(archive, left, today=TODAY, adult=True)
    with pytest.raises(UsageError, match="putts right-handed, and Lefty putts left-handed"):
        file_one(archive, number, make_lesson_of(stored, tag="one"))


def test_a_clip_that_was_not_measured_is_refused(archive, player, stored, tmp_path):
    clips, others = make_clips(tmp_path, "one"), make_clips(tmp_path, "two")
    with pytest.raises(UsageError, match="is not the clip that was measured"):
        file_one(archive, player, make_lesson_of(stored, tag="one", clips=clips), clips=others)
    assert load_lessons(archive, player) == ()
    assert list(archive.files.digests()) == []


def test_a_clip_that_is_not_there_is_refused(archive, player, stored, tmp_path):
    clips = make_clips(tmp_path, "gone")
    lesson = make_lesson_of(stored, tag="gone", clips=clips)
    clips["face_on"].unlink()
    with pytest.raises(ArchiveError, match="cannot be read"):
        file_one(archive, player, lesson, clips=clips)
    assert load_lessons(archive, player) == ()
    assert list(archive.files.digests()) == []


def test_a_student_who_is_not_there_is_one_sentence(archive, stored):
    with pytest.raises(NotInArchive, match="There is no student 5"):
        file_one(archive, 5, make_lesson_of(stored, tag="one"))
    with pytest.raises(NotInArchive, match="There is no lesson 5"):
        load_lesson(archive, 5)
    with pytest.raises(NotInArchive, match="There is no student 5"):
        load_history(archive, 5, today=TODAY)


def test_a_file_that_cannot_be_read_leaves_nothing_behind(archive, player, stored, tmp_path):
    kept = make_lesson_of(stored, tag="one")

    def read(name):
        if name.startswith("stills/"):
            raise OSError(5, "Input/output error")
        return kept.read(name)

    with pytest.raises(OSError, match="Input/output"):
        file_one(archive, player, evolve(kept, read=read))
    assert load_lessons(archive, player) == ()
    assert list(Path(archive.files.folder).rglob("*/*")) == []
    file_one(archive, player, kept)


def test_consent_is_checked_before_the_long_work(archive, player):
    student = Student(name="Robin Unasked", stature_cm=178.0, handed="right")
    unasked = add_student(archive, student, today=date(2020, 1, 1), adult=True)
    about = {"day": TODAY, "today": TODAY}
    assert check_filing(archive, player, **about) == {"filming", "measures", "pictures", "faces"}
    with pytest.raises(NotAllowed):
        check_filing(archive, unasked, **about)
    with pytest.raises(NotInArchive):
        check_filing(archive, 77, **about)


def test_what_is_withdrawn_while_the_files_come_is_not_filed(archive, player, stored, monkeypatch):
    """Between the first check and the transaction somebody else writes the withdrawal down."""

    def add(self, contents, _add=PendingFiles.add):
        withdraw_consent(archive, player, scopes=["measures"], on=date(2026, 6, 1))
        return _add(self, contents)

    monkeypatch.setattr(PendingFiles, "add", add)
    with pytest.raises(NotAllowed):
        file_lesson(
            archive, player, make_lesson_of(stored, tag="one"), day=TODAY, moment="before", today=TODAY, pictures=False
        )
    assert load_lessons(archive, player) == ()
    assert list(archive.files.digests()) == []


def test_the_document_is_the_one_that_was_filed(archive, lesson, stored):
    assert (
        "This is lesson first."
        in json.loads(open_lesson(archive, lesson, today=TODAY).read("measures.json"))["warnings"]
    )


def test_two_students_with_the_same_files_share_them(archive, player, stored, tmp_path):
    clips = make_clips(tmp_path, "one")
    kept = make_lesson_of(stored, tag="one", clips=clips)
    file_one(archive, player, kept, clips=clips)
    there = list(archive.files.digests())
    file_one(archive, add_player(archive, name="Casey Cupp"), kept, clips=clips)
    assert list(archive.files.digests()) == there
