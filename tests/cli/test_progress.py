"""The progress bar: on standard error alone, where that is a terminal."""

import os
import subprocess
import sys
from contextlib import contextmanager

import pytest

from putt_posture.cli import terminal

pty = pytest.importorskip("pty", reason="a pseudo-terminal is needed, which this system has not")

SCRIPT = """
from putt_posture.cli.terminal import show_progress

with show_progress() as progress:
    if progress is None:
        print("no bar")
    else:
        progress("Following", 0.25)
        progress("1 of 4: Measuring the [student]", 0.75)
        import time; time.sleep(0.3)
"""


def run(*, stderr: int) -> subprocess.CompletedProcess[str]:
    command = [sys.executable, "-c", SCRIPT]
    environment = {**os.environ, "TERM": "xterm", "COLUMNS": "70"}
    return subprocess.run(command, stdout=subprocess.PIPE, stderr=stderr, text=True, check=True, env=environment)


def test_bar_is_on_the_terminal() -> None:
    ours, theirs = pty.openpty()
    done = run(stderr=theirs)
    os.close(theirs)
    shown = b""
    while True:
        try:
            piece = os.read(ours, 4096)
        except OSError:  # the other end is closed: how Linux says that all was read
            break
        if not piece:
            break
        shown += piece
    os.close(ours)
    text = shown.decode()
    assert done.stdout == ""
    assert "1 of 4: Measuring the [student]" in text
    assert "75%" in text


def test_there_is_no_bar_where_standard_error_is_no_terminal() -> None:
    done = run(stderr=subprocess.PIPE)
    assert done.stdout == "no bar\n"
    assert done.stderr == ""


def test_bar_is_there_while_a_result_is_awaited_and_not_while_it_is_printed(monkeypatch) -> None:
    """A table printed into a bar that still moves would be torn."""
    happened = []

    @contextmanager
    def bar():
        happened.append("bar")
        yield lambda doing, share: happened.append(f"{doing} {share}")
        happened.append("no bar")

    def work(tell):
        for number in (1, 2):
            tell("Measuring", number / 2)
            yield number

    monkeypatch.setattr(terminal, "show_progress", bar)
    for result in terminal.show_progress_between(work):
        happened.append(f"table {result}")
    assert happened[:8] == [
        "bar", "Measuring 0.5", "no bar", "table 1", "bar", "Measuring 1.0", "no bar", "table 2",
    ]  # fmt: skip
