"""Clips with faults, measured whole: each fault ends in a sentence or does no harm, and nothing is wrong in silence.

`tests/detection/test_strokes.py` guards the same sentences without models.
"""

import sys
from pathlib import Path

import numpy as np
import pytest
from faulty_clips import again_at_once, covered, shaken, take_of, with_balls

sys.path.insert(0, str(Path(__file__).parent / "clips"))
sys.path.insert(0, str(Path(__file__).parent / "detection"))

from tracked_samples import truth_of
from written_clips import write_clip

from putt_posture import Student, measure_lesson
from putt_posture import lesson as pipeline
from putt_posture.detection.detect import detect_in_clips
from putt_posture.errors import StudentNotFound
from putt_posture.values import STROKE_EVENTS

pytestmark = pytest.mark.whole

TRUTH = truth_of("before")
STROKE = TRUTH["strokes"][0]
STUDENT = Student(stature_cm=TRUTH["student"]["stature_cm"], handed="right")
MOST_SIGMAS = 3.0
LENGTHS = ("putter_back", "putter_through", "hands_back", "hands_through")
HEAD_CM, HANDS_CM = 1.5, 0.8
"""What the targets allow lengths; a fault may move them by as much from those of the sound clip."""


@pytest.fixture(scope="module", autouse=True)
def detected_afresh():
    """Detect each clip anew: what the run keeps for other tests has lost the way of the student through the clip."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(pipeline, "detect_in_clips", detect_in_clips)
        yield


@pytest.fixture(scope="module")
def take():
    return take_of("before", "face_on", stop_s=4.2)


@pytest.fixture
def measure(tmp_path):
    """Return a function that writes pictures as a clip and measures it."""

    def of(pictures, times, *, view="face_on", **given):
        path = write_clip(
            tmp_path / f"{view}.mp4",
            [np.ascontiguousarray(picture) for picture in pictures],
            times_s=times,
            options={"crf": "20", "preset": "ultrafast"},
        )
        return measure_lesson(student=STUDENT, **{view: path}, **given)

    return of


@pytest.fixture(scope="module")
def sound(take, tmp_path_factory):
    path = write_clip(
        tmp_path_factory.mktemp("sound") / "face_on.mp4",
        take[0],
        times_s=take[1],
        options={"crf": "20", "preset": "ultrafast"},
    )
    return measure_lesson(student=STUDENT, face_on=path)


def strokes_of(lesson, view="face_on"):
    return lesson.views[view].strokes


def off_by_sigmas(stroke, *, later_s=0.0):
    """Return how far each event is from the truth, in its standard uncertainties."""
    return {
        name: (stroke.events[name].value - STROKE[f"{name}_s"] - later_s) / stroke.events[name].standard_uncertainty
        for name in STROKE_EVENTS
    }


def assert_measured_as_sound(lesson, sound, *, may_lack=()):
    """Check that the stroke's times are true, and its lengths those of the sound clip or absent with the reason."""
    (stroke,) = lesson.strokes.of["face_on"]
    assert stroke.kind == "putt"
    off = off_by_sigmas(stroke)
    assert max(map(abs, off.values())) <= MOST_SIGMAS, off
    for name in LENGTHS:
        numbers = lesson.strokes.numbers[name], sound.strokes.numbers[name]
        if name in may_lack and not numbers[0]:
            assert numbers[0].absent.endswith(" through the stroke.")
            continue
        assert all(numbers), (name, numbers[0].absent)
        most = HEAD_CM if name.startswith("putter") else HANDS_CM
        assert numbers[0].value == pytest.approx(numbers[1].value, abs=most), name


def assert_not_measured(lesson, *said):
    """Check that no number of a stroke is given and the reason is said; the setup is measured all the same."""
    assert lesson.strokes.of["face_on"] == ()
    assert not any(lesson.strokes.numbers.values())
    assert all(number.absent for number in lesson.strokes.numbers.values())
    for part in said:
        assert part in strokes_of(lesson).why_none
    assert lesson.posture["shaft_lean"]


def test_a_sound_clip_is_measured_without_a_word(sound):
    assert_measured_as_sound(sound, sound)
    assert strokes_of(sound).strokes[0].notes == ()
    assert sound.strokes.warnings == ()


def test_a_camera_held_by_hand_is_taken_out_and_said(measure, take, sound):
    lesson = measure(shaken(*take), take[1])
    assert_measured_as_sound(lesson, sound)
    assert any(note.startswith("The camera moved, by ") for note in strokes_of(lesson).strokes[0].notes)


def test_a_student_who_is_hidden_through_the_stroke_is_not_measured_and_it_is_said_when(measure, take):
    lesson = measure(covered(*take, from_s=STROKE["start_s"] + 0.1, until_s=STROKE["impact_s"] + 0.2), take[1])
    assert_not_measured(lesson, "No stroke was seen in the clip", "The student was not seen between")


def test_something_that_passes_close_in_front_leaves_the_stroke_out_with_a_sentence(measure, take):
    middle_s = (STROKE["start_s"] + STROKE["impact_s"]) / 2
    lesson = measure(covered(*take, from_s=middle_s - 0.4, until_s=middle_s + 0.35), take[1])
    assert_not_measured(lesson, "the whole picture changes at once", "with nothing in front of the student")


def test_a_clip_cut_to_another_take_within_the_stroke_leaves_it_out_with_a_sentence(measure, take):
    pictures, times = take
    at = int(np.searchsorted(times, STROKE["top_s"] - 0.15))
    other, _ = take_of("after", "face_on", stop_s=4.2)
    lesson = measure([*pictures[:at], *other[at:]], times)
    assert_not_measured(lesson, f"at {times[at]:.2f} s", "as at a cut")


def test_a_part_cut_out_of_the_stroke_leaves_it_out_with_a_sentence(measure, take):
    pictures, times = take
    kept = [index for index, time_s in enumerate(times) if not STROKE["top_s"] - 0.27 < time_s < STROKE["top_s"] + 0.18]
    lesson = measure([pictures[index] for index in kept], [number / 30 for number in range(len(kept))])
    assert_not_measured(lesson)
    assert strokes_of(lesson).why_none


def test_frames_lost_around_impact_are_said_and_the_times_stay_true(measure, take, sound):
    pictures, times = take
    kept = [index for index, time_s in enumerate(times) if abs(time_s - STROKE["impact_s"]) > 0.1]
    lesson = measure([pictures[index] for index in kept], [times[index] for index in kept])
    assert_measured_as_sound(lesson, sound, may_lack=("putter_through", "hands_through"))
    assert any("frames are missing; the longest gap is 233 ms" in note for note in strokes_of(lesson).strokes[0].notes)


def test_doubled_frames_are_left_out_and_said(measure, take, sound):
    pictures, times = take
    shown = [pictures[index - (index % 4 == 0 and index > 0)] for index in range(len(pictures))]
    lesson = measure(shown, times)
    assert_measured_as_sound(lesson, sound)
    assert any("repeat the one before; they were left out" in note for note in strokes_of(lesson).strokes[0].notes)


@pytest.mark.parametrize("view", ["face_on", "down_the_line"])
def test_a_ball_out_of_the_picture_leaves_it_open_whether_it_was_putted(measure, view):
    pictures, times = take_of("before", view, stop_s=4.2)
    cut = np.s_[:1000] if view == "face_on" else np.s_[:, :440]
    lesson = measure([picture[cut] for picture in pictures], times, view=view)
    (stroke,) = lesson.strokes.of[view]
    assert stroke.kind == "unsure"
    assert "No ball was found" in strokes_of(lesson, view).strokes[0].why
    assert any("Whether the ball left could not be seen" in warning for warning in lesson.warnings)
    assert not lesson.strokes.numbers["start_direction"]
    told = {name: event for name, event in stroke.events.items() if event}
    assert told or view == "down_the_line"
    assert all(abs(each.value - STROKE[f"{name}_s"]) <= 3 * each.standard_uncertainty for name, each in told.items())


def test_other_balls_are_not_taken_for_the_one_that_is_putted(measure, take, sound):
    ball = TRUTH["views"]["face_on"]["joints_px"]["ball"]
    lesson = measure(with_balls(take[0], ball, [(0, 45), (-130, -10), (150, 0)]), take[1])
    assert_measured_as_sound(lesson, sound)


def test_a_second_putt_at_once_leaves_the_first_as_it_is_and_is_not_timed_itself(measure, take):
    pictures, times = take
    order = again_at_once(times, begin_s=STROKE["start_s"] - 0.15, end_s=STROKE["finish_s"] + 0.1)
    lesson = measure([pictures[index] for index in order], [number / 30 for number in range(len(order))])
    first, *others = lesson.strokes.of["face_on"]
    assert max(map(abs, off_by_sigmas(first).values())) <= MOST_SIGMAS
    again_s = (order.index(len(pictures) - 1) - len(pictures) + 1) / 30
    for other in others:
        for name, event in other.events.items():
            if event:
                assert abs(event.value - STROKE[f"{name}_s"] - again_s) <= 3 * event.standard_uncertainty, name
            else:
                assert event.absent
    assert any("it goes on back and forth without a rest" in warning for warning in lesson.warnings)


def test_a_second_person_putting_is_asked_about_and_the_one_who_is_pointed_at_is_measured(measure, take, sound):
    other, _ = take_of("after", "face_on", stop_s=4.2)
    both = [np.hstack([one, two]) for one, two in zip(take[0], other, strict=True)]
    with pytest.raises(StudentNotFound, match="two people could be the student"):
        measure(both, take[1])
    lesson = measure(both, take[1], student_at={"face_on": (367.0, 500.0)})
    assert_measured_as_sound(lesson, sound)
