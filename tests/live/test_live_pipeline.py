"""Frames that come faster than they are worked on, pictures that are none, and errors that are told."""

import threading

import pytest
from camera_frames import as_jpeg, read_camera

from putt_posture.errors import UsageError
from putt_posture.fitting import fit_putter
from putt_posture.live import LiveLesson, LivePipeline, decode_frame
from putt_posture.live.pictures import LARGEST_PX
from putt_posture.live.pipeline import Newest
from putt_posture.values import Student

STUDENT = Student(stature_cm=173, handed="right")
PATIENCE_S = 60


@pytest.fixture(scope="module")
def lesson():
    return LiveLesson(student=STUDENT, view="down_the_line", fit=fit_putter(None, STUDENT), without_putter=True)


def test_only_the_newest_thing_is_taken_and_the_others_are_counted():
    place = Newest()
    assert [place.put(number) for number in (1, 2, 3)] == [False, True, True]
    assert place.take() == 3
    place.close()
    assert place.take() is None


def test_whoever_waits_is_woken_when_the_place_is_closed():
    place, got = Newest(), []
    waiting = threading.Thread(target=lambda: got.append(place.take()))
    waiting.start()
    place.close()
    waiting.join(5)
    assert got == [None]


def test_a_clip_goes_through_the_pipeline_and_comes_out_as_numbers(lesson):
    frames, told, done = read_camera("rebuild", "down_the_line", [(0.0, 1.6)]), [], threading.Event()

    def tell(outcome):
        told.append(outcome)
        if outcome.error or (outcome.shown and outcome.shown.steps):
            done.set()

    with LivePipeline(lesson, tell) as pipeline:
        time_s = 0.0
        for turn in range(2000):
            frame = frames[min(turn % (2 * len(frames)), 2 * len(frames) - 1 - turn % (2 * len(frames)))]
            jpeg, time_s = as_jpeg(frame), time_s + 0.05
            pipeline.offer(lambda jpeg=jpeg, time_s=time_s: decode_frame(jpeg, time_s=time_s))
            if done.wait(0.05):
                break
    assert not told[-1].error
    assert told[-1].frame.state == "followed"
    tilt = told[-1].shown.reading.posture["spine_tilt"]
    assert tilt.value == pytest.approx(23.3, abs=6)


def test_a_picture_that_is_none_ends_with_a_sentence(lesson):
    told, done = [], threading.Event()

    def tell(outcome):
        told.append(outcome)
        done.set()

    with LivePipeline(lesson, tell) as pipeline:
        pipeline.offer(lambda: decode_frame(b"GIF89a", time_s=0.0))
        assert done.wait(PATIENCE_S)
    assert told[0].error == "The camera sent no JPEG picture. Open the page again, or use another browser."


def test_a_fault_of_the_program_is_told_and_does_not_end_in_silence(lesson):
    told, done = [], threading.Event()

    def tell(outcome):
        told.append(outcome)
        done.set()

    with LivePipeline(lesson, tell) as pipeline:
        pipeline.offer(lambda: 1 / 0)
        assert done.wait(PATIENCE_S)
    assert "ZeroDivisionError" in told[0].error


@pytest.mark.parametrize("data", [b"", b"\xff\xd8\xff not a picture", b"BM" + bytes(100)])
def test_bytes_that_are_no_jpeg_are_refused(data):
    with pytest.raises(UsageError):
        decode_frame(data, time_s=0.0)


def test_a_picture_of_more_than_the_largest_size_is_refused():
    import cv2
    import numpy as np

    huge = cv2.imencode(".jpg", np.zeros((8, LARGEST_PX + 8, 3), dtype=np.uint8))[1].tobytes()
    with pytest.raises(UsageError, match=str(LARGEST_PX)):
        decode_frame(huge, time_s=0.0)
