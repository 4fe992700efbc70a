"""A run of small lessons in processes of its own, whose processes are killed by their numbers."""

import os
import pickle
import signal
import subprocess
import sys
import time
from pathlib import Path

import psutil
from filed import add_player
from small_lessons import make_small

from putt_posture.archive import load_lessons, open_archive

LEADER = Path(__file__).with_name("lead_small.py")
KILL = getattr(signal, "SIGKILL", signal.SIGTERM)


class KilledRun:
    """Lessons of one student, of which some are poisoned, and the runs that file them."""

    def __init__(self, folder, stored, *, count, poisoned, limits, takes_s=0.0):
        self.folder, self.place = folder, folder / "archive"
        with open_archive(self.place) as archive:
            add_player(archive)
        made = [
            make_small(folder / "clips", stored, f"{at}", does=poisoned.get(at, "measure"), takes_s=takes_s)
            for at in range(count)
        ]
        self.poisoned = {str(at) for at in poisoned}
        self.jobs = {lesson.where: job for lesson, job in made}
        (folder / "plan").write_bytes(pickle.dumps((self.place, [each for each, _ in made], self.jobs, limits)))
        self.killed = 0

    def run(self, *, worker_every_s=None, worker_every=None, leader_after_s=None):
        """Run once; return the lines of what was told, by lesson, and whether the run came to its end.

        A worker is killed every so many seconds, or whenever so many lessons more have begun.
        """
        began = last = time.monotonic()
        next_kill = worker_every
        out = self.folder / "out"
        with open(out, "w") as said:
            leader = subprocess.Popen([sys.executable, str(LEADER), str(self.folder / "plan")], stdout=said)
        try:
            while leader.poll() is None:
                time.sleep(0.1)
                now = time.monotonic()
                if leader_after_s is not None and now - began > leader_after_s:
                    os.kill(leader.pid, KILL)
                elif worker_every_s is not None and now - last > worker_every_s:
                    last = now
                    self._kill_worker(leader.pid)
                elif next_kill is not None and sum(job.begun() for job in self.jobs.values()) >= next_kill:
                    next_kill += worker_every
                    self._kill_worker(leader.pid)
        finally:
            if leader.poll() is None:
                leader.kill()
            leader.wait()
        lines = [line.rstrip("\n").split("\t") for line in out.read_text().splitlines()]
        return {where: rest for where, *rest in lines if len(rest) == 3}, leader.returncode == 0

    def filed(self):
        """The numbers of the lessons in the archive."""
        with open_archive(self.place) as archive:
            return [each.number for each in load_lessons(archive, 1)]

    def left(self):
        """What is left of results that were measured and not filed."""
        return list((self.folder / "archive batches" / "measured").iterdir())

    def _kill_worker(self, leader):
        """Kill one of the processes that measure; they are those that have begun a lesson."""
        begun = {line for job in self.jobs.values() if job.begun() for line in job.began.read_text().split()}
        children = [each for each in psutil.Process(leader).children() if str(each.pid) in begun]
        if children:
            os.kill(children[self.killed % len(children)].pid, KILL)
            self.killed += 1
