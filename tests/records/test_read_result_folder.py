"""A stored lesson is read back as it was."""

import json
import shutil
from pathlib import Path

import numpy as np
import pytest
from invented import MADE_ON

from putt_posture.disk.marks import MARK
from putt_posture.drawing.stills import find_still_crop
from putt_posture.errors import UsageError
from putt_posture.measures import MEASURES
from putt_posture.pages.to_send import TO_SEND
from putt_posture.records import load_view, read_result_folder


def test_every_measure_comes_back_with_all_that_it_carries(lesson, folder):
    record = read_result_folder(folder).record
    for name in MEASURES:
        was, kept = lesson.posture[name], record.measures[name]
        assert bool(was) == bool(kept)
        assert (kept.unit, kept.view, kept.frames, kept.absent) == (was.unit, was.view, was.frames, was.absent)
        if was:
            assert (kept.value, kept.standard_uncertainty, kept.floor) == (
                was.value,
                was.standard_uncertainty,
                was.floor,
            )
            assert dict(kept.budget) == dict(was.budget)
            assert kept.repeats == was.repeats


def test_student_day_and_suggestion_come_back(lesson, folder):
    record = read_result_folder(folder).record
    assert record.student == lesson.student
    assert record.made_on == MADE_ON
    assert record.putter_length.value == lesson.fit.putter_length.value
    assert record.stock_length_in == lesson.fit.stock_length_in


def test_a_view_comes_back_with_its_outline_and_the_place_of_its_still(lesson, folder):
    kept = read_result_folder(folder)
    for view, result in lesson.views.items():
        seen = load_view(kept, view)
        crop = find_still_crop(lesson, view)
        assert seen.record.still_box_px == crop.box_px
        assert seen.still.shape == (crop.size[1], crop.size[0], 3)
        assert np.array_equal(seen.outline, result.landmarks.outlines[result.still_index])
        assert seen.outline_box_px == result.landmarks.mask_box_px
        assert np.allclose(seen.joint("left_hip"), result.joints.point("left_hip")[result.still_index], equal_nan=True)


def test_a_folder_without_pictures_has_no_view(folder, tmp_path):
    shutil.copy(folder / "measures.json", tmp_path)
    assert load_view(read_result_folder(tmp_path), "face_on") is None


def test_everything_that_was_written_is_known_and_nothing_else_is(folder, tmp_path):
    copy = Path(shutil.copytree(folder, tmp_path / "copy"))
    for stray in (".DS_Store", "portrait.jpg", "stills/portrait.jpg", "clips/mine.mov"):
        (copy / stray).parent.mkdir(exist_ok=True)
        (copy / stray).write_bytes(b"not of the report")
    written = {path.relative_to(folder).as_posix() for path in folder.rglob("*") if path.is_file()}
    assert read_result_folder(copy).names == written - {MARK, TO_SEND}


def test_a_missing_folder_is_one_sentence(tmp_path):
    with pytest.raises(UsageError, match=r"is not there\. Give the folder"):
        read_result_folder(tmp_path / "nowhere")


def test_a_folder_without_measures_is_one_sentence(tmp_path):
    with pytest.raises(UsageError, match=r"holds no measures\.json"):
        read_result_folder(tmp_path)


@pytest.mark.parametrize(
    ("spoil", "says"),
    [
        (lambda text: text[:100], "it is not JSON"),
        (
            lambda text: text.replace('"schema": 4', '"schema": 1', 1),
            "has schema 1, and this program reads schemas 2 to 4",
        ),
        (lambda text: json.dumps({**json.loads(text), "warnings": 3}), "is damaged. The measures do not match schema"),
    ],
)
def test_a_spoilt_document_is_one_sentence(folder, tmp_path, spoil, says):
    text = (folder / "measures.json").read_text(encoding="utf-8")
    (tmp_path / "measures.json").write_text(spoil(text), encoding="utf-8")
    with pytest.raises(UsageError, match=says):
        read_result_folder(tmp_path)


def test_damaged_landmarks_are_one_sentence(folder, tmp_path):
    shutil.copytree(folder, tmp_path / "copy")
    (tmp_path / "copy" / "landmarks.npz").write_bytes(b"PK nothing")
    with pytest.raises(UsageError, match="are damaged"):
        load_view(read_result_folder(tmp_path / "copy"), "face_on")
