"""The overlay clips of a lesson: one for each view with a shown stroke, and a sentence where one cannot be made."""

import sys
from pathlib import Path

import pytest
from attrs import evolve, frozen

sys.path.insert(0, str(Path(__file__).parents[1] / "strokes"))

from invented import make_lesson
from made_up import make_strokes, no_strokes
from made_up_seen import with_seen_strokes

from putt_posture.errors import UsageError
from putt_posture.services import overlays
from putt_posture.services.overlays import draw_overlays, draw_overlays_again


@pytest.fixture(scope="module")
def lesson():
    return evolve(with_seen_strokes(make_lesson(), count=1, stills=False), strokes=make_strokes())


@pytest.fixture
def drawn(monkeypatch):
    """What was drawn, with whether heads were to be hidden; nothing is encoded."""
    found = []

    def draw(filmed, *, hide_head):
        found.append((filmed.stroke.view, filmed.stroke.number, filmed.seen.view, filmed.px_per_cm > 0, hide_head))
        return filmed.stroke.view.encode(), None

    monkeypatch.setattr(overlays, "draw_overlay_clip", draw)
    return found


def test_each_view_gets_the_clip_of_its_shown_stroke(lesson, drawn):
    same, clips = draw_overlays(lesson)
    assert clips == {"down_the_line": b"down_the_line", "face_on": b"face_on"}
    assert same is lesson
    assert drawn == [(view, 1, view, True, False) for view in lesson.strokes.shown]


def test_heads_are_hidden_where_they_are_hidden_in_the_lesson(lesson, drawn):
    draw_overlays(evolve(lesson, faces_hidden=True))
    assert [each[-1] for each in drawn] == [True, True]


def test_a_clip_that_cannot_be_made_is_named_and_loses_nothing_else(lesson, monkeypatch):
    def draw(filmed, *, hide_head):
        if filmed.stroke.view == "face_on":
            raise UsageError("It is too short.")
        return b"clip", None

    monkeypatch.setattr(overlays, "draw_overlay_clip", draw)
    told, clips = draw_overlays(lesson)
    assert list(clips) == ["down_the_line"]
    assert told.warnings == (*lesson.warnings, "Face on: no clip of the stroke was made. It is too short.")


@pytest.mark.parametrize("strokes", [None, no_strokes()])
def test_without_a_stroke_there_is_no_clip(lesson, drawn, strokes):
    bare = evolve(lesson, strokes=strokes)
    assert draw_overlays(bare) == (bare, {})
    assert drawn == []


def test_without_its_clip_an_overlay_clip_stays_where_its_events_did_not_move(lesson, drawn):
    kept = Kept(record=lesson, names={"stroke_face_on.mp4"}, read=lambda name: name.encode())
    assert draw_overlays_again(lesson, {}, kept=kept) == {"face_on": b"stroke_face_on.mp4"}
    (stroke,) = lesson.strokes.of["face_on"]
    moved = evolve(stroke, events={**stroke.events, "top": evolve(stroke.events["top"], value=1.5)})
    other = evolve(lesson, strokes=evolve(lesson.strokes, of={**lesson.strokes.of, "face_on": (moved,)}))
    for changed in (other, evolve(lesson, faces_hidden=True), evolve(lesson, strokes=no_strokes())):
        assert draw_overlays_again(changed, {}, kept=kept) == {}
    assert drawn == []


@frozen
class Kept:
    """A stored lesson as far as it is looked at."""

    record: object
    names: set
    read: object
