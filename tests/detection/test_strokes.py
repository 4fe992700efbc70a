"""What is seen of strokes in the sample clips, whole and with faults that are made.

The faults are made in small pictures; the student in them comes from the recorded track, so that no model
runs. One test goes the whole way, models included, over every third frame.
"""

import sys
import threading
from contextlib import nullcontext
from pathlib import Path

import cv2
import numpy as np
import pytest
from attrs import evolve

sys.path.insert(0, str(Path(__file__).parent))
sys.path.insert(0, str(Path(__file__).parents[1] / "clips"))

from tracked_samples import clip_of, detection_of, result_of, track_of, truth_of
from written_clips import write_clip

from putt_posture.clips import iterate_frames, read_clip
from putt_posture.detection import stroke_frames
from putt_posture.detection import strokes as looked
from putt_posture.detection.strokes import detect_strokes
from putt_posture.landmarks import EveryFrame
from putt_posture.values import HAND_POINTS, LANDMARK_INDEX, STROKE_EVENTS, Estimate

SCALE = 0.375
VIEW = "face_on"
STROKE = truth_of("before")["strokes"][0]
HANDS = [LANDMARK_INDEX[f"{side}_{part}"] for side in ("left", "right") for part in HAND_POINTS]


def true_events(seen, **_):
    return {
        name: Estimate(value=STROKE[f"{name}_s"], standard_uncertainty=0.01, unit="s", view=VIEW)
        for name in STROKE_EVENTS
    }


def true_times(seen, **_):
    return {view: [true_events(stroke) for stroke in each.strokes] for view, each in seen.items()}, None


class TrackedFollower:
    """In place of the model: the student as in the track, not seen in `lost_s`."""

    lost_s = (np.inf, np.inf)

    def __init__(self, model, clip, track, *, start_s, stop_s):
        self.clip, self.track, self.times, self.points = clip, track, [], []

    def push(self, frame):
        assert frame.picture.shape[:2] == (self.clip.height, self.clip.width)
        flat = self.track.points_px.reshape(len(self.track.times_s), -1)
        points = np.array([np.interp(frame.time_s, self.track.times_s, part) for part in flat.T]).reshape(33, 2)
        if self.lost_s[0] <= frame.time_s <= self.lost_s[1]:
            points[:] = np.nan
        self.times.append(frame.time_s)
        self.points.append(points)
        return points

    def finish(self):
        points = np.stack(self.points)
        some = np.where(np.isfinite(points[..., 0]), 1.0, np.nan)
        return EveryFrame(times_s=np.array(self.times), points_px=points, visibility=some, depth=some, swapped=0)


@pytest.fixture
def without_models(monkeypatch):
    monkeypatch.setattr(stroke_frames, "EveryFrameFollower", TrackedFollower)
    monkeypatch.setattr(looked, "open_pose_model", lambda *_, **__: nullcontext())
    monkeypatch.setattr(looked, "time_strokes", true_times)
    monkeypatch.setattr(looked, "look_at_events", lambda model, clip, stroke, events, *, keep_stills: stroke)


@pytest.fixture(scope="module")
def halves():
    """The frames of the sample clip until after the stroke, made small, and their times."""
    frames = list(iterate_frames(clip_of("before", VIEW), max_side=480, stop_s=3.9))
    return [frame.picture for frame in frames], [frame.time_s for frame in frames]


@pytest.fixture
def strokes_in(tmp_path, without_models):
    """Return a function that writes pictures as a clip and returns what is seen of the strokes in it."""

    def look(pictures, times, *, handed="right", people=1, stop_s=None):
        path = write_clip(
            tmp_path / "faulty.mp4", pictures, times_s=times, options={"crf": "18", "preset": "ultrafast"}
        )
        clip = read_clip(path, view=VIEW)
        if stop_s is not None:
            clip = evolve(clip, duration_s=stop_s)
        track = evolve(track_of("before", VIEW, scale=SCALE), people=people)
        detection = detection_of("before", VIEW, clip=clip, track=track, scale=SCALE)
        return detect_strokes({VIEW: detection}, {VIEW: result_of(detection)}, handed=handed)[VIEW]

    return look


def test_a_still_and_a_detection_that_was_stored_have_no_stroke_and_say_why(without_models) -> None:
    detection = detection_of("before", VIEW)
    result = {VIEW: result_of(detection)}
    still = evolve(detection, clip=evolve(detection.clip, kind="still"))
    seen = detect_strokes({VIEW: still}, result, handed="right")[VIEW]
    assert (seen.strokes, seen.why_none) == ((), "A still shows no stroke.")
    seen = detect_strokes({VIEW: evolve(detection, track=None)}, result, handed="right")[VIEW]
    assert seen.why_none.startswith("The clip itself is needed")


def test_a_clip_in_which_the_student_only_stands_has_no_stroke_and_says_why(without_models) -> None:
    detection = detection_of("before", VIEW)
    early = detection.track.times_s < STROKE["start_s"] - 0.2
    early_motion = detection.track.motion_times_s < STROKE["start_s"] - 0.2
    track = evolve(
        detection.track,
        **{name: getattr(detection.track, name)[early] for name in ("times_s", "points_px", "visibility", "boxes_px")},
        **{name: getattr(detection.track, name)[early_motion] for name in ("motion_times_s", "motion")},
    )
    seen = detect_strokes({VIEW: evolve(detection, track=track)}, {VIEW: result_of(detection)}, handed="right")[VIEW]
    assert seen.strokes == ()
    assert seen.why_none.startswith("No stroke was seen in the clip")


@pytest.mark.parametrize("hidden_s", [(1.5, 3.0), None])
def test_a_clip_without_a_stroke_says_when_the_student_was_hidden(without_models, hidden_s) -> None:
    detection = detection_of("before", VIEW)
    boxes = detection.track.boxes_px.copy()
    if hidden_s is not None:
        boxes[(detection.track.times_s > hidden_s[0]) & (detection.track.times_s < hidden_s[1])] = np.nan
    flat = evolve(detection.track, boxes_px=boxes, motion=np.zeros_like(detection.track.motion))
    track = evolve(flat, points_px=np.repeat(flat.points_px[:1], len(flat.times_s), axis=0))
    seen = detect_strokes({VIEW: evolve(detection, track=track)}, {VIEW: result_of(detection)}, handed="right")[VIEW]
    assert seen.why_none.startswith("No stroke was seen in the clip")
    said = "The student was not seen between 1.5 and 3.0 s; a stroke there is missed."
    assert (said in seen.why_none) == (hidden_s is not None)


def test_a_swing_hidden_by_the_motion_of_a_passer_by_is_not_found_and_the_reason_is_given(without_models) -> None:
    # Down the line somebody walks past until 6.2 s; the backswing starts at 5.9 s, and the clip face on shows it.
    detection, start_s = (
        detection_of("filmed_badly", "down_the_line"),
        truth_of("filmed_badly")["strokes"][0]["start_s"],
    )
    track = evolve(detection.track, people=2)
    times_s, motion = track.motion_times_s, track.motion
    walking = motion[(times_s > start_s - 0.5) & (times_s < start_s + 0.3)].mean()
    swinging = motion[(times_s > start_s + 0.5) & (times_s < start_s + 1.2)].mean()
    assert walking > 5 * swinging
    found = evolve(detection, track=track)
    seen = detect_strokes({"down_the_line": found}, {"down_the_line": result_of(found)}, handed="right")[
        "down_the_line"
    ]
    assert seen.strokes == ()
    assert seen.why_none.startswith("No stroke was seen in the clip")
    assert "Someone else was in the picture, and what moves around the student may hide a swing." in seen.why_none


def test_a_sound_clip_gives_its_stroke_without_a_word(strokes_in, halves) -> None:
    pictures, times = halves
    seen = strokes_in(pictures, times)
    (stroke,) = seen.strokes
    assert (seen.why_none, seen.notes, stroke.notes) == ("", (), ())
    assert stroke.address_s[1] <= STROKE["start_s"]
    assert stroke.address_s[1] - stroke.address_s[0] > 0.8
    assert stroke.times_s[-1] > STROKE["finish_s"] + 0.3
    np.testing.assert_allclose(np.diff(stroke.times_s), 1 / 30, atol=1e-3)
    np.testing.assert_array_equal(stroke.camera_px, np.tile(np.eye(2, 3), (len(stroke.times_s), 1, 1)))
    assert stroke.camera_sd_px == 0.0


@pytest.mark.parametrize("threads", [1, 2])
def test_the_putter_is_looked_for_in_each_frame_in_turn_with_the_students_points(
    strokes_in, halves, monkeypatch, threads
) -> None:
    pushed = []

    class Club:
        def __init__(self, scene, still, *, hands_px):
            pass

        def push(self, frame, points_px, camera_px):
            pushed.append((frame.time_s, points_px.copy(), threading.current_thread()))

        def finish(self):
            return None

    monkeypatch.setattr(stroke_frames, "ClubFollower", Club)
    monkeypatch.setattr(stroke_frames, "threads_for", lambda wanted: min(wanted, threads))
    (stroke,) = strokes_in(*halves).strokes
    assert [time_s for time_s, _, _ in pushed] == stroke.times_s.tolist()
    np.testing.assert_array_equal(np.stack([points for _, points, _ in pushed]), stroke.points_px)
    assert len({thread for _, _, thread in pushed}) == 1


def test_an_error_in_looking_for_the_putter_comes_out(strokes_in, halves, monkeypatch) -> None:
    class Club:
        def __init__(self, scene, still, *, hands_px):
            pass

        def push(self, frame, points_px, camera_px):
            raise MemoryError("The crop does not fit.")

    monkeypatch.setattr(stroke_frames, "ClubFollower", Club)
    with pytest.raises(MemoryError, match="does not fit"):
        strokes_in(*halves)


def test_doubled_frames_are_left_out_and_said(strokes_in, halves) -> None:
    pictures, times = halves
    doubled = [number for number in range(1, len(pictures)) if number % 5 == 0]
    shown = [pictures[number - 1] if number in doubled else picture for number, picture in enumerate(pictures)]
    (stroke,) = strokes_in(shown, times).strokes
    swung = [
        times[number]
        for number in doubled
        if STROKE["start_s"] + 0.1 < times[number] < STROKE["finish_s"] - 0.1
        and abs(times[number] - STROKE["top_s"]) > 0.1  # there true frames hardly differ, and one more does no harm
    ]
    assert np.abs(stroke.times_s[:, None] - np.array(swung)).min(axis=0).min() > 0.02
    assert any("repeat the one before; they were left out" in note for note in stroke.notes)


def test_missing_frames_are_said_with_the_longest_gap(strokes_in, halves) -> None:
    pictures, times = halves
    kept = [number for number in range(len(pictures)) if number not in (66, 67, 74, 80)]
    (stroke,) = strokes_in([pictures[number] for number in kept], [times[number] for number in kept]).strokes
    assert "4 frames are missing; the longest gap is 100 ms, so that the times are less certain." in stroke.notes


def test_a_shaky_camera_is_taken_out_and_said(strokes_in, halves) -> None:
    pictures, times = halves
    sway = 6.0 * np.stack([np.sin(4 * np.array(times)), np.cos(5 * np.array(times))], axis=1)
    shaken = [
        cv2.warpAffine(
            picture, np.array([[1, 0, du], [0, 1, dv]]), picture.shape[1::-1], borderMode=cv2.BORDER_REPLICATE
        )
        for picture, (du, dv) in zip(pictures, sway, strict=True)
    ]
    (stroke,) = strokes_in(shaken, times).strokes
    moved = sway[np.searchsorted(times, stroke.times_s - 1e-3)]
    at_still = sway[int(np.argmin(np.abs(np.array(times) - detection_of("before", VIEW).still.time_s)))]
    middle = np.array([135.0, 240.0])
    place = middle + moved
    there = np.einsum("nij,nj->ni", stroke.camera_px[:, :, :2], place) + stroke.camera_px[:, :, 2]
    off = there - (middle + at_still)
    assert np.sqrt(np.mean(off**2)) < 0.15  # pixels of the small size
    assert 0 < stroke.camera_sd_px < 1.0
    assert any(note.startswith("The camera moved, by ") for note in stroke.notes)


def test_a_camera_that_swings_about_leaves_the_stroke_out_with_a_sentence(strokes_in, halves) -> None:
    pictures, times = halves
    swung = [
        np.roll(picture, round(105 * np.sin(9 * time_s)), axis=1)
        for picture, time_s in zip(pictures, times, strict=True)
    ]
    seen = strokes_in(swung, times)
    assert seen.strokes == ()
    assert "the camera moved too much to be taken out" in seen.why_none or "changes at once" in seen.why_none


def test_a_cut_within_the_stroke_leaves_it_out_with_a_sentence(strokes_in, halves) -> None:
    pictures, times = halves
    cut = next(number for number, time_s in enumerate(times) if time_s > STROKE["top_s"])
    other = [np.ascontiguousarray(picture[::-1, ::-1]) for picture in pictures[cut:]]
    seen = strokes_in([*pictures[:cut], *other], times)
    assert seen.strokes == ()
    assert f"at {times[cut]:.2f} s, within it, the whole picture changes at once, as at a cut" in seen.why_none


def test_what_comes_after_a_cut_behind_the_finish_is_left_out(strokes_in, halves) -> None:
    pictures, times = halves
    cut = next(number for number, time_s in enumerate(times) if time_s > STROKE["finish_s"] + 0.2)
    other = [np.ascontiguousarray(picture[::-1, ::-1]) for picture in pictures[cut:]]
    (stroke,) = strokes_in([*pictures[:cut], *other], times).strokes
    assert stroke.times_s[-1] == pytest.approx(times[cut - 1], abs=1e-3)


def test_a_clip_that_ends_before_impact_leaves_the_stroke_out_and_one_that_ends_after_it_does_not(
    strokes_in, halves
) -> None:
    pictures, times = halves
    seen = strokes_in(pictures, times, stop_s=STROKE["impact_s"] - 0.2)
    assert seen.strokes == ()
    assert "the clip ends before its impact" in seen.why_none
    (stroke,) = strokes_in(pictures, times, stop_s=STROKE["impact_s"] + 0.1).strokes
    assert any("The clip ends before the stroke does" in note for note in stroke.notes)


def test_a_student_who_is_hidden_for_a_moment_is_said_and_one_who_is_lost_is_not_measured(
    strokes_in, halves, monkeypatch
) -> None:
    pictures, times = halves
    monkeypatch.setattr(TrackedFollower, "lost_s", (STROKE["start_s"] - 0.01, STROKE["start_s"] + 0.19))
    (stroke,) = strokes_in(pictures, times, people=2).strokes
    (note,) = stroke.notes
    assert note.startswith("The student was not seen in 6 of ")
    assert note.endswith(" Someone else was in the picture.")
    monkeypatch.setattr(TrackedFollower, "lost_s", (STROKE["start_s"], STROKE["impact_s"]))
    seen = strokes_in(pictures, times)
    assert seen.strokes == ()
    assert "the student was seen in only " in seen.why_none


def test_hands_that_first_move_toward_the_target_are_said(strokes_in, halves) -> None:
    (stroke,) = strokes_in(*halves, handed="left").strokes
    assert stroke.notes == ("The hands first move toward the target. Check that the student putts left-handed.",)


def swing_at(times):
    """Return how far the shoulders have turned, as `sample_clips/golfers/stroke.py` renders it; 1 = to the top."""
    back, through = STROKE["top_s"] - STROKE["start_s"], STROKE["impact_s"] - STROKE["top_s"]
    follow = STROKE["finish_s"] - STROKE["impact_s"]
    since = times - STROKE["start_s"]
    return np.select(
        [since < 0, since < back, since < back + through],
        [0.0, -(1 - np.cos(np.pi * since / back)) / 2, -np.cos(np.pi / 2 * (since - back) / through)],
        1.2 * np.sin(np.pi / 2 * np.minimum((since - back - through) / follow, 1)),
    )


def test_the_whole_way_follows_the_hands_along_the_swing_that_was_rendered(monkeypatch) -> None:
    monkeypatch.setattr(stroke_frames, "choose_frames", lambda times, *_, **__: times[::4])
    monkeypatch.setattr(looked, "time_strokes", true_times)
    shares = []
    detection = detection_of("before", VIEW)
    seen = detect_strokes(
        {VIEW: detection},
        {VIEW: result_of(detection)},
        handed="right",
        progress=lambda what, done: shares.append(done),
    )[VIEW]
    (stroke,) = seen.strokes
    assert np.isfinite(stroke.points_px).all()
    hands = stroke.points_px[:, HANDS].mean(axis=1)[:, 0]
    turned = swing_at(stroke.times_s)
    before_finish = stroke.times_s <= STROKE["finish_s"]
    rest = hands - np.polyval(np.polyfit(turned[before_finish], hands[before_finish], 3), turned)
    assert np.ptp(hands) > 60  # pixels: the hands swing 17 cm
    assert np.std(rest[before_finish]) < 1.5  # pixels: 0.35 cm
    assert stroke.event_names == STROKE_EVENTS
    assert stroke.at_events.setup_index.tolist() == [0, 1, 2, 3]
    np.testing.assert_allclose(stroke.at_events.times_s, [STROKE[f"{name}_s"] for name in STROKE_EVENTS], atol=0.06)
    assert [still.time_s for still in stroke.stills] == stroke.at_events.times_s.tolist()
    assert stroke.at_events.outlines.any()
    assert not np.array_equal(stroke.at_events.outlines, stroke.at_events.masks)
    assert shares == sorted(shares)
    assert shares[-1] == pytest.approx(1.0)
