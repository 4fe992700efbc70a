"""What a Dask cluster and the processes of this machine cost besides the lessons, on two workers.

    .venv/bin/python tests/benchmarks/cluster_overhead.py [--lessons 16] [--seconds 2] [--megabytes 11]

Jobs that sleep as long as they are said to take, and give back as many bytes as a lesson with pictures, are run by
processes of this machine and by a cluster of two workers that is started by Dask's own commands. Printed is how much
longer than the sleep each lesson took, and its share of a lesson of 15 s.
"""

import argparse
import os
import sys
import tempfile
import time
from concurrent.futures import wait
from pathlib import Path
from typing import Final

sys.path.insert(0, str(Path(__file__).parents[1] / "batch"))

from cluster_jobs import Takes, numbers_of
from dask_processes import cluster_of, wait_until

from putt_posture.batch import Limits, Pool, open_executor
from putt_posture.batch.limits import run_limited

WORKERS: Final = 2
LESSON_S: Final = 15.0
"""Of a pair of clips, on one quiet processor, as the guide says."""


def run(pool: Pool, title: str, given: argparse.Namespace) -> float:
    """Run the jobs once their processes are there; return what each took besides its sleep, s."""
    limits, size = Limits(), int(1e6 * given.megabytes)

    def submit(count: int, seconds: float) -> list[int]:
        jobs = [Takes(number, seconds, size) for number in range(count)]
        futures = [pool.executor.submit(run_limited, job, limits) for job in jobs]
        wait(futures)
        return numbers_of(each.result() for each in futures)

    submit(WORKERS, 1.0)
    begun = time.perf_counter()
    assert submit(given.lessons, given.seconds) == list(range(given.lessons))
    besides_s = (time.perf_counter() - begun) * WORKERS / given.lessons - given.seconds
    print(f"{title}: {1e3 * besides_s:.0f} ms a lesson besides its work, {besides_s / LESSON_S:.1%} of {LESSON_S:g} s")
    return besides_s


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--lessons", type=int, default=16)
    parser.add_argument("--seconds", type=float, default=2.0)
    parser.add_argument("--megabytes", type=float, default=11.0)
    given = parser.parse_args()
    load = f", load average {os.getloadavg()[0]:.1f}" if hasattr(os, "getloadavg") else ""
    print(f"{os.cpu_count()} processors{load}")
    print(f"{given.lessons} lessons of {given.seconds:g} s, {given.megabytes:g} MB each, {WORKERS} workers")
    with open_executor(workers=WORKERS) as pool:
        here_s = run(pool, "processes of this machine", given)
    with (
        tempfile.TemporaryDirectory() as folder,
        cluster_of(WORKERS, Path(folder)) as cluster,
        open_executor(cluster=cluster.address) as pool,
    ):
        wait_until(lambda: pool.workers == WORKERS, what="two workers")
        there_s = run(pool, "a Dask cluster", given)
    print(f"the cluster costs {there_s / here_s:.1f} times as much")


if __name__ == "__main__":
    main()
