"""In a worker: a result of which half is written when the process is killed."""

import os
import signal
from multiprocessing.connection import Connection


def answer(size: int) -> bytes:
    """Return so many bytes."""
    return bytes(size)


def be_killed_within_a_result(size: int) -> bytes:
    """Return so many bytes, and end by a signal from outside once half of them are written."""
    send = Connection._send

    def send_half(self, data, *about):
        if len(data) >= size:
            send(self, data[: size // 2], *about)
            os.kill(os.getpid(), signal.SIGKILL)
        return send(self, data, *about)

    Connection._send = send_half
    return bytes(size)
