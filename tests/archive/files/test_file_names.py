"""What rows say leads to no file outside of the archive, and writes none outside of where something is written to."""

import zipfile
from pathlib import Path

import pytest
from altered import alter
from filed import TODAY
from hypothesis import given
from hypothesis import strategies as st

from putt_posture.archive import check_archive, export_student, load_lesson, load_lessons, open_lesson
from putt_posture.archive.files.file_store import FolderStore, is_name
from putt_posture.archive.files.pending import sweep
from putt_posture.errors import ArchiveError
from putt_posture.records.kept import FILES_WITH_PICTURES, FILES_WITHOUT_PICTURES

ONE_DATABASE = "names are checked after they were read"
BAD = [
    "../../../../x", "/etc/x", "C:\\x", "stills/../../x", "stills\\..\\x", "clips/../x", "clips/face_on.mov/../../x",
    "clips/face_on.", "clips/", "clips/face_on.mov\n", "measures.json ", "", ".", "clips/face_on.m\u202ev",
    "clips/x.mov",
]  # fmt: skip


def test_names_that_the_program_gives_are_names():
    assert all(is_name(name) for name in FILES_WITH_PICTURES | FILES_WITHOUT_PICTURES)
    assert all(is_name(f"clips/{view}{end}") for view in ("face_on", "down_the_line") for end in ("", ".mov", ".mp4"))


@pytest.mark.parametrize("name", BAD)
def test_other_names_are_none(name):
    assert not is_name(name)


@given(st.one_of(st.text(), st.text(alphabet="./\\clipsfaceon_:\0")))
def test_no_name_leads_out_of_a_folder(name):
    if is_name(name):
        parts = name.split("/")
        assert 1 <= len(parts) <= 2
        assert not {"", ".", ".."} & set(parts)
        assert not set(name) & set("\\:\0")


@pytest.mark.parametrize("name", ["../../../../x", "/tmp/x", "stills/holiday.png"])
def test_a_name_out_of_a_row_is_refused_wherever_it_is_read(archive, player, lesson, tmp_path, name):
    alter(archive, "UPDATE lesson_files SET name = :name WHERE name = 'report.html'", name=name)
    goal = tmp_path / "out" / "player.zip"
    goal.parent.mkdir()
    for act in (
        lambda: export_student(archive, player, goal, today=TODAY),
        lambda: export_student(archive, player, goal, today=TODAY, hide_faces=True),
        lambda: open_lesson(archive, lesson, today=TODAY),
        lambda: load_lesson(archive, lesson),
        lambda: load_lessons(archive, player),
    ):
        with pytest.raises(ArchiveError, match="which this program never gives"):
            act()
    assert list(goal.parent.iterdir()) == []
    assert [each.says for each in check_archive(archive) if "name is " in each.says]


def test_a_moment_out_of_a_row_makes_no_folder_elsewhere(archive, player, lesson, tmp_path):
    alter(archive, "UPDATE lessons SET moment = '/../../../x'")
    with pytest.raises(ArchiveError, match=r"is said to be of '/\.\./\.\./\.\./x', and before, after, check are known"):
        export_student(archive, player, tmp_path / "player.zip", today=TODAY)
    assert not (tmp_path / "player.zip").exists()


def test_every_place_in_an_export_lies_in_it(archive, player, lesson, tmp_path):
    export_student(archive, player, tmp_path / "player.zip", today=TODAY)
    with zipfile.ZipFile(tmp_path / "player.zip") as zipped:
        for name in zipped.namelist():
            assert not {"", ".", ".."} & set(name.split("/"))


def test_a_digest_out_of_a_row_reads_no_file_elsewhere(archive, player, lesson, tmp_path):
    (tmp_path / "secret").write_bytes(b"secret")
    digest = "../secret" if Path(archive.files.folder).parent == tmp_path else "../../secret"
    alter(archive, "INSERT INTO files (digest, size) VALUES (:digest, 6)", digest=digest)
    alter(archive, "UPDATE lesson_files SET digest = :digest WHERE name = 'report.html'", digest=digest)
    with pytest.raises(ArchiveError, match="is not the digest of a file"):
        export_student(archive, player, tmp_path / "player.zip", today=TODAY)
    with pytest.raises(ArchiveError, match="is not the digest of a file"):
        open_lesson(archive, lesson, today=TODAY).read("report.html")
    assert [each.says for each in check_archive(archive) if "which is no digest" in each.says]


def test_rows_of_what_is_on_its_way_take_nothing_away_elsewhere(archive, lesson):
    folder = Path(archive.files.folder)
    precious = folder.parent / "precious"
    precious.mkdir()
    (precious / "letter.txt").write_text("dear")
    alter(archive, "INSERT INTO departures (digest) VALUES ('../precious/letter.txt')")
    alter(archive, "INSERT INTO arrivals (token, digest) VALUES ('../../precious', '../precious/letter.txt')")
    sweep(archive)
    assert (precious / "letter.txt").read_text() == "dear"
    assert check_archive(archive) == ()


def test_a_store_knows_no_place_for_what_is_no_digest(tmp_path):
    store = FolderStore(tmp_path)
    for name in ("../x", "ab", "A" * 64, "ab" * 32 + "\n"):
        with pytest.raises(ArchiveError, match="is not the digest of a file"):
            store.path_of(name)
