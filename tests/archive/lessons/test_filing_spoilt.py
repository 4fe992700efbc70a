"""A lesson that passes filing never breaks anything later: not opening, comparing, a history or an export."""

import json
import shutil
import sys
from datetime import date
from pathlib import Path

import pytest
from attrs import evolve
from filed import TODAY, add_player, file_one, report_of, still_of
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st

sys.path.insert(0, str(Path(__file__).parents[2] / "records"))

from spoiling import as_text, mutations, spoilt

from putt_posture.archive import (
    check_archive,
    export_archive,
    export_student,
    load_lessons,
    open_archive,
    open_lesson,
    read_frames,
    store_student_history,
)
from putt_posture.comparison import compare
from putt_posture.documents import read_record
from putt_posture.errors import PuttPostureError, UsageError
from putt_posture.records import KeptLesson, read_result_folder


@pytest.fixture(scope="module")
def folder(stored, tmp_path_factory):
    """The result folder of the invented lesson, on disk."""
    place = tmp_path_factory.mktemp("folder")
    for name, data in stored.items():
        (place / name).parent.mkdir(exist_ok=True)
        (place / name).write_bytes(data)
    return place


def with_document(lesson: KeptLesson, document) -> KeptLesson:
    """Return the lesson with another document."""
    text = as_text(document).encode()
    return evolve(
        lesson,
        record=read_record(text, where="the copy"),
        read=lambda name: text if name == "measures.json" else lesson.read(name),
    )


@pytest.mark.whole
@given(data=st.data())
@settings(max_examples=2, suppress_health_check=list(HealthCheck))
def test_what_is_filed_can_be_opened_compared_shown_and_exported(folder, made, tmp_path_factory, no_power_cuts, data):
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("putt_posture.records.faces.find_heads", lambda _picture: ())
        whole = read_result_folder(folder)
        document = json.loads(whole.read("measures.json"))
        changed = data.draw(mutations(document).filter(_can_be_read(document)))
        place = tmp_path_factory.mktemp("lived")
        shutil.copytree(made, place / "archive")
        with open_archive(place / "archive") as archive:
            player = add_player(archive)
            first = file_one(archive, player, whole, day=date(2026, 11, 1))
            try:
                second = file_one(archive, player, with_document(whole, changed))
            except PuttPostureError:
                assert [each.number for each in load_lessons(archive, player)] == [first]
                assume(False)
            one, two = open_lesson(archive, first, today=TODAY), open_lesson(archive, second, today=TODAY)
            compare(one, two, place / "there")
            compare(two, one, place / "back")
            store_student_history(archive, player, place / "history", today=TODAY)
            export_student(archive, player, place / "shown.zip", today=TODAY)
            export_student(archive, player, place / "hidden.zip", today=TODAY, hide_faces=True)
            export_archive(archive, place / "tables", today=TODAY)
            read_frames(archive, today=TODAY)
            assert check_archive(archive) == ()
        shutil.rmtree(place)


def _can_be_read(whole):
    def can(document):
        try:
            read_record(as_text(document), where="the copy")
        except PuttPostureError:
            return False
        return document != whole

    return can


BOX = ("views", "face_on", "still", "box_px")


@pytest.mark.parametrize(
    ("where", "value", "says"),
    [
        (BOX, [0, 0, 0, 0], "face_on/still/box_px is 0 0 0 0"),
        ((*BOX[:-1], "size"), [60, 84], "stills/face_on.* has 1200 × .* and the document says 60 × 84"),
        (("views", "face_on", "still_index"), 0, "face_on.still_index is not that of the document"),
        (("views", "face_on", "width"), 1201, "face_on.size_px is not the size"),
    ],
)
def test_what_would_break_an_export_is_refused_and_nothing_is_kept(archive, player, folder, where, value, says):
    whole = read_result_folder(folder)
    text = as_text(spoilt(json.loads(whole.read("measures.json")), where, value)).encode()
    lying = evolve(whole, read=lambda name: text if name == "measures.json" else whole.read(name))
    with pytest.raises(UsageError, match=says):
        file_one(archive, player, lying)
    assert load_lessons(archive, player) == ()
    assert list(archive.files.digests()) == []


@pytest.mark.parametrize("name", ["value", "standard_uncertainty", "high"])
def test_a_number_too_large_for_a_change_is_refused_before_it_is_filed(archive, player, folder, name):
    whole = read_result_folder(folder)
    document = spoilt(json.loads(whole.read("measures.json")), ("measures", "hand_offset", name), 1e9)
    with pytest.raises(UsageError, match=f"measures/hand_offset/{name} is 1e"):
        file_one(archive, player, with_document(whole, document))
    assert load_lessons(archive, player) == ()


def test_a_result_folder_with_a_link_to_a_private_file_is_refused(archive, player, folder, tmp_path):
    copy = Path(shutil.copytree(folder, tmp_path / "copy"))
    (tmp_path / "private.html").write_bytes(report_of("somebody else"))
    (copy / "report.html").unlink()
    (copy / "report.html").symlink_to(tmp_path / "private.html")
    with pytest.raises(UsageError, match=r"report\.html is a symbolic link, and an ordinary file was needed"):
        file_one(archive, player, read_result_folder(copy))
    assert list(archive.files.digests()) == []


def test_a_document_that_is_a_link_is_refused(folder, tmp_path):
    (tmp_path / "copy").mkdir()
    (tmp_path / "copy" / "measures.json").symlink_to(folder / "measures.json")
    with pytest.raises(UsageError, match=r"measures\.json is a symbolic link"):
        read_result_folder(tmp_path / "copy")


def test_without_pictures_no_picture_is_looked_at(archive, player, folder):
    whole = read_result_folder(folder)
    odd = evolve(whole, read=lambda name: still_of("x")[:50] if name.startswith("stills/") else whole.read(name))
    number = file_one(archive, player, odd, pictures=False)
    assert open_lesson(archive, number, today=TODAY).names == {"measures.json", "measures.csv"}
