"""Frames from any source, one after the other."""

from types import SimpleNamespace

import numpy as np

from putt_posture.clips import iterate_frames, read_clip, read_samples
from putt_posture.landmarks import PeopleStream, track_student
from putt_posture.landmarks.stream import LOOK_SIDE_PX
from putt_posture.landmarks.track import LOOKS_HZ
from putt_posture.values import Frame

SAME_PX = 1e-6
"""The same picture gives the same landmarks, but for rounding."""


def test_a_clip_streamed_by_hand_gives_what_tracking_gives(golfer, write_clip, small_model) -> None:
    """So that a loop of somebody else's, a page's or a camera's, finds the student where the program does."""
    clip = read_clip(write_clip([golfer["face_on"]] * 30, name="streamed"), view="face_on")
    track = track_student(clip)
    stream = PeopleStream(small_model, time_stretch=clip.time_stretch)
    seen = list(stream.watch(read_samples(clip, rate_hz=LOOKS_HZ, max_side=LOOK_SIDE_PX)))
    assert [frame.time_s for frame, _ in seen] == track.times_s.tolist()
    points = [people[0].points_px for _, people in seen]
    np.testing.assert_allclose(points, track.points_px, atol=SAME_PX)


def test_every_frame_of_a_clip_can_be_streamed(golfer, write_clip, small_model) -> None:
    clip = read_clip(write_clip([golfer["face_on"]] * 20, name="all"), view="face_on")
    seen = list(PeopleStream(small_model).watch(iterate_frames(clip, max_side=LOOK_SIDE_PX)))
    assert len(seen) == 20
    assert {len(people) for _, people in seen} == {1}


class Eyes:
    """A model that sees as many people as it is told to, and counts its looks."""

    def __init__(self, people: int) -> None:
        self.people = people
        self.looks = 0

    def find_people(self, _picture):
        self.looks += 1
        return [SimpleNamespace(moved=lambda **how: how)] * self.people


def camera(times):
    """Yield the frames of a camera at these times, for as long as somebody asks."""
    for time in times:
        yield Frame(time_s=time, picture=np.zeros((4, 3, 3), dtype=np.uint8), scale=0.5)


def everybody_looks(monkeypatch):
    asked = []
    monkeypatch.setattr(
        "putt_posture.landmarks.stream.find_all_people",
        lambda model, picture: asked.append(picture) or model.find_people(picture),
    )
    return asked


def test_a_camera_is_looked_at_frame_by_frame_as_it_comes(monkeypatch) -> None:
    """At 25 frames a second with a gap: each frame one look, and everybody is looked for once a second."""
    asked, eyes = everybody_looks(monkeypatch), Eyes(people=1)
    times = [*np.arange(0, 2, 0.04), 7.0]
    endless = PeopleStream(eyes).watch(camera(times))
    frame, people = next(endless)
    assert (frame.time_s, eyes.looks) == (0.0, 1)
    assert people == [{"scale": 2.0, "shift": (0, 0)}]
    assert len(list(endless)) == 50
    assert eyes.looks == 51
    assert len(asked) == 3


def test_while_two_are_there_everybody_is_looked_for_in_each_frame(monkeypatch) -> None:
    asked, eyes = everybody_looks(monkeypatch), Eyes(people=2)
    stream = PeopleStream(eyes, time_stretch=8.0)
    for frame in camera([0.0, 1.0, 2.0]):
        assert len(stream.push(frame)) == 2
    assert len(asked) == 3
