"""What is erased cannot be found in any byte of the archive, and others lose nothing."""

from datetime import date
from pathlib import Path

import pytest
from filed import TODAY, add_player, file_one, make_clips, make_lesson_of
from sqlalchemy import select

from putt_posture.archive import (
    Told,
    add_consent,
    add_practice_test,
    change_student,
    check_archive,
    correct_landmark,
    erase_lesson,
    erase_student,
    find_students,
    load_erasures,
    load_lesson,
    load_lessons,
    load_overview,
    open_lesson,
)
from putt_posture.archive.erasing import erase_pictures
from putt_posture.archive.tables import Base
from putt_posture.errors import NotInArchive
from putt_posture.values import PuttCount

SECRETS = (
    "Quirina Xylander",
    "quirina",
    "Wendelin Xylander",
    "knee that hurts",
    "won it at a fair",
    "Yeovil",
)
TOLD = Told(place="Yeovil", coach="Casey", limits="a knee that hurts", putter_story="won it at a fair")


def add_quirina(archive):
    number = add_player(archive, name="Quirina Xylander", born=date(1987, 6, 5), notes="came by way of Yeovil")
    add_consent(
        archive,
        number,
        scopes=("faces",),
        given_on=TODAY,
        given_by="Wendelin Xylander",
        relation="guardian",
        today=TODAY,
    )
    return number


@pytest.fixture
def quirina(archive, stored, tmp_path):
    """A student with a lesson of which every part tells something, and what of it are bytes."""
    number = add_quirina(archive)
    clips = make_clips(tmp_path / "clips", "quirina")
    lesson = make_lesson_of(
        stored, tag="quirina", clips=clips, change=lambda document: document["student"].update(name="Quirina Xylander")
    )
    filed = file_one(archive, number, lesson, clips=clips, told=TOLD)
    correct_landmark(
        archive, filed, view="face_on", frame=0, landmark="nose", point_px=(10.0, 12.0), made_by="Wendelin", today=TODAY
    )
    add_practice_test(
        archive, number, day=TODAY, counts=[PuttCount(distance_cm=300.0, tried=9, holed=4)], today=TODAY, note="Yeovil"
    )
    pieces = [path.read_bytes() for path in clips.values()] + [lesson.read(name) for name in lesson.names]
    return number, [*(each.encode() for each in SECRETS), *(piece[:200] for piece in pieces)]


def bytes_of(place, archive):
    """Return all that lies in the archive's folders and, where it is no file, in its tables."""
    folder = Path(place.archive) if place.kind == "sqlite" else place.files
    found = [path.read_bytes() for path in folder.rglob("*") if path.is_file()]
    if place.kind == "postgresql":
        with archive.read() as session:
            for table in Base.metadata.sorted_tables:
                found += [repr(tuple(row)).encode() for row in session.execute(select(table))]
    return b"\n".join(found)


def test_nothing_of_an_erased_student_is_left_in_any_byte(place, archive, quirina):
    number, secrets = quirina
    before = bytes_of(place, archive)
    born = b"1987-06-05" if place.kind == "sqlite" else repr(date(1987, 6, 5)).encode()
    looked_for = [*secrets, born]
    assert [each for each in looked_for if each not in before] == []
    erase_student(archive, number, today=TODAY, reason="they asked")
    after = bytes_of(place, archive)
    assert [each for each in looked_for if each in after] == []
    assert check_archive(archive) == ()


def test_no_file_is_left_of_an_archive_with_nobody_in_it(place, archive, quirina):
    erase_student(archive, quirina[0], today=TODAY, reason="they asked")
    assert [path for path in place.files.rglob("*") if path.is_file()] == []


def test_a_record_says_that_it_was_done_and_not_of_whom(place, archive, quirina):
    erased = erase_student(archive, quirina[0], today=TODAY, reason="they asked")
    assert (erased.students, erased.lessons) == (1, 1)
    assert load_erasures(archive) == ((TODAY, 1, erased.files, "they asked"),)


def test_another_student_with_the_same_clip_keeps_it(archive, quirina, stored, tmp_path):
    other = add_player(archive)
    clips = make_clips(tmp_path / "again", "quirina")
    filed = file_one(archive, other, make_lesson_of(stored, tag="other", clips=clips), clips=clips)
    erase_student(archive, quirina[0], today=TODAY, reason="they asked")
    assert check_archive(archive) == ()
    assert open_lesson(archive, filed).read("clips/face_on.mov") == clips["face_on"].read_bytes()
    assert [each.number for each in find_students(archive, "p")] == [other]


def test_the_number_of_an_erased_student_is_not_given_again(archive, quirina):
    erase_student(archive, quirina[0], today=TODAY, reason="they asked")
    assert add_player(archive) > quirina[0]


def test_a_changed_name_leaves_no_old_one_behind_once_somebody_is_erased(place, archive, quirina):
    change_student(archive, quirina[0], today=TODAY, name="Nobody Else")
    erase_student(archive, quirina[0], today=TODAY, reason="they asked")
    assert b"Xylander" not in bytes_of(place, archive)


def test_one_lesson_goes_and_the_others_stay(archive, player, lesson, stored):
    other = file_one(archive, player, make_lesson_of(stored, tag="second"))
    erased = erase_lesson(archive, lesson)
    assert (erased.students, erased.lessons) == (0, 1)
    assert [each.number for each in load_lessons(archive, player)] == [other]
    assert load_overview(archive, today=TODAY).seen[0].lessons == 1
    assert check_archive(archive) == ()


def test_pictures_go_and_the_numbers_stay(place, archive, lesson):
    assert b"still face on of first" in bytes_of(place, archive)
    erase_pictures(archive, [lesson])
    assert load_lesson(archive, lesson).names == ("measures.csv", "measures.json")
    assert b"still face on of first" not in bytes_of(place, archive)
    assert check_archive(archive) == ()


@pytest.mark.parametrize(
    "erase", [erase_lesson, lambda archive, number: erase_student(archive, number, today=TODAY, reason="")]
)
def test_what_is_not_there_is_said_and_nothing_is_written(archive, erase):
    with pytest.raises(NotInArchive, match="There is no"):
        erase(archive, 77)
    assert load_erasures(archive) == ()
