"""Runs of real processes that are killed at any moment: no lesson is lost, none is filed twice."""

import pytest
from killed_run import KilledRun

LIMITS = {"seconds": 60.0, "memory_mb": 900.0}
POISONED = {3: "crash", 7: "hang", 11: "eat"}


@pytest.mark.whole
def test_poisoned_lessons_and_killed_workers_cost_no_other_lesson(stored, tmp_path):
    run = KilledRun(tmp_path, stored, count=30, poisoned=POISONED, limits=LIMITS, takes_s=1.0)
    told, ended = run.run(worker_every=10)
    assert ended
    assert run.killed >= 3
    assert len(told) == 30
    assert {where for where, (state, *_) in told.items() if state == "laid aside"} == run.poisoned
    assert len(run.filed()) == 27
    assert "was not done after 60 s" in told["7"][2]
    assert "900 MB are allowed" in told["11"][2]
    assert all(says.endswith("times.") for state, _, says in told.values() if state == "laid aside")
    assert run.left() == []


@pytest.mark.whole
def test_a_leading_process_that_is_killed_again_and_again_comes_to_the_end(stored, tmp_path):
    run = KilledRun(tmp_path, stored, count=30, poisoned={5: "crash"}, limits=LIMITS, takes_s=0.3)
    after_s = 6.0
    for _ in range(12):
        told, ended = run.run(leader_after_s=after_s)
        after_s += 3.1  # so that it dies at other moments, and gets further on a slow machine
        if ended:
            break
    else:
        told, ended = run.run()
    assert ended
    assert len(told) == 30
    assert len(run.filed()) == 29
    assert {where for where, (state, *_) in told.items() if state == "laid aside"} == {"5"}
    assert run.left() == []
