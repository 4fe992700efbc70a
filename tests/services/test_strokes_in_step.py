"""The strokes of two lessons side by side in one clip: of folders and of the archive, as far as it may be shown."""

import json
import shutil
import sys
from datetime import date
from pathlib import Path

import pytest
from attrs import evolve
from filed import add_player

sys.path.insert(0, str(Path(__file__).parents[1] / "server"))
from stroke_lesson import make_stroke_folder_once

from putt_posture import services
from putt_posture.archive import (
    file_lesson,
    load_first_and_newest,
    load_lesson,
    open_archive,
    open_lesson,
    withdraw_consent,
)
from putt_posture.documents import ARRAYS
from putt_posture.errors import NotAllowed
from putt_posture.records import read_result_folder
from putt_posture.services import strokes_in_step
from putt_posture.services.stroke_clips import filed_clips, views_with_filed_clips
from putt_posture.services.strokes_in_step import ShownLesson, join_overlays

TODAY = date(2026, 11, 27)
VIEW = "face_on"
JOINED = f"strokes_{VIEW}.mp4"
NONE = "There is no clip of both strokes side by side"


@pytest.fixture(scope="module")
def folders(run_folder, detections_folder, tmp_path_factory):
    """Two result folders with an overlay clip face on, the second with another tilt; and their clip."""
    stored, sample = make_stroke_folder_once(run_folder, cache=detections_folder)
    before = shutil.copytree(stored, tmp_path_factory.mktemp("two") / "before")
    (before / "stroke_down_the_line.mp4").unlink()
    after = shutil.copytree(before, before.parent / "after")
    change(after, lambda document: move(document["measures"]["spine_tilt"], 5.0))
    return before, after, sample.clips[VIEW]


def change(folder, how):
    document = json.loads((folder / "measures.json").read_text(encoding="utf-8"))
    how(document)
    (folder / "measures.json").write_text(json.dumps(document), encoding="utf-8")


def move(estimate, by):
    estimate.update({name: estimate[name] + by for name in ("value", "low", "high")})


@pytest.fixture(scope="module")
def archived(folders, tmp_path_factory):
    """An archive with the same lessons and their clip face on, and their numbers."""
    with open_archive(tmp_path_factory.mktemp("two") / "archive") as archive:
        student = add_player(archive)
        numbers = [
            file_lesson(
                archive, student, read_result_folder(folder), day=TODAY, moment=moment, today=TODAY,
                clips={VIEW: folders[2]},
            )
            for folder, moment in zip(folders[:2], ("before", "after"), strict=True)
        ]  # fmt: skip
        yield archive, numbers


@pytest.fixture
def drawn(monkeypatch):
    """What was drawn again, with whether heads were to be hidden; nothing is encoded."""
    found = []

    def write(path, filmed, *, hide_head, private):
        assert private
        found.append(("drawn", filmed.clip.path.name, filmed.stroke.number, hide_head))
        path.write_bytes(b"drawn")
        return strokes_in_step.plan_overlay(filmed, hide_head=hide_head)

    def hide(source, target, overlay, seen, *, px_per_cm, private):
        assert private
        found.append(("hidden", px_per_cm > 0, len(seen.times_s) > 20))
        target.write_bytes(b"hidden")
        return evolve(overlay, heads_hidden=True)

    def join(path, before, after, *, private):
        assert private
        parts = [each.read_bytes()[:8] for each, _ in (before, after)]
        found.append(("joined", *(each if each in (b"drawn", b"hidden") else b"as kept" for each in parts)))
        path.write_bytes(b"joined")

    monkeypatch.setattr(strokes_in_step, "write_overlay_clip", write)
    monkeypatch.setattr(strokes_in_step, "hide_overlay_heads", hide)
    monkeypatch.setattr(strokes_in_step, "write_side_by_side", join)
    return found


def shown(folder):
    return ShownLesson(lesson=read_result_folder(folder))


def test_a_comparison_of_folders_holds_both_overlay_clips_in_one(folders, tmp_path):
    services.compare(*folders[:2], tmp_path / "shown", today=TODAY)
    page = (tmp_path / "shown" / "comparison.html").read_text(encoding="utf-8")
    assert (tmp_path / "shown" / JOINED).stat().st_size > 10_000
    assert JOINED in page
    assert NONE not in page


def test_heads_are_hidden_in_the_clips_of_folders_where_that_is_wished(folders, drawn):
    assert join_overlays(*map(shown, folders[:2]), hide_heads=True) == {VIEW: b"joined"}
    assert drawn == [("hidden", True, True), ("hidden", True, True), ("joined", b"hidden", b"hidden")]


def test_what_a_document_says_of_hidden_heads_is_not_relied_on_where_they_are_to_be_hidden(folders, drawn):
    sides = [shown(folder) for folder in folders[:2]]
    hidden = evolve(sides[0], lesson=evolve(sides[0].lesson, record=evolve(sides[0].lesson.record, faces_hidden=True)))
    join_overlays(hidden, sides[1], hide_heads=False)
    assert drawn == [("joined", b"as kept", b"as kept")]
    drawn.clear()
    join_overlays(hidden, sides[1], hide_heads=True)
    assert drawn == [("hidden", True, True), ("hidden", True, True), ("joined", b"hidden", b"hidden")]


def test_an_overlay_clip_of_other_events_or_without_what_was_seen_is_not_taken(folders, drawn, tmp_path):
    other = shutil.copytree(folders[1], tmp_path / "other")
    shutil.copy(folders[2], other / f"stroke_{VIEW}.mp4")
    assert join_overlays(shown(folders[0]), shown(other), hide_heads=False) == {}
    kept = shown(folders[0])
    bare = ShownLesson(lesson=evolve(kept.lesson, names=kept.lesson.names - {ARRAYS}))
    assert join_overlays(bare, kept, hide_heads=False) == {}
    assert drawn == []


def test_lessons_of_the_archive_are_drawn_again_and_heads_hidden_where_that_is_wished(
    archived, folders, drawn, tmp_path
):
    archive, numbers = archived
    assert not any(name.startswith("stroke_") for name in load_lesson(archive, numbers[0]).names)
    services.compare(*numbers, tmp_path / "shown", today=TODAY, archive=archive)
    assert (tmp_path / "shown" / JOINED).read_bytes() == b"joined"
    part = ("drawn", f"{VIEW}.mp4", 2, False)
    assert drawn == [part, part, ("joined", b"drawn", b"drawn")]
    drawn.clear()
    lessons = [open_lesson(archive, number, today=TODAY) for number in numbers]
    with filed_clips(archive, numbers[0], today=TODAY) as clips:
        sides = ShownLesson(lesson=lessons[0], clips=clips), shown(folders[1])
        join_overlays(*sides, hide_heads=True)
    assert drawn == [("drawn", f"{VIEW}.mp4", 2, True), ("hidden", True, True), ("joined", b"drawn", b"hidden")]


def test_the_clips_of_a_filed_lesson_stay_after_it_was_put_right_until_the_consent_goes(
    archived, folders, drawn, tmp_path
):
    archive, numbers = archived
    again = shutil.copytree(folders[0], tmp_path / "again")
    change(again, lambda document: document["versions"].update(measured_again=str(TODAY)))
    made = file_lesson(archive, 1, read_result_folder(again), day=TODAY, moment="before", today=TODAY)
    assert load_first_and_newest(archive, made) == (numbers[1], made)  # the last one of the same clips
    assert load_lesson(archive, made).clips == 0  # they are kept with the first result
    assert views_with_filed_clips(archive, made, today=TODAY) == {VIEW}
    with filed_clips(archive, made, today=TODAY) as clips:
        assert {view: path.read_bytes() for view, path in clips.items()} == {VIEW: folders[2].read_bytes()}
    withdraw_consent(archive, 1, scopes=["faces"], on=TODAY)
    assert views_with_filed_clips(archive, made, today=TODAY) == frozenset()
    with filed_clips(archive, made, today=TODAY) as clips:
        assert clips == {}
    services.compare(folders[0], numbers[1], tmp_path / "shown", today=TODAY, archive=archive)
    assert not list((tmp_path / "shown").glob("*.mp4"))
    assert NONE in (tmp_path / "shown" / "comparison.html").read_text(encoding="utf-8")
    withdraw_consent(archive, 1, scopes=["measures"], on=TODAY)
    with pytest.raises(NotAllowed, match="measures"):
        views_with_filed_clips(archive, made, today=TODAY)
    assert drawn == []
