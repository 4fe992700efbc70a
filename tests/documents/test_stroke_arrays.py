"""What was seen of strokes is kept beside the landmarks to the last digit, and damage to it is refused."""

import io
import json
import sys
import zipfile
from pathlib import Path

import numpy as np
import pytest
from attrs import fields

sys.path.insert(0, str(Path(__file__).parents[1] / "strokes"))

from invented import make_lesson
from made_up_seen import with_seen_strokes

from putt_posture.detection.loading import load_detections
from putt_posture.documents import open_arrays, read_record
from putt_posture.documents.arrays import write_arrays
from putt_posture.documents.lesson_json import lesson_as_text
from putt_posture.documents.stroke_arrays import read_seen_strokes, seen_strokes_as_json
from putt_posture.errors import UsageError
from putt_posture.records import read_result_files
from putt_posture.values import Estimate, Landmarks, SeenStroke, SeenStrokes


@pytest.fixture(scope="module")
def seen_lesson():
    return with_seen_strokes(make_lesson())


@pytest.fixture(scope="module")
def files(seen_lesson):
    stream = io.BytesIO()
    write_arrays(seen_lesson, stream)
    return {"landmarks.npz": stream.getvalue(), "measures.json": lesson_as_text(seen_lesson).encode()}


def kept(files):
    return read_result_files(files, title="report")


def without(files, *, leave=(), **changed):
    """Return the files with other members in the arrays."""
    stream = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(files["landmarks.npz"])) as opened, zipfile.ZipFile(stream, "w") as made:
        for name in opened.namelist():
            if name.removesuffix(".npy") not in leave:
                made.writestr(name, changed.get(name.removesuffix(".npy"), opened.read(name)))
    return {**files, "landmarks.npz": stream.getvalue()}


def npy(array):
    stream = io.BytesIO()
    np.save(stream, array)
    return stream.getvalue()


def assert_same(one, other, leave=()):
    for each in fields(type(one)):
        if each.name in leave:
            continue
        was, now = getattr(one, each.name), getattr(other, each.name)
        if isinstance(was, np.ndarray):
            assert was.dtype == now.dtype, each.name
            np.testing.assert_array_equal(was, now, err_msg=each.name)
        elif isinstance(was, Landmarks):
            assert_same(was, now)
        elif isinstance(was, Estimate) and not was:
            assert (now.absent, now.unit) == (was.absent, was.unit)
        elif isinstance(was, float) and np.isnan(was):
            assert np.isnan(now), each.name
        else:
            assert was == now, each.name


def test_all_but_the_pictures_of_strokes_comes_back_to_the_last_digit(seen_lesson, files):
    loaded = load_detections(kept(files))
    for view, result in seen_lesson.views.items():
        seen = loaded.detections[view].strokes
        assert isinstance(seen, SeenStrokes)
        assert (seen.notes, seen.why_none) == (result.strokes.notes, "")
        assert len(seen.strokes) == 2
        for was, now in zip(result.strokes.strokes, seen.strokes, strict=True):
            assert isinstance(now, SeenStroke)
            assert_same(was, now, leave=("stills",))


def test_no_stroke_is_kept_with_its_reason_and_none_looked_for_without():
    found = SeenStrokes(view="face_on", why_none="Nobody swings.", notes=("Dark.",))
    read = read_seen_strokes(json.loads(json.dumps(seen_strokes_as_json(found))), {}, view="face_on", size_px=(10, 10))
    assert (read.strokes, read.why_none, read.notes) == ((), "Nobody swings.", ("Dark.",))
    assert read_seen_strokes(None, {}, view="face_on", size_px=(10, 10)) is None


@pytest.mark.parametrize(
    ("leave", "changed", "said"),
    [
        (["face_on.stroke_1.ball_px"], {}, "other arrays than the program writes"),
        ([], {"face_on.stroke_1.ball_px": npy(np.zeros((40, 3)))}, r"face_on.stroke_1.ball_px has the shape \(40, 3\)"),
        ([], {"face_on.stroke_1.times_s": npy(np.zeros(40))}, "face_on.stroke_1.times_s do not increase"),
        ([], {"face_on.stroke_1.ball_sd_px": npy(np.full(40, np.inf))}, "ball_sd_px holds an impossible number"),
        ([], {"face_on.stroke_1.times_s": npy(np.zeros(40, dtype=np.int64))}, "holds the wrong kind of number"),
        ([], {"face_on.stroke_2.at_mask_box_px": npy(np.array([5, 5, 4, 9]))}, "not a part of a picture"),
        ([], {"face_on.stroke_2.at_times_s": npy(np.zeros(5))}, "at most 4"),
    ],
)
def test_series_that_cannot_be_are_refused(files, leave, changed, said):
    record = read_record(files["measures.json"], where="it")
    damaged = without(files, leave=leave, **changed)
    with pytest.raises(UsageError, match=said):
        open_arrays(damaged["landmarks.npz"], record=record, where="The landmarks of it")


def test_strokes_of_the_document_without_their_series_are_refused(files):
    with zipfile.ZipFile(io.BytesIO(files["landmarks.npz"])) as opened:
        last = [name.removesuffix(".npy") for name in opened.namelist() if name.startswith("face_on.stroke_2.")]
    with pytest.raises(UsageError, match="strokes are not those of the arrays beside it"):
        load_detections(kept(without(files, leave=last)))


def test_a_gap_in_the_counting_of_strokes_is_refused(files):
    record = read_record(files["measures.json"], where="it")
    with zipfile.ZipFile(io.BytesIO(files["landmarks.npz"])) as opened:
        first = [name.removesuffix(".npy") for name in opened.namelist() if name.startswith("face_on.stroke_1.")]
    with pytest.raises(UsageError, match="are not counted from 1"):
        open_arrays(without(files, leave=first)["landmarks.npz"], record=record, where="The landmarks of it")


@pytest.mark.parametrize("to_other_s", [3.25, float("nan")])
def test_how_the_clips_lie_against_each_other_is_kept_and_old_entries_without_it_are_read(to_other_s):
    told = seen_strokes_as_json(SeenStrokes(view="face_on", to_other_s=to_other_s))
    read = read_seen_strokes(told, {}, view="face_on", size_px=(1, 1))
    assert read.to_other_s == pytest.approx(to_other_s, nan_ok=True)
    del told["to_other_s"]
    assert np.isnan(read_seen_strokes(told, {}, view="face_on", size_px=(1, 1)).to_other_s)
