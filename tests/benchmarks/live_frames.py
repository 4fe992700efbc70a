"""Frames a second and the time from frame to screen, with a recorded clip as the camera.

    python tests/benchmarks/live_frames.py [--clip CLIP] [--view VIEW] [--seconds 20] [--height 480]

The clip is played at its own rate, each frame as the JPEG that a browser would send. Three rounds:

- bare: the small model alone, in video mode, one frame after the other;
- free: a frame is offered as soon as the last one was answered, which shows how many there could be;
- camera: frames come at the camera's rate, 30 a second; the lag is from the moment when a frame is there until its
  answer is, without the browser's own part (encoding and drawing, some 10 to 20 ms; the page shows the whole).

Ratios within one run count where other programs use the processors too.
"""

import argparse
import itertools
import os
import threading
import time
from pathlib import Path
from typing import Final

import cv2
import numpy as np

from putt_posture.clips import iterate_frames, read_clip
from putt_posture.fitting import fit_putter
from putt_posture.landmarks import open_pose_model
from putt_posture.live import LiveLesson, LivePipeline, decode_frame
from putt_posture.values import Student

CLIP: Final = Path(__file__).parents[2] / "sample_clips" / "before" / "down_the_line.mp4"
CAMERA_HZ: Final = 30.0
WARM_S: Final = 3.0
JPEG: Final = [cv2.IMWRITE_JPEG_QUALITY, 80]


def read_pictures(path: Path, view: str, *, height: int) -> list[bytes]:
    """Return the frames as JPEG, in a picture of 4 to 3 like that of a laptop's camera."""
    clip, pictures = read_clip(path, view=view), []
    width = height * 4 // 3
    for frame in iterate_frames(clip):
        scale = height / frame.picture.shape[0]
        small = cv2.resize(frame.picture, None, fx=scale, fy=scale, interpolation=cv2.INTER_AREA)
        left = (width - small.shape[1]) // 2
        wide = cv2.copyMakeBorder(small, 0, 0, left, width - small.shape[1] - left, cv2.BORDER_REPLICATE)
        pictures.append(cv2.imencode(".jpg", cv2.cvtColor(wide, cv2.COLOR_RGB2BGR), JPEG)[1].tobytes())
    return pictures


def time_model(pictures: list[bytes], *, seconds: float) -> list[float]:
    """Return the time of each look of the bare model, s."""
    taken = []
    with open_pose_model("small", people=1, outline=True, follows=True) as model:
        until = time.monotonic() + seconds
        for jpeg in itertools.cycle(pictures):
            picture = decode_frame(jpeg, time_s=0.0).picture
            begun = time.perf_counter()
            model.find_people(picture)
            taken.append(time.perf_counter() - begun)
            if time.monotonic() > until:
                return taken[5:]
    return taken


def play(pictures: list[bytes], lesson: LiveLesson, *, seconds: float, rate_hz: float | None) -> dict[str, float]:
    """Play the clip to the pipeline and return what was seen after it was warm."""
    answered, lags, readings, states = threading.Event(), [], [], []

    def tell(outcome) -> None:
        if outcome.error:
            raise SystemExit(outcome.error)
        lags.append((time.monotonic(), outcome.took_s))
        states.append(outcome.frame.state)
        if outcome.shown is not None and outcome.shown.reading.time_s not in readings[-1:]:
            readings.append(outcome.shown.reading.time_s)
        answered.set()

    begun = time.monotonic()
    with LivePipeline(lesson, tell) as pipeline:
        for number in itertools.count():
            now = time.monotonic() - begun
            if now > WARM_S + seconds:
                break
            # Forth and back, so that the student does not jump.
            turn = number % (2 * len(pictures) - 2)
            jpeg = pictures[min(turn, 2 * len(pictures) - 2 - turn)]
            answered.clear()
            pipeline.offer(lambda jpeg=jpeg, now=now: decode_frame(jpeg, time_s=now))
            if rate_hz is None:
                answered.wait(5)
            else:
                time.sleep(max((number + 1) / rate_hz - (time.monotonic() - begun), 0))
    warm = [(at, lag) for at, lag in lags if at - begun > WARM_S]
    took = np.array([lag for _, lag in warm])
    return {
        "frames a second": len(warm) / seconds,
        "lag, median ms": 1e3 * float(np.median(took)),
        "lag, 95 % ms": 1e3 * float(np.percentile(took, 95)),
        "numbers a second": len(readings) / (WARM_S + seconds),
        "followed, %": 100 * float(np.mean([state == "followed" for state in states[-len(warm) :]])),
    }


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--clip", type=Path, default=CLIP)
    parser.add_argument("--view", default="down_the_line")
    parser.add_argument("--seconds", type=float, default=20.0)
    parser.add_argument("--height", type=int, default=480)
    given = parser.parse_args()
    pictures = read_pictures(given.clip, given.view, height=given.height)
    student = Student(stature_cm=173, handed="right")
    lesson = LiveLesson(student=student, view=given.view, fit=fit_putter(None, student))
    print(f"{given.height * 4 // 3} × {given.height} pixels, {len(pictures[0]) / 1024:.0f} KiB a frame")
    load = f"; load average {os.getloadavg()[0]:.1f}" if hasattr(os, "getloadavg") else ""
    print(f"{os.cpu_count()} processors{load}")
    bare = float(np.median(time_model(pictures, seconds=min(given.seconds, 5))))
    print(f"bare   model {1e3 * bare:.1f} ms a frame, {1 / bare:.1f} a second")
    for name, rate_hz in (("free", None), ("camera", CAMERA_HZ)):
        seen = play(pictures, lesson, seconds=given.seconds, rate_hz=rate_hz)
        print(f"{name:6}", *(f"{what} {value:.1f};" for what, value in seen.items()))
        print(f"       a frame takes {1 / (seen['frames a second'] * bare):.2f} times the bare model's time")
    after = float(np.median(time_model(pictures, seconds=min(given.seconds, 5))))
    print(f"bare   again {1e3 * after:.1f} ms a frame")


if __name__ == "__main__":
    main()
