"""A process that does one thing at a time, and what is seen of its end."""

import signal
import sys
import threading
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parent))

from half_results import answer, be_killed_within_a_result

from putt_posture.errors import ProcessKilled
from putt_posture.services.workers import Worker

SIZE = 5_000_000


@pytest.mark.skipif(not hasattr(signal, "SIGKILL"), reason="this system ends no process by a signal")
def test_a_process_that_is_killed_within_a_result_is_not_waited_for() -> None:
    """Otherwise the rest of the result is waited for without end."""
    worker, seen = Worker(), []

    def run() -> None:
        assert len(worker.run(answer, SIZE)) == SIZE
        try:
            worker.run(be_killed_within_a_result, SIZE)
        except ProcessKilled as error:
            seen.append(error)
        worker.close()

    thread = threading.Thread(target=run, daemon=True)
    thread.start()
    thread.join(120.0)
    assert len(seen) == 1
    assert not thread.is_alive()
