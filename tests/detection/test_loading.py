"""A stored lesson is measured again from what was seen, with the same numbers; older lessons too."""

import io
import json
from pathlib import Path

import numpy as np
import pytest
from attrs import evolve

from putt_posture.clips import read_clip
from putt_posture.detection.detect import detect_in_clips
from putt_posture.detection.loading import load_detections
from putt_posture.documents import fit_as_json, lesson_as_text
from putt_posture.documents.arrays import lesson_as_arrays, write_arrays
from putt_posture.documents.json_values import measure_as_json
from putt_posture.errors import UsageError
from putt_posture.lesson import measure_detections
from putt_posture.measures import MEASURES
from putt_posture.records import check_files, read_result_files, read_result_folder
from putt_posture.values import Given, PlacedLandmark, Student, WantedSetup

PICTURES = Path(__file__).parents[1] / "landmarks" / "pictures"
STILLS = {"down_the_line": PICTURES / "golfer_down_the_line.jpg", "face_on": PICTURES / "golfer_face_on.jpg"}
STUDENT = Student(stature_cm=175.0, handed="right", sex="male", putter_length_cm=88.9)
RELEASED = Path(__file__).parents[1] / "records" / "released"
ROUNDING = 1e-12
"""Share by which another processor's linear algebra may round otherwise."""
SEEN_KIB = 8
"""The document of what was seen is small beside the outlines."""


@pytest.fixture(scope="module")
def detections():
    return detect_in_clips({view: read_clip(path, view=view) for view, path in STILLS.items()})


@pytest.fixture(scope="module")
def lesson(detections):
    """With nothing given by hand."""
    return measure_detections(detections, student=STUDENT)


@pytest.fixture(scope="module")
def arrays(lesson):
    return lesson_as_arrays(lesson)


@pytest.fixture(scope="module")
def document(lesson):
    return lesson_as_text(lesson).encode()


def store(lesson):
    stream = io.BytesIO()
    write_arrays(lesson, stream)
    files = {"measures.json": lesson_as_text(lesson).encode(), "landmarks.npz": stream.getvalue()}
    return read_result_files(files, title="the lesson")


def with_seen(text, document, arrays):
    """Return a lesson whose document of what was seen is another text."""
    stream = io.BytesIO()
    np.savez(stream, **(arrays | {"seen": np.frombuffer(text, dtype=np.uint8)}))
    return read_result_files({"measures.json": document, "landmarks.npz": stream.getvalue()}, title="the lesson")


def measure_stored(kept, **changed):
    stored = load_detections(kept)
    told = {"student": stored.student, "given": stored.given, "wanted": stored.wanted}
    return measure_detections(stored.detections, **(told | changed))


def alike(one, two):
    for name in MEASURES:
        assert measure_as_json(one.posture[name]) == measure_as_json(two.posture[name]), name
    assert fit_as_json(one.fit) == fit_as_json(two.fit)
    assert one.warnings == two.warnings


GIVEN = [
    {},
    {
        "down_the_line": Given(
            ball_px=(700.0, 1400.0),
            ground_px=(500.0, 1500.0),
            roll_deg=0.5,
            landmarks=(PlacedLandmark(landmark="right_shoulder", point_px=(520.0, 500.0)),),
        ),
        "face_on": Given(distance_cm=400.0, scale_object=(100.0, ((100.0, 100.0), (600.0, 100.0)))),
    },
]


@pytest.mark.parametrize("given", GIVEN, ids=["nothing given", "given by hand"])
def test_what_is_loaded_measures_as_the_clips_did_to_the_last_digit(detections, given):
    measured = measure_detections(detections, student=STUDENT, given=given, wanted=WantedSetup(knee_flex_deg=12.5))
    alike(measure_stored(store(measured)), measured)


def test_everything_that_was_seen_and_given_comes_back(detections):
    measured = measure_detections(detections, student=STUDENT, given=GIVEN[1])
    stored = load_detections(store(measured))
    assert stored.given == GIVEN[1]
    assert stored.wanted is None
    for view, found in stored.detections.items():
        seen = detections[view]
        for name in ("times_s", "setup_index", "points_px", "visibility", "depth", "masks", "outlines"):
            np.testing.assert_array_equal(getattr(found.landmarks, name), getattr(seen.landmarks, name))
        assert found.clip == evolve(seen.clip, path=Path("clip"), shown_name=seen.clip.path.name)
        assert (found.setups, found.notes, found.still_index) == (seen.setups, seen.notes, seen.still_index)
        assert found.still.erased


def test_the_document_of_what_was_seen_is_small(arrays):
    assert arrays["seen"].nbytes < SEEN_KIB * 1024


@pytest.mark.parametrize("version", ["0.1.0"])
def test_a_lesson_of_a_released_version_opens_and_agrees_when_it_is_measured_again(version):
    kept = read_result_folder(RELEASED / version / "folder")
    again = measure_stored(kept)
    for name in MEASURES:
        before, after = kept.record.measures[name], again.posture[name]
        numbers = [each and pytest.approx(each, rel=ROUNDING) for each in (before.value, before.standard_uncertainty)]
        assert [after.value, after.standard_uncertainty] == numbers, name
    assert again.fit.putter_length.value == pytest.approx(kept.record.putter_length.value, abs=1e-6)


def test_a_lesson_kept_without_outlines_says_that_it_cannot_be_measured_again(lesson):
    kept = store(lesson)
    with pytest.raises(UsageError, match=r"was kept without landmarks and outlines.*Measure its clips"):
        load_detections(evolve(kept, names=frozenset({"measures.json"})))


@pytest.mark.parametrize(
    ("change", "says"),
    [
        (lambda told: told.update(schema=99), "newer than this program"),
        (lambda told: told.update(schema="2"), "has schema '2'"),
        (lambda told: told.update(more=1), "not match schema 4"),
        (lambda told: told["views"].pop("face_on"), "views are not those"),
        (lambda told: told["views"]["face_on"]["clip"].update(width=7), "another clip"),
        (lambda told: told["views"]["face_on"]["finds"].update(resolution_px="coarse"), "resolution_px"),
        (lambda told: told["views"]["face_on"]["given"].update(ball_px=[1e300, 0]), "ball_px"),
    ],
)
def test_a_damaged_document_of_what_was_seen_is_refused_in_a_sentence(document, arrays, change, says):
    told = json.loads(arrays["seen"].tobytes())
    change(told)
    kept = with_seen(json.dumps(told).encode(), document, arrays)
    with pytest.raises(UsageError, match=says):
        load_detections(kept)
    with pytest.raises(UsageError, match=says):
        check_files(kept, kept.names)


@pytest.mark.parametrize("text", [b"{", b'{"schema": NaN}', b"[" * 100_000, b"\xff"])
def test_what_is_no_json_is_refused_in_a_sentence(document, arrays, text):
    kept = with_seen(text, document, arrays)
    with pytest.raises(UsageError, match=r"is damaged|has schema"):
        load_detections(kept)
