"""Two stored lessons laid side by side."""

import json
import shutil
from datetime import date

import numpy as np
import pytest
from compared import AFTER_ON, make_after
from invented import MADE_ON, make_lesson

from putt_posture.comparison import compare
from putt_posture.documents import comparison_as_json
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
    assert found.arcs is not None
    assert found.arcs.depth_change.value < 0  # hands further in: less of an arc
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
    assert found.arcs is None
    assert found.changes.measures["spine_tilt"].change.absent.startswith("Not measured after.")


def test_lessons_in_memory_compare_as_their_folders_do(folders) -> None:
    stored, measured = compare(*read(*folders)), compare(make_lesson(), make_after())
    numbers = []
    for found in (stored, measured):
        document = comparison_as_json(found)
        for side in ("before", "after"):
            del document[side]["title"], document[side]["made_on"]
        del document["warnings"]
        numbers.append(document)
    assert numbers[0] == numbers[1]
    for view in ("down_the_line", "face_on"):
        one, two = stored.before.views[view], measured.before.views[view]
        assert one.still.shape == two.still.shape
        assert np.abs(one.still.astype(float) - two.still).mean() < 3  # the stored one went through a JPEG
        assert (one.outline == two.outline).all()
        np.testing.assert_array_equal(one.joints_px, two.joints_px)
    assert measured.before.files == ()


def test_a_lesson_a_stored_one_and_a_folder_may_be_mixed(folders) -> None:
    tilts = {
        float(compare(before, after).changes.measures["spine_tilt"].change)
        for before in (make_lesson(), read_result_folder(folders[0]), folders[0], str(folders[0]))
        for after in (make_after(), folders[1])
    }
    assert len(tilts) == 1


def test_nothing_is_written_without_a_folder(tmp_path, monkeypatch) -> None:
    monkeypatch.chdir(tmp_path)
    compare(make_lesson(), make_after())
    assert list(tmp_path.iterdir()) == []


def test_lessons_in_memory_are_compared_into_a_folder(tmp_path) -> None:
    compare(make_lesson(), make_after(), tmp_path / "out")
    assert (tmp_path / "out" / "stills" / "side_by_side_face_on.png").is_file()


def test_a_lesson_in_memory_beside_itself_is_refused(folders) -> None:
    lesson = make_lesson()
    for other in (lesson, make_lesson(), folders[0]):
        with pytest.raises(UsageError, match="are the same lesson"):
            compare(lesson, other)
    with pytest.raises(UsageError, match=r"the lesson after \(.*\) left-handed"):
        compare(make_after(), make_lesson(handed="left"))


def test_faces_are_hidden_in_a_comparison_where_that_is_asked(folders) -> None:
    for before in (make_lesson(), folders[0]):
        plain, hidden = compare(before, make_after()), compare(before, make_after(), hide_faces=True)
        for side in ("before", "after"):
            one, two = (getattr(each, side).views["face_on"].still.astype(float) for each in (plain, hidden))
            assert (np.abs(one - two).max(axis=2) > 40).sum() > 50
            assert getattr(hidden, side).record.faces_hidden
