"""The paths of strokes go into a table and come back; a damaged table is refused."""

import sys
from pathlib import Path

import numpy as np
import pytest

sys.path.insert(0, str(Path(__file__).parents[1] / "strokes"))

from made_up import make_strokes

from putt_posture.documents.stroke_series import read_series, series_as_csv, series_as_frame, series_as_parquet
from putt_posture.documents.strokes_json import read_strokes, strokes_as_json
from putt_posture.errors import UsageError

LARGEST_ROUNDING_CM = 0.5e-4


@pytest.fixture
def strokes():
    found = make_strokes(count=2)
    found.of["face_on"][0].paths["hands"].moved_cm[3] = np.nan
    return found


def bare(strokes):
    return read_strokes(strokes_as_json(strokes), version="0.2.0")


def test_paths_come_back_but_for_the_rounding_of_the_table(strokes):
    read = read_series(series_as_csv(strokes).encode(), bare(strokes), where="strokes.csv")
    for view, of_view in strokes.of.items():
        for was, now in zip(of_view, read.of[view], strict=True):
            assert was.paths.keys() == now.paths.keys()
            for point, path in was.paths.items():
                found = now.paths[point]
                np.testing.assert_allclose(found.times_s, path.times_s, atol=0.5e-6)
                np.testing.assert_allclose(found.moved_cm, path.moved_cm, atol=LARGEST_ROUNDING_CM * 1.01)
                np.testing.assert_allclose(found.sd_cm, path.sd_cm, atol=LARGEST_ROUNDING_CM * 1.01)
                assert found.from_ball_cm == pytest.approx(path.from_ball_cm, abs=LARGEST_ROUNDING_CM)
    assert np.isnan(read.of["face_on"][0].paths["hands"].moved_cm[3]).all()


def test_a_table_that_was_read_is_written_alike(strokes):
    text = series_as_csv(strokes)
    assert series_as_csv(read_series(text.encode(), bare(strokes), where="strokes.csv")) == text


def test_the_frame_has_the_rows_of_the_table_with_numbers_as_numbers(strokes):
    frame = series_as_frame(strokes)
    assert len(frame) == series_as_csv(strokes).count("\n") - 1
    hands = frame[(frame["view"] == "face_on") & (frame["stroke"] == 1) & (frame["point"] == "hands")]
    np.testing.assert_array_equal(hands["moved_along_cm"], strokes.of["face_on"][0].paths["hands"].moved_cm[:, 0])
    assert frame["time_s"].dtype == float


def test_the_parquet_file_holds_the_same_table(strokes):
    pytest.importorskip("pyarrow")
    import io

    import pandas as pd

    read = pd.read_parquet(io.BytesIO(series_as_parquet(strokes)))
    pd.testing.assert_frame_equal(read, series_as_frame(strokes), check_dtype=False)


def test_without_pyarrow_there_is_no_parquet_file(strokes, monkeypatch):
    monkeypatch.setitem(sys.modules, "pyarrow", None)
    assert series_as_parquet(strokes) is None


@pytest.mark.parametrize(
    ("change", "said"),
    [
        (lambda text: text.replace("moved_up_cm", "up"), "columns are not those"),
        (lambda text: text.replace("face_on,1,putt", "face_on,9,putt", 1), "a stroke that the document does not"),
        (lambda text: text.replace("face_on,1,putt", "face_on,1,practice", 1), "a stroke that the document does not"),
        (lambda text: text.replace(",hands,", ",=hands,", 1), "a point that is not followed"),
        (lambda text: text.replace(",hands,0.5,", ",hands,nan,", 1), "impossible number|could not convert"),
        (lambda text: text.replace(",hands,0.5,", ",hands,99,", 1), "do not increase"),
        (lambda text: text.replace(",hands,0.5,", ",hands,0.5,1,", 1), "a row has 12 cells"),
        (lambda text: text.replace(",hands,0.5,", ",hands,x,", 1), "could not convert"),
    ],
)
def test_a_table_that_was_changed_is_refused_in_a_sentence(strokes, change, said):
    text = series_as_csv(strokes)
    changed = change(text)
    assert changed != text
    with pytest.raises(UsageError, match=rf"strokes.csv is damaged: .*(?:{said}).*Measure the clips again"):
        read_series(changed.encode(), bare(strokes), where="strokes.csv")


def test_a_file_that_is_no_text_is_refused(strokes):
    with pytest.raises(UsageError, match="not text in UTF-8"):
        read_series(b"\xff\xfe\x00", bare(strokes), where="strokes.csv")
