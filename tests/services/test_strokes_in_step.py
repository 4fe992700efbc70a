"""Two result folders that hold overlay clips give one clip of both, and none where heads are to be hidden."""

import sys
from datetime import date
from pathlib import Path

import numpy as np
import pytest
from changed_lesson import make_changed_lesson
from invented import make_lesson

sys.path += [str(Path(__file__).parents[1] / name) for name in ("strokes",)]
from shown_strokes import add_strokes

from putt_posture import services
from putt_posture.clips.writing import open_clip_writer
from putt_posture.comparison import compare as compare_lessons
from putt_posture.drawing.overlay_clip import BEFORE_S, HALF_SPEED
from putt_posture.pages import store_lesson
from putt_posture.services import strokes_in_step


def write_clip(path: Path) -> None:
    with path.open("wb") as out, open_clip_writer(
        out, size_px=(64, 96), most_frames=20, longest_s=1.0, most_bytes=100_000
    ) as writer:  # fmt: skip
        for k in range(10):
            writer.write(np.full((96, 64, 3), 20 * k, dtype=np.uint8), time_s=k / 10)


@pytest.fixture
def folders(tmp_path):
    made = tmp_path / "before", tmp_path / "after"
    for folder, lesson in zip(made, (make_lesson(), make_changed_lesson()), strict=True):
        store_lesson(add_strokes(lesson), folder, made_on=date(2026, 11, 27))
        write_clip(folder / "stroke_face_on.mp4")
    return made


def test_both_overlay_clips_are_joined_unless_heads_are_to_be_hidden(folders, tmp_path):
    services.compare(*folders, tmp_path / "shown", today=date(2026, 11, 27))
    assert (tmp_path / "shown" / "strokes_face_on.mp4").is_file()
    assert "strokes_face_on.mp4" in (tmp_path / "shown" / "comparison.html").read_text(encoding="utf-8")
    services.compare(*folders, tmp_path / "hidden", today=date(2026, 11, 27), hide_faces=True)
    assert not list((tmp_path / "hidden").glob("*.mp4"))


def stroke_of(lesson):
    strokes = lesson.record.strokes
    return strokes.of["face_on"][strokes.shown["face_on"]]


def test_the_start_of_the_backswing_is_where_the_overlay_clip_shows_it(folders):
    found = compare_lessons(*folders)
    path, overlay = strokes_in_step._find_overlay(found.before, folders[0] / "stroke_face_on.mp4", "face_on")
    first = min(float(each.times_s[0]) for each in stroke_of(found.before).paths.values())
    shown_s = min(BEFORE_S, stroke_of(found.before).events["start"].value - first)
    assert overlay.events_s["start"] == pytest.approx(shown_s / HALF_SPEED, abs=0.1)
    assert path.name == "stroke_face_on.mp4"
