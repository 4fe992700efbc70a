"""The process in which the pose models run: lent, kept, ended, and reported in one sentence when it dies."""

import io
import os
import signal
import subprocess
import sys
import time

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import array_shapes, arrays

from putt_posture.errors import ProcessStopped
from putt_posture.landmarks import model_process, open_pose_model
from putt_posture.landmarks.model_process import lend_process
from putt_posture.landmarks.model_worker import receive, send

BLANK = np.zeros((48, 64, 3), dtype=np.uint8)
ENDED_S = 10.0
"""More than a process with nothing to do needs to end."""


def is_alive(number: int) -> bool:
    try:
        os.kill(number, 0)
    except ProcessLookupError:
        return False
    return True


@pytest.fixture
def pool(monkeypatch):
    """A pool of this test's own."""
    pool = model_process._Pool()
    monkeypatch.setattr(model_process, "_pool", pool)
    yield pool
    pool.close()


@given(
    message=st.dictionaries(
        st.text().filter("arrays".__ne__), st.integers(-(2**40), 2**40) | st.text() | st.booleans()
    ),
    sent=st.lists(
        arrays(np.uint8, array_shapes(min_dims=1, max_dims=4, min_side=0, max_side=5))
        | arrays(np.float64, array_shapes(min_dims=1, max_dims=3, min_side=0, max_side=5))
    ),
)
def test_what_was_sent_is_received(message, sent) -> None:
    stream = io.BytesIO()
    send(stream, message, *sent)
    stream.seek(0)
    got, found = receive(stream)
    assert got == message
    assert len(found) == len(sent)
    for one, other in zip(sent, found, strict=True):
        np.testing.assert_array_equal(one, other)
    assert stream.read() == b""


def test_half_a_message_is_the_end_of_the_stream() -> None:
    stream = io.BytesIO()
    send(stream, {"do": "find"}, BLANK)
    whole = stream.getvalue()
    for length in (0, 5, len(whole) - 1):
        with pytest.raises(EOFError):
            receive(io.BytesIO(whole[:length]))


def test_a_process_is_kept_for_the_next_with_its_models(pool) -> None:
    with open_pose_model("small") as model:
        first = model._process
    with open_pose_model("small") as model:
        assert model._process is first
        with open_pose_model("small") as other:  # two at a time have one each
            assert other._process is not first
        assert model.find_people(BLANK) == []


def test_one_that_died_is_said_in_one_sentence_and_replaced(pool) -> None:
    with open_pose_model("small") as model:
        first = model._process
        first._process.kill()
        with pytest.raises(ProcessStopped, match=r"stopped in the middle of its work \(signal 9\)") as caught:
            model.find_people(BLANK)
        assert "\n" not in str(caught.value)
    with open_pose_model("small") as model:
        assert model._process is not first
        assert model.find_people(BLANK) == []


def test_its_last_words_are_passed_on_and_its_chatter_is_not(pool) -> None:
    with lend_process() as process:
        chatter = [
            "INFO: Created TensorFlow Lite XNNPACK delegate for CPU.",
            "WARNING: [model_load.cc:402] Sparsity tensors may not yet be fully supported.",
            "WARNING: Logging before InitGoogle() is written to STDERR",
            "W0000 00:00:1795599156.870520   13116 inference_runner_litert.cc:1433] Input tensor memory is not aligned",
        ]
        for line in ("terminate called", *chatter):
            process._said.write(line.encode() + b"\n")
        process._said.flush()
        process._process.kill()
        with pytest.raises(ProcessStopped, match=r"\(signal 9: terminate called\)"):
            process.ask({"do": "find", "key": "none"}, BLANK)


def test_what_cannot_be_done_is_answered_and_the_process_goes_on(pool) -> None:
    with lend_process() as process:
        answer, _ = process.ask({"do": "find", "key": "no such model"}, BLANK)
        assert answer["error"] == "KeyError"
        assert process.is_usable


def test_it_ends_when_it_is_let_go(pool) -> None:
    with open_pose_model("small") as model:
        number = model._process._process.pid
    assert is_alive(number)
    pool.close()
    assert not is_alive(number)


@pytest.mark.skipif(not hasattr(signal, "SIGKILL"), reason="a signal that cannot be caught is POSIX's")
@pytest.mark.parametrize("how", ["SIGKILL", "SIGTERM", "SIGINT", "a normal end"])
def test_it_ends_with_whoever_started_it(how) -> None:
    code = """
import sys, time
from putt_posture.landmarks import open_pose_model
with open_pose_model("small") as model:
    print(model._process._process.pid, flush=True)
    if len(sys.argv) < 2:
        time.sleep(60)
"""
    command = [sys.executable, "-c", code, *(["end"] if how == "a normal end" else [])]
    with subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True) as starter:
        number = int(starter.stdout.readline())
        if how != "a normal end":
            starter.send_signal(getattr(signal, how))
    deadline = time.monotonic() + ENDED_S
    while is_alive(number) and time.monotonic() < deadline:
        time.sleep(0.02)
    assert not is_alive(number)


@pytest.mark.skipif(not hasattr(os, "fork"), reason="there is no fork here")
def test_a_forked_copy_has_processes_of_its_own(pool) -> None:
    with open_pose_model("small"):
        pass
    os.register_at_fork(after_in_child=pool.abandon)  # as the module does for its own
    number = os.fork()
    if not number:
        with open_pose_model("small") as model:
            fine = model.find_people(BLANK) == []
            pool.close()
        os._exit(0 if fine else 1)
    assert os.waitstatus_to_exitcode(os.waitpid(number, 0)[1]) == 0
    with open_pose_model("small") as model:
        assert model.find_people(BLANK) == []


@pytest.mark.skipif(sys.platform == "win32", reason="there is no such limit on Windows")
def test_between_requests_it_can_open_neither_file_nor_socket() -> None:
    code = """
import socket
from putt_posture.landmarks.model_worker import _limit_files
_limit_files(open_more=False)
for what in (lambda: socket.socket(), lambda: socket.getaddrinfo("putting.invalid", 80), lambda: open("/dev/null")):
    try:
        what()
    except OSError:
        continue
    raise SystemExit("something could be opened")
_limit_files(open_more=True)
socket.socket().close()
"""
    assert subprocess.run([sys.executable, "-c", code], capture_output=True, text=True).stderr == ""


@pytest.mark.skipif(not hasattr(os, "pidfd_open") and not os.path.isdir("/proc"), reason="there is no /proc here")
def test_an_open_model_has_no_socket(pool) -> None:
    with open_pose_model("large", outline=True) as model:
        model.find_people(BLANK)
        folder = f"/proc/{model._process._process.pid}/fd"
        assert not [name for name in os.listdir(folder) if os.readlink(f"{folder}/{name}").startswith("socket")]
