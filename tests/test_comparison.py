"""Two stored lessons laid side by side."""

import json
import shutil
from datetime import date

import pytest
from compared import AFTER_ON, make_after
from invented import MADE_ON, make_lesson

from putt_posture.comparison import compare
from putt_posture.errors import UsageError
from putt_posture.pages import store_lesson
from putt_posture.records import read_result_folder


@pytest.fixture(scope="module")
def folders(tmp_path_factory):
    place = tmp_path_factory.mktemp("lessons")
    return (
        store_lesson(make_lesson(), place / "before", made_on=MADE_ON),
        store_lesson(make_after(), place / "after", made_on=AFTER_ON),
    )


def read(*folders):
    return [read_result_folder(folder) for folder in folders]


def test_a_comparison_holds_changes_pictures_arcs_and_warnings(folders) -> None:
    found = compare(*read(*folders))
    assert found.changes.measures["spine_tilt"].change.value == pytest.approx(9.0)
    assert set(found.before.views) == set(found.after.views) == {"down_the_line", "face_on"}
    assert found.stroke is not None
    assert found.stroke.depth_change.value < 0  # hands further in: less of an arc
    assert any("Only one setup" in each for each in found.changes.warnings)


def test_lessons_are_compared_into_a_folder(folders, tmp_path) -> None:
    place = tmp_path / "out"
    compare(*read(*folders), place, made_on=date(2026, 8, 1))
    document = json.loads((place / "comparison.json").read_text())
    assert document["made_on"] == "2026-08-01"
    assert document["before"]["title"] == str(folders[0])
    assert document["measures"]["spine_tilt"]["verdict"] == "change"


def test_lessons_kept_without_pictures_are_compared_by_their_numbers(folders, tmp_path) -> None:
    bare = tmp_path / "bare"
    bare.mkdir()
    shutil.copy(folders[0] / "measures.json", bare)
    found = compare(*read(bare, folders[1]))
    assert found.before.views == {}
    assert found.changes.measures["spine_tilt"].real


def test_a_lesson_beside_itself_or_its_copy_is_refused(folders, tmp_path) -> None:
    copy = shutil.copytree(folders[0], tmp_path / "copy")
    for other in (folders[0], copy):
        with pytest.raises(UsageError, match="are the same lesson"):
            compare(*read(folders[0], other))


def test_a_right_hander_beside_a_left_hander_is_refused(folders, tmp_path) -> None:
    left = store_lesson(make_lesson(handed="left"), tmp_path / "left")
    with pytest.raises(UsageError, match=r"putts right-handed, in .* left-handed"):
        compare(*read(folders[0], left))


def test_damaged_pictures_are_one_sentence(folders, tmp_path) -> None:
    copy = shutil.copytree(folders[1], tmp_path / "copy")
    (copy / "stills" / "face_on_plain.jpg").write_bytes(b"no picture")
    with pytest.raises(UsageError, match=r"face_on_plain\.jpg of .* is damaged"):
        compare(*read(folders[0], copy))


def test_without_a_view_down_the_line_there_are_no_arcs(folders, tmp_path) -> None:
    alone = store_lesson(make_lesson(views=("face_on",)), tmp_path / "alone", made_on=AFTER_ON)
    found = compare(*read(folders[0], alone))
    assert found.stroke is None
    assert found.changes.measures["spine_tilt"].change.absent.startswith("Not measured after.")
