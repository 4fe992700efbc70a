"""A withdrawal stops display at once: every way in which something comes out, for each thing consent was withdrawn for.

What came out is looked at: the pixels where faces are, and the numbers in every text.
"""

import hashlib
import json
import shutil
import sys
import zipfile
from datetime import date
from pathlib import Path

import pandas as pd
import pytest
from attrs import evolve

sys.path.insert(0, str(Path(__file__).parents[1] / "archive"))
sys.path.insert(0, str(Path(__file__).parents[1] / "strokes"))

from academy import contents_of
from face_seen import SEEN, Face, likeness, pictures_in
from made_up_seen import with_seen_strokes

from putt_posture import Student, measure_lesson, store_lesson
from putt_posture.archive import (
    SCOPES,
    LessonNotes,
    add_consent,
    add_practice_test,
    add_student,
    check_archive,
    file_lesson,
    load_lessons,
    open_archive,
    open_lesson,
)
from putt_posture.archive.lessons.lessons import open_unasked
from putt_posture.cli import main
from putt_posture.cli.archive.group import archive as archive_commands
from putt_posture.landmarks import find_head
from putt_posture.records import read_result_folder
from putt_posture.strokes.measure import measure_strokes
from putt_posture.values import PuttCount

PICTURES = Path(__file__).parents[1] / "landmarks" / "pictures"
STILLS = {view: PICTURES / f"golfer_{view}.jpg" for view in ("down_the_line", "face_on")}
NAME = "Robin Example"
DAYS = (date(2026, 1, 10), date(2026, 6, 20))
LIMITS = "a stiff shoulder"
TITLES = {
    scope: f"There is no consent for {what} of Robin Example today (it was withdrawn on"
    for scope, what in (
        ("measures", "keeping the measures"),
        ("pictures", "keeping clips, stills and outlines"),
        ("faces", "showing the face in them"),
    )
}


@pytest.fixture(scope="module")
def measured():
    """A lesson with the stills of a stroke from one side, which show the face too."""
    lesson = measure_lesson(
        student=Student(stature_cm=175.0, handed="right", sex="male", putter_length_cm=88.9), **STILLS
    )
    views = {**lesson.views, "face_on": with_seen_strokes(lesson, count=1).views["face_on"]}
    return evolve(lesson, views=views, strokes=measure_strokes(views, lesson.student))


@pytest.fixture(scope="module")
def folders(measured, tmp_path_factory):
    """Two result folders, the second with another tilt."""
    first = store_lesson(measured, tmp_path_factory.mktemp("measured") / "first")
    second = shutil.copytree(first, first.parent / "second")
    document = json.loads((second / "measures.json").read_text(encoding="utf-8"))
    tilt = document["measures"]["spine_tilt"]
    tilt.update({name: tilt[name] + 20 for name in ("value", "low", "high")})
    (second / "measures.json").write_text(json.dumps(document), encoding="utf-8")
    return first, second


@pytest.fixture(scope="module")
def faces(measured):
    found = []
    for result in measured.views.values():
        head, scale = find_head(result.landmarks.points_px[result.still_index]), result.still.scale
        centre = (head.centre_px[0] * scale, head.centre_px[1] * scale)
        found.append(Face(result.still.picture, centre, head.radius_px * scale))
    return found


@pytest.fixture(scope="module")
def made(folders, tmp_path_factory):
    """An archive with one student, who allowed everything, and two lessons with their clips and a practice test."""
    place = tmp_path_factory.mktemp("at_use") / "archive"
    with open_archive(place) as archive:
        student = Student(name=NAME, stature_cm=175.0, handed="right", sex="male")
        number = add_student(archive, student, today=DAYS[0], born=date(1990, 1, 1))
        add_consent(
            archive, number, scopes=SCOPES, given_on=DAYS[0], given_by=NAME, relation="self", today=date.today()
        )
        for folder, day, moment in zip(folders, DAYS, ("before", "after"), strict=True):
            file_lesson(
                archive, number, read_result_folder(folder), day=day, moment=moment, today=date.today(), clips=STILLS,
                notes=LessonNotes(limits=LIMITS),
            )  # fmt: skip
        counts = [PuttCount(distance_cm=91.44, tried=77, holed=61)]
        add_practice_test(archive, number, day=DAYS[0], counts=counts, today=date.today())
    return place


@pytest.fixture
def withdrawn(made, archive_place, archive):
    """Withdraw consent for something in a copy of the archive."""

    def withdraw(scope):
        shutil.copytree(made, archive_place)
        if scope is not None:
            said = flat(archive("consent", 1, "--for", scope, "--withdraw"))
            assert "nothing is shown or given out that it was for" in said

    return withdraw


def all_that_comes_out(out, folders):
    """Return the commands that show or write what was measured, by name."""
    return {
        "compare": ["compare", "lesson:1", "lesson:2", "--out", out / "compare"],
        "compare with a folder": ["compare", folders[0], "lesson:2", "--out", out / "beside"],
        "steps": ["steps", "lesson:1", "lesson:2", "--out", out / "steps"],
        "steps with a folder": ["steps", "lesson:1", folders[1], "--out", out / "steps_beside"],
        "history": ["archive", "history", "1", "--out", out / "history"],
        "export": ["archive", "export", "1", "--out", out / "export.zip"],
        "export-all": ["archive", "export-all", "--names", "--landmarks", "--out", out / "tables"],
        "correct": ["archive", "correct", "1"],
        "practice": ["archive", "practice", "1"],
        "show": ["archive", "show", "1"],
        "show --json": ["archive", "show", "1", "--json"],
        "overview": ["archive", "overview"],
        "measure-again": ["archive", "measure-again", "1"],
    }


@pytest.fixture
def everything(folders, tmp_path, capsys, monkeypatch):
    """Ask for everything that can come out: exit code and what was said of each, what was written in a folder.

    What is `asked` may be some of it, by name.
    """
    monkeypatch.setenv("COLUMNS", "80")

    def ask(*asked):
        (tmp_path / "out").mkdir()
        said = {}
        commands = all_that_comes_out(tmp_path / "out", folders)
        for name, words in ((name, commands[name]) for name in asked or commands):
            code = main([str(word) for word in words])
            told = capsys.readouterr()
            assert "Traceback" not in told.err
            said[name] = (code, flat(told.out + told.err))
        return said, tmp_path / "out"

    return ask


PAGES = ("compare/comparison.html", "beside/comparison.html", "steps/steps.html", "steps_beside/steps.html")
GIVES_NOTHING_OUT = {
    "enrol", "find", "describe", "consent", "file", "settings", "retention", "hide-faces", "erase", "erase-lesson",
    "erasures", "check", "upgrade",
}  # fmt: skip
"""Commands that print who somebody is, or change the archive, and neither show nor write what was measured."""
WHOLE_COPIES = {"backup", "restore"}
"""What copies the archive as it is, for the archive; it asks nobody, and its copy asks when it is used."""


def test_every_command_is_asked_or_gives_nothing_out(tmp_path) -> None:
    """A new command is named in one of the three before this passes."""
    asked = {name.split()[0] for name in all_that_comes_out(tmp_path, (tmp_path, tmp_path))} - {"compare", "steps"}
    assert asked | GIVES_NOTHING_OUT | WHOLE_COPIES == set(archive_commands.commands)
    assert not asked & (GIVES_NOTHING_OUT | WHOLE_COPIES)


def flat(text):
    return " ".join(text.split())


def seen_in(out, faces):
    """Return the names of pictures with a face in them, and of those without; pictures that are alike once."""
    found = {hashlib.sha256(picture.tobytes()).hexdigest(): (name, picture) for name, picture in pictures_in(out)}
    shown = {name: likeness(faces, picture) for name, picture in found.values()}
    return {name for name, like in shown.items() if like >= SEEN}, {name for name, like in shown.items() if like < SEEN}


@pytest.mark.whole
def test_what_is_allowed_comes_out_with_its_faces(withdrawn, everything, faces) -> None:
    """So that the looks for faces and numbers see those that are there."""
    withdrawn(None)
    said, out = everything()
    assert {code for code, _ in said.values()} == {0}
    with_face, _ = seen_in(out, faces)
    assert {Path(name).name.split()[0] for name in with_face} >= {
        "side_by_side_down_the_line.png", "side_by_side_face_on.png", "face_on_plain.jpg", "down_the_line.jpg",
    }  # fmt: skip
    assert not [name for name, (_, text) in said.items() if "There is no consent for" in text]
    assert LIMITS in said["show"][1]
    assert "61 of 77" in said["practice"][1]
    assert len(pd.read_parquet(out / "tables" / "parquet" / "measures")) > 0


@pytest.mark.whole
def test_filming_is_of_its_day_and_not_of_display(withdrawn, everything) -> None:
    withdrawn("filming")
    said, out = everything("compare", "export", "show", "practice")
    assert {code for code, _ in said.values()} == {0}
    assert not [name for name, (_, text) in said.items() if "There is no consent for" in text]
    assert len(list(pictures_in(out))) > 20


@pytest.mark.whole
def test_without_consent_for_faces_no_face_comes_out(withdrawn, everything, faces) -> None:
    withdrawn("faces")
    said, out = everything()
    assert {code for code, _ in said.values()} == {0}
    with_face, without = seen_in(out, faces)
    assert with_face == set()
    assert {Path(name).name.split()[0] for name in without} >= {"side_by_side_face_on.png", "face_on_plain.jpg"}
    with zipfile.ZipFile(out / "export.zip") as given:
        assert not [name for name in given.namelist() if "/clips/" in name or name.endswith("report.pdf")]
        assert TITLES["faces"] in flat(given.read("README.txt").decode())
    for name in ("compare", "compare with a folder", "steps", "steps with a folder", "export", "show"):
        assert TITLES["faces"] in said[name][1], name
    for page in PAGES:
        assert TITLES["faces"] in flat((out / page).read_text(encoding="utf-8")), page


def test_without_consent_for_pictures_no_picture_comes_out(withdrawn, everything) -> None:
    withdrawn("pictures")
    said, out = everything()
    assert {name: code for name, (code, _) in said.items() if code} == {"measure-again": 1}  # outlines are pictures
    assert list(pictures_in(out)) == []
    with zipfile.ZipFile(out / "export.zip") as given:
        kept = {name for name in given.namelist() if name.startswith("lessons/")}
        assert TITLES["pictures"] in flat(given.read("README.txt").decode())
    assert {Path(name).name for name in kept} & {"landmarks.npz", "report.html", "report.pdf", "face_on.jpg"} == set()
    assert any(name.endswith("measures.json") for name in kept)
    for page in PAGES:
        assert not list((out / page).parent.rglob("outlines_*"))
        assert TITLES["pictures"] in flat((out / page).read_text(encoding="utf-8")), page
    for name in ("compare", "compare with a folder", "steps", "steps with a folder", "export", "show"):
        assert TITLES["pictures"] in said[name][1], name


def test_without_consent_for_measures_nothing_comes_out(withdrawn, everything) -> None:
    withdrawn("measures")
    said, out = everything()
    for name in (
        "compare", "compare with a folder", "steps", "steps with a folder", "history", "export", "correct", "practice",
    ):  # fmt: skip
        code, text = said[name]
        assert code == 1, name
        assert TITLES["measures"] in text, name
        assert "archive retention --erase" in text, name
    assert [path.name for path in out.iterdir()] == ["tables"]
    assert "One student has no consent for keeping the measures today" in said["export-all"][1]
    for path in (out / "tables" / "parquet").iterdir():
        frame = pd.read_parquet(path)
        assert path.stem in ("students", "consents") or frame.empty, path
    assert "One student has no consent" in flat((out / "tables" / "README.md").read_text(encoding="utf-8"))
    for name in ("show", "show --json", "overview"):
        code, text = said[name]
        assert code == 0
        for number in ("35.0 in", LIMITS, "88.9", "61", "went back"):
            assert number not in text, (name, number)
    assert TITLES["measures"] in said["show"][1]


@pytest.mark.parametrize("scope", SCOPES)
def test_nothing_new_is_filed_without(scope, withdrawn, folders, refused) -> None:
    withdrawn(scope)
    more = ["--down-the-line", STILLS["down_the_line"]] if scope == "faces" else []
    said = refused("archive", "file", 1, folders[0], *more, "--moment", "check", code=1)
    assert "There is no consent for" in said


@pytest.mark.parametrize(
    ("scope", "kept"), [("measures", None), ("pictures", "measures.json"), ("faces", "measures.json")]
)
def test_retention_lists_and_erases_what_has_no_consent(scope, kept, withdrawn, archive) -> None:
    withdrawn(scope)
    assert "withdrawn" in flat(archive("retention"))
    archive("retention", "--erase", "--yes")
    assert archive("retention") == "Nothing is past its time.\n"
    with open_archive() as opened:
        if kept is None:
            assert main(["archive", "show", "1"]) == 1
        else:
            names = {name for lesson in load_lessons(opened, 1) for name in lesson.names}
            assert kept in names
            assert "stills/face_on.png" not in names


def test_withdrawal_offers_to_hide_heads_and_not_only_to_erase(made, archive_place, archive) -> None:
    shutil.copytree(made, archive_place)
    said = flat(archive("consent", 1, "--for", "faces", "--withdraw"))
    assert "2 lessons may keep pictures with the heads hidden instead: putt-posture archive hide-faces 1" in said
    assert "pictures may stay with the heads hidden: putt-posture archive hide-faces" in flat(archive("retention"))
    said = flat(archive("consent", 1, "--for", "pictures", "--withdraw"))
    assert "hide-faces" not in said
    assert "hide-faces" not in flat(archive("retention"))
    assert "No kept picture shows a face without consent" in archive("hide-faces", 1)


@pytest.mark.whole
def test_kept_pictures_are_made_again_with_heads_hidden(withdrawn, faces, archive, archive_place, everything) -> None:
    """What was kept shows no face any more, though it be allowed again; numbers, stills and pages are all there."""
    withdrawn("faces")
    before = names_and_digests()
    said = flat(archive("hide-faces", 1, "--yes"))
    assert "Heads are hidden in" in said
    assert "of 2 lessons" in said
    assert archive("retention") == "Nothing is past its time.\n"
    with open_archive() as opened:
        assert check_archive(opened) == ()
    after = names_and_digests()
    gone = {"clips/down_the_line.jpg", "clips/face_on.jpg", "report.pdf"}
    for lesson in (1, 2):
        assert before[lesson].keys() - after[lesson].keys() == gone
        unchanged = {name for name, digest in after[lesson].items() if digest == before[lesson][name]}
        assert unchanged & {"measures.json", "report.html", "stills/face_on.png", "stills/face_on_plain.jpg"} == set()
    erased = digests_of(before) - digests_of(after)
    lying = {path.name for path in archive_place.rglob("*") if path.is_file()}
    assert erased
    assert not erased & lying
    archive("consent", 1, "--for", "faces", "--given-by", NAME)
    said, out = everything()
    assert {code for code, _ in said.values()} == {0}
    with_face, without = seen_in(out, faces)
    # Of the folders laid beside a kept lesson, which are not kept: the first of a comparison, the second of the steps.
    assert {name.split("/")[0] for name in with_face} == {"beside", "steps_beside"}
    assert not [name for name in with_face if name.startswith("steps_beside/stills") and not name.endswith("_2.png")]
    assert {Path(name).name.split()[0] for name in without} >= {"side_by_side_face_on.png", "face_on_plain.jpg"}


def test_heads_are_hidden_of_nobody_who_allows_their_face(made, archive_place, archive) -> None:
    shutil.copytree(made, archive_place)
    held = contents_of(archive_place)
    assert "No kept picture shows a face without consent." in archive("hide-faces", "--yes")
    assert contents_of(archive_place) == held


def names_and_digests():
    with open_archive() as opened:
        return {each.number: open_unasked(opened, each.number)[1] for each in load_lessons(opened, 1)}


def digests_of(lessons):
    return {digest for files in lessons.values() for digest in files.values()}


def test_a_document_that_claims_hidden_faces_files_none(made, folders, faces, archive, archive_place, tmp_path) -> None:
    """Filed without consent for faces; what the archive then holds is looked at, with that consent."""
    shutil.copytree(made, archive_place)
    archive("consent", 1, "--for", "faces", "--withdraw")
    lying = shutil.copytree(folders[0], tmp_path / "lying")
    document = json.loads((lying / "measures.json").read_text(encoding="utf-8")) | {"faces_hidden": True}
    (lying / "measures.json").write_text(json.dumps(document), encoding="utf-8")
    archive("file", 1, lying, "--moment", "check")
    archive("consent", 1, "--for", "faces", "--given-by", NAME)
    with open_archive() as opened:
        lesson = open_lesson(opened, 3, today=date.today())
        assert lesson.says == ()
        for name in lesson.names:
            (tmp_path / "kept" / name).parent.mkdir(parents=True, exist_ok=True)
            (tmp_path / "kept" / name).write_bytes(lesson.read(name))
    with_face, without = seen_in(tmp_path / "kept", faces)
    assert with_face == set()
    assert {"stills/face_on_plain.jpg", "stills/down_the_line_plain.jpg"} <= without
