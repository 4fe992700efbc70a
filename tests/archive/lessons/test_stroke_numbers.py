"""The numbers of the stroke in the archive: filed with the lesson, in its history, its tables and its checks."""

import io
import sys
from datetime import date
from pathlib import Path

import pytest
from attrs import evolve

sys.path.insert(0, str(Path(__file__).parents[2] / "strokes"))

from export_lessons import TODAY, enrol
from invented import make_lesson
from made_up import make_strokes
from made_up_seen import make_seen_stroke

from putt_posture.archive import check_archive, file_lesson, load_history, open_archive, open_lesson, read_frames
from putt_posture.changes import find_changes
from putt_posture.documents.arrays import write_arrays
from putt_posture.documents.history_json import check_history, history_as_csv, history_as_json
from putt_posture.documents.lesson_json import lesson_as_text
from putt_posture.documents.stroke_series import STROKE_SERIES, series_as_csv
from putt_posture.errors import UsageError
from putt_posture.history import find_courses, find_stroke_courses
from putt_posture.measures import MEASURES, STROKE_MEASURES
from putt_posture.records import load_strokes, read_result_files
from putt_posture.values import Estimate, SeenStrokes, absent

DAYS = (date(2026, 1, 10), date(2026, 6, 20))


def numbers(back):
    found = {name: absent("Too dark.", unit=each.unit) for name, each in STROKE_MEASURES.items()}
    found["backswing_time"] = Estimate(
        value=back, standard_uncertainty=0.01, unit="s", view="face_on", method="x", repeats=(back - 0.01, back + 0.01)
    )
    return found


def lesson_with_stroke(back):
    lesson = make_lesson(views=("face_on",))
    views = {
        view: evolve(
            each, strokes=SeenStrokes(view=view, strokes=(make_seen_stroke(each, events=False, stills=False),))
        )
        for view, each in lesson.views.items()
    }
    strokes = make_strokes(numbers=numbers(back), together=False)
    return evolve(
        lesson, views=views, strokes=evolve(strokes, of={"face_on": strokes.of["face_on"]}, shown={"face_on": 0})
    )


def files_of(lesson, *, day):
    stream = io.BytesIO()
    write_arrays(lesson, stream)
    files = {"measures.json": lesson_as_text(lesson, made_on=day).encode(), "landmarks.npz": stream.getvalue()}
    return files | ({STROKE_SERIES: series_as_csv(lesson.strokes).encode()} if lesson.strokes else {})


@pytest.fixture(scope="module")
def lessons():
    return [files_of(lesson_with_stroke(back), day=day) for back, day in zip((0.6, 0.95), DAYS, strict=True)]


@pytest.fixture
def filed(lessons, tmp_path):
    with open_archive(tmp_path / "archive") as archive:
        number = enrol(archive, born=date(1990, 1, 1))
        for files, day in zip(lessons, DAYS, strict=True):
            kept = read_result_files(files, title="report")
            file_lesson(archive, number, kept, day=day, moment="check", today=TODAY, pictures=False)
        yield archive, number


def test_a_filed_lesson_gives_its_strokes_back_with_their_paths(filed):
    archive, _ = filed
    kept = open_lesson(archive, 2, today=TODAY)
    strokes = load_strokes(kept)
    assert strokes.numbers["backswing_time"].value == 0.95
    assert strokes.of["face_on"][0].paths["hands"].moved_cm.shape[1] == 2
    table = kept.to_frame(per="stroke")
    assert set(table["measure"]) >= {"start", "top", "impact", "finish"}


def test_the_archive_with_strokes_passes_its_check(filed):
    archive, _ = filed
    assert not check_archive(archive)


def test_history_follows_the_stroke_apart_from_the_setup(filed):
    archive, number = filed
    history = load_history(archive, number, today=TODAY)
    courses = find_stroke_courses(history, find_changes=find_changes)
    assert list(courses) == list(STROKE_MEASURES)
    assert courses["backswing_time"].since_first.change.value == pytest.approx(0.35)
    assert courses["backswing_time"].since_first.real
    assert courses["backswing_time"].verdict == "stroke"
    setup = find_courses(history, find_changes=find_changes)
    assert list(setup) == list(MEASURES)
    document = history_as_json(history, setup, stroke_courses=courses)
    check_history(document)
    assert document["visits"][1]["strokes"]["backswing_time"]["value"] == 0.95
    assert "backswing_time" in history_as_csv(history)


def test_the_tables_of_the_archive_have_the_numbers_of_the_stroke(filed):
    archive, _ = filed
    table = read_frames(archive, today=TODAY)["measures"]
    found = table[table["measure"] == "backswing_time"]
    assert found["value"].to_list() == [0.6, 0.95]
    assert set(found["unit"]) == {"s"}


def test_paths_of_another_lesson_are_refused(lessons, tmp_path):
    bare = make_lesson(views=("face_on",))
    files = files_of(bare, day=DAYS[0]) | {STROKE_SERIES: lessons[0][STROKE_SERIES]}
    with open_archive(tmp_path / "archive") as archive:
        number = enrol(archive, born=date(1990, 1, 1))
        with pytest.raises(UsageError, match=r"strokes.csv of report holds strokes, and the document has none"):
            file_lesson(
                archive, number, read_result_files(files, title="report"), day=DAYS[0], moment="check", today=TODAY
            )
