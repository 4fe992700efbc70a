"""The commands on lessons: ``archive file``, ``correct``, ``erase-lesson``, and ``compare`` with filed lessons."""

import hashlib
import io
import json
from pathlib import Path

import numpy as np
import pytest
from academy import PLAYER, TODAY, Terminal, contents_of
from attrs import evolve
from invented import make_lesson
from PIL import Image

from putt_posture.archive import load_lesson, open_archive, open_lesson
from putt_posture.archive.files.file_store import FolderStore
from putt_posture.cli import main
from putt_posture.cli.options import VIEW_NAMES

CORRECT = ("--view", "face-on", "--frame", 1, "--landmark", "left_hip", "--at", "501,902", "--by", "Kim [b]")


@pytest.fixture
def empty_student(academy, archive):
    """The number of a grown-up without lessons who consented to everything but showing the face."""
    archive("enrol", "Alex", "--height", "178cm", "--handed", "right", "--adult")
    archive("consent", 3, "--for", "filming,measures,pictures", "--given-by", "Alex", "--on", "2026-01-01")
    return 3


@pytest.fixture
def measured(monkeypatch):
    """What the library was asked to measure; it finds the invented lesson in whatever clips it gets."""
    asked = {}

    def measure(*, student, progress, **more):
        asked.update(more, student=student)
        lesson = make_lesson()
        views = {
            view: evolve(
                lesson.views[view],
                clip=evolve(
                    lesson.views[view].clip, path=more[view], sha256=hashlib.sha256(more[view].read_bytes()).hexdigest()
                ),
            )
            for view in lesson.views
        }
        return evolve(lesson, views=views, student=evolve(student, name=lesson.student.name))

    monkeypatch.setattr("putt_posture.lesson.measure_lesson", measure)
    return asked


def clips_of(place: Path) -> list[str]:
    return [word for view, name in VIEW_NAMES.items() for word in (f"--{name}", str(place / f"{view}.mov"))]


def test_result_folder_is_filed_with_its_clips_and_what_was_told(academy, archive, results, tmp_path) -> None:
    archive("erase-lesson", 1, "--yes")
    said = archive(
        "file", 1, results / "result", *clips_of(results), "--moment", "before", "--day", "2026-01-10",
        "--place", "Studio [x]", "--misses", "short ones right", "--weak-putts", "lag", "--limits", "bad knee",
    )  # fmt: skip
    assert "Understood: misses to the right on short putts. Weak: lag putts. Limits: knee.\n" in said
    assert f"of student 1, {PLAYER}\n2026-01-10, before. Kept: measures, stills and report, 2 clips\n" in said
    assert "The report is named Robin Example." in " ".join(said.split())
    with open_archive() as opened:
        filed = load_lesson(opened, 4, today=TODAY)
        with opened.files.open(hashlib.sha256((results / "face_on.mov").read_bytes()).hexdigest()) as stream:
            assert stream.read() == (results / "face_on.mov").read_bytes()
    assert (filed.notes.place, filed.notes.misses, filed.moment) == ("Studio [x]", "short ones right", "before")
    shown = " ".join(archive("show", 1).split())
    for answer in ("misses: short ones right", "weak putts: Lag putts", "pain and limits: bad knee"):
        assert f"- Lesson 4, {answer}" in shown


def test_clips_are_measured_with_what_the_archive_knows_and_then_filed(academy, archive, results, measured) -> None:
    said = archive(
        "file", 1, *clips_of(results), "--moment", "check", "--putter-length", "34in", "--camera-roll", "face-on:1.5"
    )
    assert measured["student"].stature_cm == 178.0
    assert measured["student"].name == PLAYER
    assert measured["student"].putter_length_cm == pytest.approx(86.36)
    assert measured["camera_roll_deg"] == {"face_on": 1.5}
    assert "Spine tilt" in said
    assert f"Filed as lesson 4 of student 1, {PLAYER}\n{TODAY}, check. Kept: measures, stills and report, 2 c" in said
    with open_archive() as opened:
        assert "report.html" in load_lesson(opened, 4).names


def test_a_putter_that_was_another_last_time_is_asked_about_before_and_after_the_measuring_and_nothing_is_held_up(
    academy, archive, results, measured
) -> None:
    for inches in ("36in", "33in"):
        said = archive("file", 1, *clips_of(results), "--moment", "check", "--putter-length", inches)
    said = " ".join(said.split())
    question = (
        f"The putter typed is 33.0 in (83.8 cm), and on {TODAY.day} {TODAY:%B %Y} it was 36.0 in (91.4 cm). "
        "Is it another one?"
    )
    assert said.count(question) == 2
    assert said.index(question) < said.index("Filed as lesson 5") < said.rindex(question)
    assert said.index("stop with Ctrl-C") < said.index("Filed as lesson 5")
    assert "archive erase-lesson (this one is 5)" in said
    with open_archive() as opened:
        assert load_lesson(opened, 5, today=TODAY).putter_length_cm == pytest.approx(83.82)


def test_a_lesson_of_clips_has_the_day_of_the_clips_and_says_so(academy, archive, measured, tmp_path) -> None:
    taken = Image.Exif()
    taken.get_ifd(0x8769)[0x9003] = "2026:02:07 10:00:00"
    words = []
    for view, name in VIEW_NAMES.items():
        Image.new("RGB", (64, 48)).save(tmp_path / f"{view}.jpg", exif=taken)
        words += [f"--{name}", tmp_path / f"{view}.jpg"]
    said = " ".join(archive("file", 1, *words, "--moment", "check", "--without-clips").split())
    assert "The lesson is dated 2026-02-07, when down_the_line.jpg was filmed. Another day: --day." in said
    with open_archive() as opened:
        assert str(load_lesson(opened, 4, today=TODAY).day) == "2026-02-07"
    archive("erase-lesson", 4, "--yes")
    said = archive("file", 1, *words, "--moment", "check", "--without-clips", "--day", "2026-02-09")
    assert "The lesson is dated 2026-02-09, as given." in said
    assert "\n2026-02-09, check." in said


def test_a_result_folder_has_the_day_of_its_report(academy, archive, results) -> None:
    archive("erase-lesson", 1, "--yes")
    made_on = json.loads((results / "result" / "measures.json").read_text(encoding="utf-8"))["made_on"]
    said = archive("file", 1, results / "result", "--moment", "check")
    assert f"The lesson is dated {made_on}, as its report is. Another day: --day." in said
    with open_archive() as opened:
        assert str(load_lesson(opened, 4, today=TODAY).day) == made_on


def test_without_consent_for_the_face_it_is_hidden_and_the_clips_are_not_kept(
    empty_student, archive, results, measured
) -> None:
    said = archive("file", empty_student, *clips_of(results), "--moment", "before")
    assert "The clips are not kept, as there is no consent for showing the face in them." in " ".join(said.split())
    with open_archive() as opened:
        lesson = open_lesson(opened, 4, today=TODAY)
    assert lesson.record.faces_hidden
    assert "stills/face_on.png" in lesson.names
    assert not [name for name in lesson.names if name.startswith("clips/")]


@pytest.mark.parametrize("source", ["clips", "result folder"])
def test_without_consent_for_the_face_none_is_written_not_even_on_the_way(
    empty_student, archive, results, measured, monkeypatch, source
) -> None:
    brought = []

    def put(self, stream, digest, *, token, _put=FolderStore.put):
        brought.append(stream.read())
        stream.seek(0)
        return _put(self, stream, digest, token=token)

    monkeypatch.setattr(FolderStore, "put", put)
    words = clips_of(results) if source == "clips" else [results / "result"]
    archive("file", empty_student, *words, "--moment", "before")
    for still in (results / "result" / "stills").iterdir():
        shown = np.asarray(Image.open(still).convert("RGB")) if still.suffix != ".svg" else None
        for data in (each for each in brought if shown is not None and each[:4] in (b"\x89PNG", b"\xff\xd8\xff\xe0")):
            kept = np.asarray(Image.open(io.BytesIO(data)).convert("RGB"))
            assert kept.shape != shown.shape or (kept != shown).any()
    assert sum(each.startswith(b"\x89PNG") for each in brought) >= 2


@pytest.mark.parametrize(
    ("option", "kept", "left_out"),
    [("--without-pictures", "measures.json", "report.html"), ("--without-clips", "report.html", "clips/face_on.mov")],
)
def test_pictures_and_clips_are_left_out_where_asked(option, kept, left_out, academy, archive, results) -> None:
    archive("erase-lesson", 1, "--yes")
    archive("file", 1, results / "result", *clips_of(results), "--moment", "before", option)
    with open_archive() as opened:
        names = load_lesson(opened, 4).names
    assert kept in names
    assert left_out not in names


def test_lesson_is_filed_once(academy, refused, results) -> None:
    said = refused("archive", "file", 1, results / "result", "--moment", "check", code=2)
    assert "This lesson is filed already, as lesson 1 of 2026-01-10." in said


@pytest.mark.parametrize(
    ("words", "code", "says"),
    [
        (("1", "{results}/later"), 2, "Missing option '--moment'"),
        (("1", "--moment", "before"), 2, "Nothing was given to file."),
        (("1", "{results}/later", "--moment", "during"), 2, "'during' is not one of"),
        (("1", "{results}/nowhere", "--moment", "before"), 2, "is not there. Give the folder that measure wrote"),
        (("1", "{results}", "--moment", "before"), 2, "holds no measures.json"),
        (("1", "{results}/later", "--moment", "before", "--day", "2090-01-01"), 2, "--day"),
        (("1", "{results}/later", "--moment", "before", "--putter-length", "34in"), 2, "--putter-length is for measur"),
        (("1", "{results}/later", "--moment", "before", "--ball-at", "1,2"), 2, "--ball-at is for measuring clips"),
        (("1", "{results}/later", "--moment", "before", "--day", "2019-12-31"), 1, "There is no consent for"),
        (("2", "{results}/later", "--moment", "before"), 1, "There is no consent for being filmed and keeping the m"),
        (("2", "--face-on", "{results}/face_on.mov", "--moment", "before"), 1, "There is no consent for"),
        (("1", "--face-on", "{results}/none.mov", "--moment", "before"), 1, "none.mov"),
    ],
)
def test_lesson_that_cannot_be_filed_is_one_sentence(words, code, says, academy, refused, results) -> None:
    assert says in refused("archive", "file", *(word.format(results=results) for word in words), code=code)


def test_lesson_of_somebody_who_putts_the_other_way_is_refused(academy, archive, refused, results) -> None:
    archive("consent", 2, "--for", "all", "--given-by", "Pat Young", "--guardian", "--on", "2026-01-01")
    said = refused("archive", "file", 2, results / "later", "--moment", "before", code=2)
    assert "The lesson is of a student who putts right-handed, and Charlie Young putts left-handed." in said


def test_clip_of_another_lesson_is_refused(academy, archive, refused, results, tmp_path) -> None:
    archive("erase-lesson", 1, "--yes")
    (tmp_path / "other.mov").write_bytes(b"other")
    words = (1, results / "result", "--moment", "before", "--face-on", tmp_path / "other.mov")
    assert "is not the clip that was measured" in refused("archive", "file", *words, code=2)


def test_landmark_is_put_right_and_taken_back(academy, archive) -> None:
    said = archive("correct", 1, *CORRECT)
    assert "Written down as correction 2." in said
    assert "501, 902  Kim [b]" in said
    assert "500, 900" in archive("correct", 1, "--remove", 2)
    assert "No landmark was corrected." in archive("correct", 1, "--remove", 1)
    assert "face-on" in archive("correct", 2)


@pytest.mark.parametrize(
    ("words", "code", "says"),
    [
        ((9, *CORRECT), 1, "There is no lesson 9 in the archive."),
        ((1, *CORRECT[:-2]), 2, "A correction needs --by too."),
        ((1, "--at", "1,2"), 2, "A correction needs --view, --frame, --landmark, --by too."),
        ((1, *CORRECT, "--remove", 1), 2, "--view and --remove were given."),
        ((1, *CORRECT, "--at", "5"), 2, "The picture point '5' cannot be read."),
        ((1, *CORRECT, "--at", "5000,5"), 2, "is outside the picture"),
        ((1, *CORRECT, "--frame", 999), 2, "There is no frame 999 in this view of lesson 1."),
        ((1, *CORRECT, "--landmark", "hip"), 2, "There is no landmark 'hip'."),
        ((1, *CORRECT, "--view", "above"), 2, "'above' is not one of"),
        ((1, *CORRECT, "--by", " "), 2, "is missing. Give it."),
        ((1, "--remove", 9), 1, "Lesson 1 has no correction 9."),
        ((2, "--remove", 1), 1, "Lesson 2 has no correction 1."),
    ],
)
def test_correction_that_cannot_be_is_refused(words, code, says, academy, refused) -> None:
    assert says in refused("archive", "correct", *words, code=code)


def test_lesson_is_erased_after_asking(academy, archive, monkeypatch, capsys) -> None:
    monkeypatch.setattr("sys.stdin", Terminal("y\n"))
    assert main(["archive", "erase-lesson", "3"]) == 0
    said = capsys.readouterr()
    assert f"Erase lesson 3 of 2026-06-20, of {PLAYER}, for good?" in said.err
    assert "Erased: 1 lesson" in said.out
    assert [each["number"] for each in json.loads(archive("show", 1, "--json"))["lessons"]] == [1, 2]


def test_lesson_stays_where_the_answer_is_no_or_nobody_can_be_asked(academy, refused, monkeypatch) -> None:
    assert "there is no terminal to ask on. Add --yes." in refused("archive", "erase-lesson", 3, code=2)
    for typed in ("n\n", "\n", ""):
        monkeypatch.setattr("sys.stdin", Terminal(typed))
        assert "Stopped. Nothing was written." in refused("archive", "erase-lesson", 3, code=130)
    assert "There is no lesson 9 in the archive." in refused("archive", "erase-lesson", 9, "--yes", code=1)


def test_two_filed_lessons_are_compared(academy, tmp_path, capsys) -> None:
    out = tmp_path / "out"
    held = contents_of(academy)
    assert main(["compare", "lesson:1", "lesson:2", "--out", str(out), "--json"]) == 0
    document = json.loads(capsys.readouterr().out)
    assert document == json.loads((out / "comparison.json").read_text(encoding="utf-8"))
    assert document["measures"]["spine_tilt"]["change"]["value"] == pytest.approx(20.0)
    assert [document[each]["made_on"] for each in ("before", "after")] == ["2026-01-10", "2026-01-10"]
    assert (out / "stills" / "side_by_side_face_on.png").stat().st_size > 10_000
    assert contents_of(academy) == held


def test_filed_lesson_is_compared_with_a_folder(academy, archive_place, results, tmp_path, capsys, monkeypatch) -> None:
    monkeypatch.delenv("PUTT_POSTURE_ARCHIVE")
    words = ["lesson:1", str(results / "later"), "--out", str(tmp_path / "out"), "--archive", str(archive_place)]
    assert main(["compare", *words]) == 0
    said = capsys.readouterr().out
    assert "Before: lesson 1 of 2026-01-10\n" in said
    assert f"After:  {results / 'later'}, 2026-05-17\n" in said


@pytest.mark.parametrize(
    ("before", "after", "code", "says"),
    [
        ("lesson:1", "lesson:9", 1, "There is no lesson 9 in the archive."),
        ("lesson:1", "lesson:1", 2, "are the same lesson"),
        ("lesson:x", "lesson:1", 2, "'lesson:x' is not a lesson of the archive."),
        ("lesson:0", "lesson:1", 2, "'lesson:0' is not a lesson of the archive."),
        ("lesson:1", "nowhere", 2, "The result folder nowhere is not there."),
    ],
)
def test_comparison_that_cannot_be_is_one_sentence(before, after, code, says, academy, refused, tmp_path) -> None:
    assert says in refused("compare", before, after, "--out", tmp_path / "out", code=code)
    assert not (tmp_path / "out").exists()


def test_lessons_of_two_students_are_not_compared(empty_student, archive, refused, results, tmp_path) -> None:
    archive("file", empty_student, results / "later", "--moment", "before", "--without-pictures")
    said = refused("compare", "lesson:1", "lesson:4", "--out", tmp_path / "out", code=2)
    assert "lesson 1 is of student 1 and lesson 4 is of student 3" in said


def test_comparison_is_not_written_into_the_archive(academy, refused) -> None:
    for place in (academy / "out", academy / "files" / "out", academy):
        said = refused("compare", "lesson:1", "lesson:2", "--replace", "--out", place, code=2)
        assert "is inside the archive" in said
    assert "contains the archive" in refused(
        "compare", "lesson:1", "lesson:2", "--replace", "--out", academy.parent, code=2
    )


def test_comparison_of_filed_lessons_needs_an_archive(refused, tmp_path) -> None:
    assert "There is no archive in" in refused("compare", "lesson:1", "lesson:2", "--out", tmp_path / "out", code=1)
