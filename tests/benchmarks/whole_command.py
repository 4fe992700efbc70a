"""What the measure command costs beside running the large model on every frame, and its memory by clip length.

Run it on a quiet machine, with the checks installed::

    python tests/benchmarks/whole_command.py [--seconds 10] [--long 60]

A 1080p60 pair is made from the first pair of sample clips: enlarged, shifted a little from frame to frame so that
no frame is free to decode, and repeated. The three commands are whole processes run in turn on the same files;
memory is that of each with the processes that it starts, their largest resident sets added up (on Linux; elsewhere the
command's own). Seconds of processor time stand beside those of the clock, since they change less on a busy machine.
Nothing is asserted.
"""

import argparse
import contextlib
import itertools
import multiprocessing
import os
import subprocess
import sys
import tempfile
import time
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path

import av
import numpy as np

ROOT = Path(__file__).parents[2]
PAIR = ROOT / "sample_clips" / "before"
RATE_HZ = 60
SIZE = (1080, 1920)
GOAL = 16.0
LOOK_S = 0.1

EVERY_FRAME = """
import sys
from pathlib import Path
from putt_posture.clips import iterate_frames, read_clip
from putt_posture.landmarks.model import open_pose_model

for path, view in zip(sys.argv[1:], ("down_the_line", "face_on")):
    clip = read_clip(Path(path), view=view)
    with open_pose_model("large", outline=True) as model:
        for frame in iterate_frames(clip):
            model.find_people(frame.picture)
"""


def make_clip(source: Path, target: Path, *, seconds: float) -> None:
    """Write a 1080p60 clip out of a shorter and smaller one, running forward, back and forward again."""
    with av.open(str(source)) as opened:
        pictures = [
            frame.reformat(width=SIZE[0], height=SIZE[1], format="rgb24").to_ndarray()
            for frame in opened.decode(video=0)
        ]
    there_and_back = itertools.cycle(itertools.chain(range(len(pictures)), range(len(pictures) - 2, 0, -1)))
    with av.open(str(target), "w") as made:
        stream = made.add_stream("libx264", rate=RATE_HZ, options={"preset": "ultrafast", "crf": "23"})
        stream.width, stream.height, stream.pix_fmt = SIZE[0], SIZE[1], "yuv420p"
        stream.time_base = Fraction(1, RATE_HZ)
        for number, index in enumerate(itertools.islice(there_and_back, int(seconds * RATE_HZ / 2))):
            for half in range(2):
                shifted = np.roll(pictures[index], half, axis=1)
                frame = av.VideoFrame.from_ndarray(np.ascontiguousarray(shifted), format="rgb24")
                frame.pts, frame.time_base = 2 * number + half, Fraction(1, RATE_HZ)
                made.mux(stream.encode(frame))
        made.mux(stream.encode())


@dataclass(frozen=True)
class Cost:
    """Of one command: seconds by the clock and of the processor, and MiB."""

    clock: float
    processor: float
    memory: float


def cost(command: list[str]) -> Cost:
    """Run a command."""
    start = time.perf_counter()
    with tempfile.TemporaryFile() as said:
        child = subprocess.Popen(command, stdout=subprocess.DEVNULL, stderr=said)
        largest: dict[int, int] = {}
        while os.waitid(os.P_PID, child.pid, os.WEXITED | os.WNOWAIT | os.WNOHANG) is None:
            largest |= largest_sets(child.pid)
            time.sleep(LOOK_S)
        _, status, usage = os.wait4(child.pid, 0)
        clock = time.perf_counter() - start
        if status != 0:
            said.seek(0)
            raise SystemExit(f"{' '.join(command[:4])} … ended with status {status}: {said.read().decode().strip()}")
    largest[child.pid] = usage.ru_maxrss
    return Cost(clock=clock, processor=usage.ru_utime + usage.ru_stime, memory=sum(largest.values()) / 1024)


def largest_sets(process: int) -> dict[int, int]:
    """Return the largest resident sets of a process and of all below it, kB, as far as the system tells."""
    found = {}
    with contextlib.suppress(OSError):
        for line in Path(f"/proc/{process}/status").read_text().splitlines():
            if line.startswith("VmHWM:"):
                found[process] = int(line.split()[1])
        for thread in Path(f"/proc/{process}/task").iterdir():
            for child in (thread / "children").read_text().split():
                found |= largest_sets(int(child))
    return found


def measure_command(pair: list[Path], out: Path) -> list[str]:
    return [
        sys.executable, "-m", "putt_posture", "measure", "--down-the-line", str(pair[0]), "--face-on", str(pair[1]),
        "--height", "173cm", "--handed", "right", "--out", str(out), "--replace",
    ]  # fmt: skip


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--seconds", type=float, default=10)
    parser.add_argument("--long", type=float, default=60)
    parser.add_argument("--runs", type=int, default=3)
    options = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        pairs = {}
        for seconds in (options.seconds, options.long):
            pairs[seconds] = [Path(folder) / f"{view}-{seconds:g}.mp4" for view in ("down_the_line", "face_on")]
            for target in pairs[seconds]:
                source = PAIR / f"{target.stem.rsplit('-', 1)[0]}.mp4"
                # In a process of its own: a child's largest resident set starts from its parent's.
                maker = multiprocessing.get_context("spawn").Process(
                    target=make_clip, args=(source, target), kwargs={"seconds": seconds}
                )
                maker.start()
                maker.join()
        short, long = pairs[options.seconds], pairs[options.long]
        out = Path(folder) / "out"
        cost(measure_command(short, out))  # fill the caches
        whole = [cost(measure_command(short, out)) for _ in range(options.runs)]
        every = cost([sys.executable, "-c", EVERY_FRAME, *map(str, short)])
        longer = cost(measure_command(long, out))
    usual = sorted(whole, key=lambda run: run.processor)[len(whole) // 2]
    show(f"measure, {options.seconds:g} s pair", usual)
    show("large model on every frame", every)
    show(f"measure, {options.long:g} s pair", longer)
    ratio = every.processor / usual.processor
    print(f"times less processor time {ratio:.1f} (goal at least {GOAL:g}; median of {options.runs} runs)")
    print(f"times quicker by the clock {every.clock / usual.clock:.1f}")
    print(f"memory of the long pair beside the short one {longer.memory / usual.memory:.2f}")


def show(what: str, found: Cost) -> None:
    print(f"{what:28s} {found.clock:6.1f} s {found.processor:6.1f} s of processor {found.memory:6.0f} MiB")


if __name__ == "__main__":
    main()
