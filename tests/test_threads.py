"""How many threads a process keeps busy."""

import os
import subprocess
import sys

from putt_posture.threads import most_threads, threads_for

HELD = """
import os
import cv2
from putt_posture.threads import hold_threads, most_threads, threads_for
hold_threads(1)
print(most_threads(), threads_for(2), threads_for(1), cv2.getNumThreads(), os.environ["OPENBLAS_NUM_THREADS"])
"""


def test_nothing_is_held_where_nobody_asked():
    assert most_threads() == 0
    assert [threads_for(wanted) for wanted in (1, 2, 8)] == [1, 2, 8]


def test_a_process_that_is_held_to_one_thread_uses_one_for_clips_and_pictures():
    environment = {**os.environ, "OPENBLAS_NUM_THREADS": "4"}
    done = subprocess.run([sys.executable, "-c", HELD], capture_output=True, text=True, env=environment, check=True)
    assert done.stdout.split() == ["1", "1", "1", "1", "1"]
