"""Run a command and see, from its system calls, what it tried to reach over a network and which programs it ran."""

import re
import shutil
import subprocess
import tempfile
from collections.abc import Sequence
from pathlib import Path
from typing import Any, NamedTuple

import pytest

__all__ = ["WatchedRun", "needs_watch", "run_watched"]

_REACH = re.compile(r"\b(?:connect|sendto|sendmsg|sendmmsg)\(.*(?:AF_INET6?\b|io\.systemd\.Resolve)")
"""A connection or a datagram to an internet address, a name server's too, or a question to the system's resolver."""
_PROGRAM = re.compile(r'execve\("([^"]+)".* = 0$')

needs_watch = pytest.mark.skipif(shutil.which("strace") is None, reason="strace, which sees system calls, is missing")


class WatchedRun(NamedTuple):
    """What a command did.

    Attributes
    ----------
    done : CompletedProcess
        With what it printed as text.
    reached : list of str
        The system calls with which it tried to reach something over a network.
    programs : list of str
        The paths of the programs that ran, the command itself first.
    """

    done: subprocess.CompletedProcess[str]
    reached: list[str]
    programs: list[str]


def run_watched(command: Sequence[str], **options: Any) -> WatchedRun:
    """Run a command with all that it starts; options as for `subprocess.run`."""
    with tempfile.TemporaryDirectory() as folder:
        log = Path(folder) / "calls"
        watch = ["strace", "--follow-forks", "--seccomp-bpf", "--quiet=all", "-e", "trace=%network,execve"]
        done = subprocess.run(
            [*watch, "-o", str(log), *command], capture_output=True, text=True, check=False, **options
        )
        lines = log.read_text(errors="replace").splitlines()
    programs = [found[1] for line in lines if (found := _PROGRAM.search(line))]
    return WatchedRun(done, [line for line in lines if _REACH.search(line)], programs)
