"""How much memory a lesson with strokes takes by the length of the clip.

    python tests/benchmarks/long_clips.py [--seconds 5 15 45] [--view face_on]

Clips of each length are made from the first pair of sample clips. In the first kind the student stays at the finish
after one putt; in the second they putt again and again, one putt in five seconds. Each is measured by the command, as a
process of its own; printed are its largest resident set, that of the models' processes, and the processor time.
Nothing is asserted. Memory should not grow in the first kind; in the second by what is kept of each putt.
"""

import argparse
import itertools
import multiprocessing
import os
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from fractions import Fraction
from pathlib import Path
from typing import Final

import av
import numpy as np
from whole_command import PAIR, largest_sets

RATE_HZ: Final = 30
LOOK_S: Final = 0.1
KINDS: Final = {"stays": "one putt, then still", "again": "a putt in five seconds"}


def frames_of(kind: str, count: int) -> Iterator[int]:
    """Yield which frame of the sample clip stands at each place."""
    if kind == "again":
        return itertools.cycle(range(count))
    held = range(count - RATE_HZ, count)
    return itertools.chain(range(count), itertools.cycle((*reversed(held), *held)))


def make_clip(source: Path, target: Path, *, seconds: float, kind: str) -> None:
    """Write a long clip out of a short one, each frame with new noise."""
    chance = np.random.default_rng(3)
    with av.open(str(source)) as opened:
        pictures = [frame.to_ndarray(format="rgb24") for frame in opened.decode(video=0)]
    with av.open(str(target), "w") as made:
        stream = made.add_stream("libx264", rate=RATE_HZ, options={"preset": "ultrafast", "crf": "20"})
        stream.height, stream.width = pictures[0].shape[:2]
        stream.pix_fmt, stream.time_base = "yuv420p", Fraction(1, RATE_HZ)
        for number, index in enumerate(itertools.islice(frames_of(kind, len(pictures)), round(seconds * RATE_HZ))):
            noisy = pictures[index] + chance.integers(-2, 3, pictures[index].shape, dtype=np.int16)
            frame = av.VideoFrame.from_ndarray(np.clip(noisy, 0, 255).astype(np.uint8), format="rgb24")
            frame.pts, frame.time_base = number, Fraction(1, RATE_HZ)
            made.mux(stream.encode(frame))
        made.mux(stream.encode())


def measure(clip: Path, view: str, out: Path) -> tuple[float, float, float]:
    """Return the largest resident set of the command and of its models, MiB, and the processor time, s."""
    command = [
        sys.executable, "-m", "putt_posture", "measure", f"--{view.replace('_', '-')}", str(clip),
        "--height", "173cm", "--handed", "right", "--out", str(out), "--replace",
    ]  # fmt: skip
    with tempfile.TemporaryFile() as said:
        child = subprocess.Popen(command, stdout=subprocess.DEVNULL, stderr=said)
        largest: dict[int, int] = {}
        while os.waitid(os.P_PID, child.pid, os.WEXITED | os.WNOWAIT | os.WNOHANG) is None:
            largest |= largest_sets(child.pid)
            time.sleep(LOOK_S)
        _, status, usage = os.wait4(child.pid, 0)
        if status != 0:
            said.seek(0)
            raise SystemExit(f"{' '.join(command)} ended with status {status}: {said.read().decode().strip()}")
    models = sum(size for process, size in largest.items() if process != child.pid)
    return usage.ru_maxrss / 1024, models / 1024, usage.ru_utime + usage.ru_stime


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--seconds", type=float, nargs="+", default=[5.0, 15.0, 45.0])
    parser.add_argument("--view", default="face_on", choices=("face_on", "down_the_line"))
    parser.add_argument("--kinds", nargs="+", default=list(KINDS), choices=KINDS)
    options = parser.parse_args()
    print("| clip | seconds | command, MiB | models, MiB | processor, s |\n|---|---|---|---|---|")
    with tempfile.TemporaryDirectory() as folder:
        for kind in options.kinds:
            for seconds in options.seconds:
                clip = Path(folder) / f"{kind}-{seconds:g}.mp4"
                # In a process of its own: a child's largest resident set starts from its parent's.
                maker = multiprocessing.get_context("spawn").Process(
                    target=make_clip,
                    args=(PAIR / f"{options.view}.mp4", clip),
                    kwargs={"seconds": seconds, "kind": kind},
                )
                maker.start()
                maker.join()
                here, models, took = measure(clip, options.view, Path(folder) / "out")
                print(f"| {KINDS[kind]} | {seconds:g} | {here:.0f} | {models:.0f} | {took:.0f} |", flush=True)
                clip.unlink()


if __name__ == "__main__":
    main()
