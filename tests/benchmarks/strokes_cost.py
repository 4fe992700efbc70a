"""What it costs to follow a stroke on every frame, against the large model on each frame.

    python tests/benchmarks/strokes_cost.py [--seconds 3] [--rate 60] [--views down_the_line face_on]

The stroke of the sample pair is shown as a phone would film it at the given rate: its frames are repeated in between
with the noise of a camera, so that none is a doubled frame. Both views go side by side, as in a lesson, putter and ball
included. Printed are the seconds, the processor time of this process and of the models, the ratio to the large model
(with outlines, as at the events) on each frame, and the memory at its largest for the stroke and for one of 1.6 times
the length. Ratios count where other programs use the processors too.
"""

import argparse
import os
import sys
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Final

import av
import numpy as np
from attrs import evolve

sys.path.insert(0, str(Path(__file__).parents[1] / "detection"))

from tracked_samples import clip_of, detection_of, truth_of

from putt_posture.clips import iterate_frames, read_clip
from putt_posture.detection import strokes as looked
from putt_posture.detection.detect import Detection
from putt_posture.detection.stroke_windows import StrokeWindow, find_stroke_windows
from putt_posture.landmarks import open_pose_model
from putt_posture.landmarks.crops import detect_in_crop, pad_box
from putt_posture.landmarks.outline import refine_mask
from putt_posture.measuring import Measuring
from putt_posture.values import Student, Track, View

NAME: Final = "before"
TARGET_S: Final = 20.0
LARGE_FRAMES: Final = 12


def write_at_rate(view: View, rate: int, folder: Path) -> Path:
    """Write the sample clip at a rate, each frame with new noise."""
    clip, chance = clip_of(NAME, view), np.random.default_rng(5)
    path = folder / f"{view}.mp4"
    number = 0
    with av.open(str(path), "w") as container:
        stream = container.add_stream("libx264", rate=rate, options={"crf": "18", "preset": "ultrafast"})
        stream.pix_fmt, stream.width, stream.height = "yuv420p", clip.width, clip.height
        for shown in iterate_frames(clip):  # one picture at a time, so that the memory is that of following
            while number / rate < shown.time_s + 1 / clip.rate_hz - 1e-6:
                noisy = shown.picture + chance.integers(-3, 4, shown.picture.shape, dtype=np.int16)
                frame = av.VideoFrame.from_ndarray(np.clip(noisy, 0, 255).astype(np.uint8), format="rgb24")
                container.mux(stream.encode(frame))
                number += 1
        container.mux(stream.encode())
    return path


def make_detections(views: list[View], rate: int, folder: Path) -> dict[View, Detection]:
    """Return the sample pair at a rate, as detected."""
    return {
        view: detection_of(NAME, view, clip=read_clip(write_at_rate(view, rate, folder), view=view)) for view in views
    }


def stretched(window: StrokeWindow, seconds: float) -> StrokeWindow:
    """Return a window of a given length around the stroke, as far as the clip goes."""
    middle = (window.from_s + window.until_s) / 2
    from_s = max(middle - seconds / 2, 0.0)
    return evolve(window, from_s=from_s, until_s=from_s + seconds)


def time_large(detection: Detection) -> float:
    """Return the seconds of the large model with outlines on one frame."""
    points = detection.landmarks.points_px[0]
    size_px = (detection.clip.width, detection.clip.height)
    box = pad_box(np.concatenate([points.min(axis=0), points.max(axis=0)]), size_px=size_px)
    picture = detection.still.picture
    with open_pose_model("large", outline=True) as model:
        detect_in_crop(model, picture, box, torso=None)
        begun = time.perf_counter()
        for _ in range(LARGE_FRAMES):
            person = detect_in_crop(model, picture, box, torso=None)
            assert person is not None
            assert person.mask is not None
            refine_mask(person.mask, picture[box[1] : box[3], box[0] : box[2]])
        return (time.perf_counter() - begun) / LARGE_FRAMES


def largest_mb() -> float:
    """Return the largest memory of this process so far, MB; 0 where the system does not say."""
    try:
        import resource
    except ImportError:  # Windows
        return 0.0
    most = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    return most / (1e6 if sys.platform == "darwin" else 1e3)


def models_s() -> float:
    """Return the processor time of the models' processes so far, which go on, s; NaN where the system does not say."""
    if not Path("/proc/self/stat").exists():
        return float("nan")
    took = 0
    for stat in Path("/proc").glob("[0-9]*/stat"):
        try:
            fields = stat.read_text().rpartition(")")[2].split()
        except OSError:  # it has ended
            continue
        if int(fields[1]) == os.getpid():
            took += int(fields[11]) + int(fields[12])
    return took / os.sysconf("SC_CLK_TCK")


def run(detections: dict[View, Detection], seconds: float, student: Student) -> Iterator[str]:
    """Follow the stroke and say what it cost."""
    results = Measuring(detections=detections, student=student).measure().views
    real = find_stroke_windows

    def windows(tracks: dict[View, tuple[Track, object]], **given: bool) -> dict[View, tuple[StrokeWindow, ...]]:
        found = real(tracks, **given)
        return {view: tuple(stretched(each, seconds) for each in of_view) for view, of_view in found.items()}

    looked.find_stroke_windows = windows  # type: ignore[assignment]
    before, models_before_s, begun = os.times(), models_s(), time.perf_counter()
    seen = looked.detect_strokes(detections, results, handed=student.handed)
    took = time.perf_counter() - begun
    after = os.times()
    looked.find_stroke_windows = real
    frames = sum(len(stroke.times_s) for each in seen.values() for stroke in each.strokes)
    each_ms = 1e3 * took / max(frames, 1)
    yield f"{seconds:g} s: {took:.1f} s for {frames} frames of {len(seen)} views ({each_ms:.0f} ms each)"
    here_s = after.user + after.system - before.user - before.system
    there_s = models_s() - models_before_s
    yield f"  processor time: this process {here_s:.1f} s, the models {there_s:.1f} s"
    yield f"  largest memory of this process {largest_mb():.0f} MB"
    if frames:
        large_s = float(np.mean([time_large(each) for each in detections.values()]))
        yield (
            f"  the large model on each frame would take {large_s * frames / len(seen):.1f} s or more side by side: "
            f"ratio {took / (large_s * frames / len(seen)):.2f}"
        )


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--seconds", type=float, default=3.0)
    parser.add_argument("--rate", type=int, default=60)
    parser.add_argument("--views", nargs="+", default=["down_the_line", "face_on"])
    given = parser.parse_args()
    about = truth_of(NAME)["student"]
    student = Student(stature_cm=about["stature_cm"], handed=about["handed"])
    load = f"; load average {os.getloadavg()[0]:.1f}" if hasattr(os, "getloadavg") else ""
    print(f"{os.cpu_count()} processors{load}; target {TARGET_S:g} s for 3 s at 60 a second on two quiet ones")
    with tempfile.TemporaryDirectory() as folder:
        detections = make_detections(given.views, given.rate, Path(folder))
        for seconds in (given.seconds, 1.6 * given.seconds):
            for line in run(detections, seconds, student):
                print(line, flush=True)


if __name__ == "__main__":
    main()
