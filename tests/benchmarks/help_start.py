"""How long ``putt-posture --help`` takes, as a share of importing mediapipe.

Run it on a quiet machine::

    python tests/benchmarks/help_start.py [RUNS]

Both are whole processes, started in turn so that a change of load meets both; the medians are compared. Nothing is
asserted.
"""

import statistics
import subprocess
import sys
import time

GOAL = 1 / 3
RUNS = 15

HELP = [sys.executable, "-m", "putt_posture", "--help"]
MEDIAPIPE = [sys.executable, "-c", "import mediapipe"]
NOTHING = [sys.executable, "-c", "pass"]


def seconds(command: list[str]) -> float:
    start = time.perf_counter()
    subprocess.run(command, check=True, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    return time.perf_counter() - start


def main(runs: int) -> None:
    for command in (HELP, MEDIAPIPE, NOTHING):
        seconds(command)  # fill the caches
    rounds = [(seconds(HELP), seconds(MEDIAPIPE), seconds(NOTHING)) for _ in range(runs)]
    help_s, mediapipe_s, nothing_s = (statistics.median(column) for column in zip(*rounds, strict=True))
    print(f"putt-posture --help  {help_s * 1000:6.0f} ms")
    print(f"import mediapipe     {mediapipe_s * 1000:6.0f} ms")
    print(f"an empty program     {nothing_s * 1000:6.0f} ms")
    print(f"ratio {help_s / mediapipe_s:.2f}, goal below {GOAL:.2f}; median of {runs} runs each")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else RUNS)
