"""Lists and folders of lessons: what is read, and the one sentence for what cannot be."""

from datetime import date
from pathlib import Path

import pytest

from putt_posture.archive import LessonNotes
from putt_posture.batch import read_folder, read_list
from putt_posture.errors import UsageError

DAY = date(2026, 11, 7)
NEEDED = "student,moment,face_on\n"


@pytest.fixture
def read(tmp_path):
    """Write a list and read it."""

    def read(text, encoding="utf-8"):
        path = tmp_path / "list.csv"
        path.write_bytes(text.encode(encoding) if isinstance(text, str) else text)
        return read_list(path)

    return read


@pytest.fixture
def clips(tmp_path):
    """Put files with these names into a folder, and read it."""

    def put(*names):
        for name in names:
            path = tmp_path / "clips" / name
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_bytes(b"clip")
        return read_folder(tmp_path / "clips")

    return put


def faults(lessons):
    return [each.fault for each in lessons]


def test_a_row_gives_all_that_is_said_of_a_lesson(read, tmp_path):
    (lesson,) = read(
        "Student, Moment ,day,down the line,face-on,putter_length,putter_lie,place,coach,misses,weak_putts,"
        "putter_story,limits,notes,without_putter,step,without_pictures,without_clips\n"
        '12,Before,2026-11-07,a.mov,sub/b.mov,34in,70,Studio,Kim,left,lag,gift,"back, stiff",long,yes,Step 2,yes,YES\n'
    )
    assert lesson.where == "row 2"
    assert (lesson.student, lesson.moment, lesson.day) == (12, "before", DAY)
    assert lesson.clips == {"down_the_line": tmp_path / "a.mov", "face_on": tmp_path / "sub" / "b.mov"}
    assert lesson.putter_length_cm == pytest.approx(34 * 2.54)
    assert lesson.putter_lie_deg == 70.0
    assert lesson.notes == LessonNotes(
        place="Studio", coach="Kim", misses="left", weak_putts="lag", putter_story="gift", limits="back, stiff",
        notes="long",
    )  # fmt: skip
    assert lesson.given == {"without_putter": True, "step": "Step 2"}
    assert (lesson.keep_pictures, lesson.keep_clips, lesson.fault) == (False, False, "")


@pytest.mark.parametrize("text", ["{0};check;a.mov\n", "\n{0};check;a.mov\n"])
@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig"])
def test_lists_as_spreadsheets_write_them_are_read(read, text, encoding):
    rows = read("student;moment;face_on;;\r\n" + text.format(7).replace("\n", "\r\n"), encoding)
    assert [(each.student, each.fault) for each in rows] == [(7, "")]


def test_rows_are_counted_as_a_spreadsheet_does(read):
    rows = read('student,moment,face_on,notes\n1,check,a.mov,"two\nlines"\n\n,,,\n2,check,b.mov,\n')
    assert [each.where for each in rows] == ["row 2", "row 5"]


@pytest.mark.parametrize(
    ("row", "says"),
    [
        ("x,check,a.mov", "student is 'x'; give the student's number in the archive."),
        (",check,a.mov", "student is ''"),
        ("1234567890,check,a.mov", "student is '1234567890'"),
        ("١٢,check,a.mov", "student is"),
        ("1,never,a.mov", "moment is 'never'; give before, after, check."),
        ("1,check,", "It has no clip."),
        ("1,check,a.mov,more", "more cells than there are columns"),
    ],
)
def test_a_bad_row_says_why_and_stops_no_other(read, row, says):
    bad, good = read(f"{NEEDED}{row}\n5,check,b.mov\n")
    assert says in bad.fault
    assert bad.clips == {}
    assert (good.student, good.fault) == (5, "")


@pytest.mark.parametrize(
    ("column", "cell"),
    [
        ("day", "7.11.2026"), ("putter_length", "34"), ("putter_lie", "steep"), ("weak_putts", "all"),
        ("without_putter", "perhaps"), ("without_clips", "1"), ("coach_file", "none.toml"),
    ],
)  # fmt: skip
def test_a_cell_that_cannot_be_read_says_why(read, column, cell):
    (lesson,) = read(f"student,moment,face_on,{column}\n1,check,a.mov,{cell}\n")
    assert lesson.fault.endswith(".")
    assert lesson.where == "row 2"


def test_one_clip_for_both_views_is_refused(read):
    (lesson,) = read("student,moment,down_the_line,face_on\n1,check,a.mov,./a.mov\n")
    assert lesson.fault == "The same clip is given for both views. Give each its own."


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("student,moment,face_on,speed\n", "the column 'speed', which is not known. Known are student"),
        ("student,moment,face_on,Student\n", "the column student twice"),
        ("student,face_on\n", "no column moment"),
        ("student,moment\n", "no column down_the_line or face_on"),
        (NEEDED, "has no lesson"),
        ("", "no column student"),
        (b"student,moment,face_on\n1,check,\xe4.mov\n", "no text in UTF-8 (byte 31)"),
        (NEEDED + '1,check,"' + "a" * 200_000, "cannot be read as CSV"),
        ("student,moment,face_on\n1,check,a\0.mov\n", "is no text (byte 32 is 0)"),
    ],
)
def test_a_list_that_is_none_is_refused_whole(read, text, says):
    with pytest.raises(UsageError) as error:
        read(text)
    assert says in str(error.value)


def test_two_clips_that_differ_in_the_view_are_one_lesson(clips):
    one, other = clips(
        "12_2026-11-07_before_down-the-line.mov",
        "12_2026-11-07_before_face-on.MP4",
        "12_2026-11-07_after_face-on.jpg",
        "notes.txt",
        "._12_2026-11-07_after_face-on.jpg",
    )
    assert (other.student, other.moment, other.day, set(other.clips)) == (
        12,
        "before",
        DAY,
        {"down_the_line", "face_on"},
    )
    assert (one.moment, set(one.clips), one.fault) == ("after", {"face_on"}, "")


def test_folders_in_the_folder_are_looked_at_and_kept_apart(clips):
    lessons = clips("one/3_2026-11-07_check_face-on.mov", "two/3_2026-11-07_check_down-the-line.mov")
    assert [set(each.clips) for each in lessons] == [{"face_on"}, {"down_the_line"}]


@pytest.mark.parametrize(
    "name",
    [
        "IMG_0001.mov",
        "12_2026-11-07_before_side.mov",
        "12_2026-13-07_before_face-on.mov",
        "12_2026-11-07_now_face-on.mov",
    ],
)
def test_a_clip_whose_name_says_nothing_is_a_lesson_with_the_reason(clips, name):
    lessons = clips(name, "5_2026-11-07_check_face-on.mov")
    bad = next(each for each in lessons if each.where == name)
    assert bad.fault
    assert bad.clips == {}
    assert sum(not each.fault for each in lessons) == 1


def test_two_clips_of_one_view_of_a_lesson_are_said(clips):
    lessons = clips("5_2026-11-07_check_face-on.mov", "5_2026-11-07_check_face-on.mp4")
    assert sorted(map(bool, faults(lessons))) == [False, True]
    assert "two face on clips of this lesson" in "".join(faults(lessons))


def test_a_folder_without_clips_is_refused(clips):
    with pytest.raises(UsageError, match="holds no clip"):
        clips("notes.txt")
    with pytest.raises(UsageError, match="is no folder"):
        read_folder(Path("nowhere"))
