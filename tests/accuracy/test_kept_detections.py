"""Kept detections are as good as fresh ones, and are not found again once anything they depend on has changed."""

import shutil
from pathlib import Path

import kept_detections
import numpy as np
import pytest
from keep_detections import KEPT, clips_of, detect_anew, file_of
from kept_detections import (
    TRAVELLING,
    code_digest,
    detect_in_stills,
    detect_or_take,
    modules_of_detection,
    parts_of_detection,
)

import putt_posture
from putt_posture import Student, measure_lesson

PICTURES = Path(__file__).parents[1] / "landmarks" / "pictures"
STILLS = {"down_the_line": PICTURES / "golfer_down_the_line.jpg", "face_on": PICTURES / "golfer_face_on.jpg"}
WITHOUT_WEIGHTS = shutil.ignore_patterns("*.task", "__pycache__")


@pytest.fixture
def source(tmp_path) -> Path:
    """A copy of the package's source."""
    return shutil.copytree(Path(putt_posture.__file__).parent, tmp_path / "putt_posture", ignore=WITHOUT_WEIGHTS)


def change(path: Path) -> None:
    path.write_bytes(path.read_bytes() + b"\n")


def test_kept_detection_is_the_fresh_one_without_detecting_again(tmp_path, monkeypatch) -> None:
    fresh = detect_in_stills(STILLS, cache=tmp_path)

    def refuse(clips, **_):
        raise AssertionError(f"detected again in {clips}")

    monkeypatch.setattr(kept_detections, "detect_in_clips", refuse)
    kept = detect_in_stills(STILLS, cache=tmp_path)
    assert list(kept) == list(STILLS)
    for view, detection in kept.items():
        assert (detection.landmarks.points_px == fresh[view].landmarks.points_px).all()
        assert (detection.landmarks.masks == fresh[view].landmarks.masks).all()
        assert (detection.still.picture == fresh[view].still.picture).all()
        assert (detection.setups, detection.still_index, detection.notes) == (
            fresh[view].setups,
            fresh[view].still_index,
            fresh[view].notes,
        )


def test_another_picture_or_view_is_detected_anew(tmp_path, monkeypatch) -> None:
    asked = []

    def note(clips, **_):
        asked.append(list(clips))
        raise KeyError(*clips)

    monkeypatch.setattr(kept_detections, "detect_in_clips", note)
    for stills in (STILLS, {"face_on": STILLS["down_the_line"]}):
        with pytest.raises(KeyError):
            detect_in_stills(stills, cache=tmp_path)
    assert asked == [["down_the_line"], ["face_on"]]


def test_every_part_that_a_test_replaces_is_seen(monkeypatch) -> None:
    written = parts_of_detection()
    assert parts_of_detection() == written
    monkeypatch.setattr("putt_posture.landmarks.find.detect_in_crop", lambda *_, **__: None)
    monkeypatch.setattr("putt_posture.landmarks.model.PoseModel.find_people", lambda *_, **__: None)
    now = parts_of_detection()
    assert {name for name in written if now[name] is not written[name]} >= {
        ("putt_posture.landmarks.find", "detect_in_crop"),
        ("putt_posture.landmarks.model", "PoseModel", "find_people"),
    }


def test_nothing_kept_is_taken_while_a_part_is_replaced(monkeypatch) -> None:
    student = Student(stature_cm=175.0, handed="right")
    kept = measure_lesson(student=student, **STILLS)
    assert measure_lesson(student=student, **STILLS).posture.estimates == kept.posture.estimates

    def refuse(*_, **__):
        raise RuntimeError("detected")

    monkeypatch.setattr("putt_posture.landmarks.find.detect_in_crop", refuse)
    with pytest.raises(RuntimeError, match="detected"):
        measure_lesson(student=student, **STILLS)


def test_looking_is_all_that_leads_to_the_landmarks_and_nothing_after_them() -> None:
    modules = modules_of_detection()
    for needed in (
        "detection.detect",
        "landmarks.find",
        "landmarks.crops",
        "setups.finder",
        "clips.stills",
        "values.clip",
    ):
        assert f"putt_posture.{needed}" in modules
    for after in ("joints.fit", "scene.read", "posture.seen_setup", "measures.measure", "lesson", "fitting.limits"):
        assert f"putt_posture.{after}" not in modules


@pytest.mark.parametrize(
    "changed",
    [
        "detection/detect.py",
        "landmarks/find.py",
        "landmarks/weights/digests.json",
        "clips/stills.py",
        "clips/__init__.py",
    ],
)
def test_change_to_looking_makes_another_key(source, changed) -> None:
    before = code_digest.__wrapped__(source)
    change(source / changed)
    assert code_digest.__wrapped__(source) != before


@pytest.mark.parametrize("changed", ["joints/fit.py", "measures/trunk.py", "scene/read.py", "lesson.py"])
def test_change_to_what_follows_leaves_the_key(source, changed) -> None:
    before = code_digest.__wrapped__(source)
    change(source / changed)
    assert code_digest.__wrapped__(source) == before


def test_copy_of_the_source_has_the_same_key(source) -> None:
    assert code_digest.__wrapped__(source) == code_digest()


def test_new_version_of_a_library_makes_another_key(source, monkeypatch) -> None:
    before = code_digest.__wrapped__(source)
    monkeypatch.setattr(kept_detections.importlib.metadata, "version", lambda name: "0.0")
    assert code_digest.__wrapped__(source) != before


LEAST_ALIKE_PX = 0.5
"""Landmarks of one picture on two kinds of processor, or decoded by two versions of a library, differ by less."""
LEVELS = 2.0
"""So do the outlines on average, of 255 levels."""


def test_what_travels_with_the_tests_is_of_the_clips_as_they_are() -> None:
    assert sorted(path.name for path in TRAVELLING.iterdir()) == sorted(file_of(name).name for name in KEPT)


@pytest.mark.parametrize(
    "name", [each if each == "golfer_face_on" else pytest.param(each, marks=pytest.mark.whole) for each in KEPT]
)
def test_what_travels_with_the_tests_is_what_is_detected_now(name, tmp_path) -> None:
    """If a change to detection was meant, make them again: ``python tests/accuracy/keep_detections.py``."""
    fresh = detect_anew(name)
    kept = detect_or_take(clips_of(name), cache=tmp_path)
    assert list(kept) == list(fresh)
    assert list(tmp_path.iterdir()) == [], "nothing was detected to take it"
    for view, now in fresh.items():
        then = kept[view]
        assert [each.times_s for each in then.setups] == [each.times_s for each in now.setups]
        assert (then.still_index, then.notes, then.landmarks.notes) == (now.still_index, now.notes, now.landmarks.notes)
        assert then.landmarks.model == now.landmarks.model
        np.testing.assert_allclose(then.landmarks.points_px, now.landmarks.points_px, atol=LEAST_ALIKE_PX)
        for pictures in ("masks", "outlines"):
            one, other = (in_whole_pictures(each.landmarks, pictures).astype(float) for each in (then, now))
            assert np.abs(one - other)[(one > 0) | (other > 0)].mean() < LEVELS


def in_whole_pictures(landmarks, pictures):
    """Return masks or outlines in pictures of the full size; the box around them may differ by a pixel."""
    left, top, right, bottom = landmarks.mask_box_px
    width, height = landmarks.size_px
    inside = getattr(landmarks, pictures)
    return np.pad(inside, ((0, 0), (top, height - bottom), (left, width - right)))
