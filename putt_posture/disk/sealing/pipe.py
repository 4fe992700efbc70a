"""Bytes from one thread to another: pyrage reads from one stream and writes to another, and so does its caller."""

import io
import queue
import threading
from collections.abc import Callable
from typing import Any, Final, cast

__all__ = ["CHUNK", "Pipe", "PipeEnd", "PipeStart", "Stopped", "Watched"]

CHUNK: Final = 1 << 16
_WAITING: Final = 8
"""The most chunks that wait for the other side of a pipe."""


class Stopped(Exception):
    """The other side of a pipe has stopped reading."""


class Watched:
    """A stream that keeps the exception it raised, since pyrage turns it into text.

    Parameters
    ----------
    stream : Any
        Open for reading or writing, in bytes.
    """

    def __init__(self, stream: Any) -> None:
        self._stream = stream
        self.failed: BaseException | None = None

    def read(self, size: int = -1) -> bytes:
        """Read from the stream.

        Parameters
        ----------
        size : int
            How many bytes at most; −1 for all that is left.
        """
        return cast(bytes, self._try(self._stream.read, size))

    def write(self, data: bytes) -> int:
        """Write to the stream.

        Parameters
        ----------
        data : bytes
            What is written.
        """
        return cast(int, self._try(self._stream.write, data))

    def flush(self) -> None:
        """See `io.IOBase`."""
        self._try(self._stream.flush)

    def _try(self, act: Callable[..., Any], *given: Any) -> Any:
        try:
            return act(*given)
        except BaseException as error:
            self.failed = error
            raise


class Pipe:
    """Bytes from one thread to another, with only a few waiting at any time."""

    def __init__(self) -> None:
        self._chunks: queue.Queue[bytes | None] = queue.Queue(_WAITING)
        self._rest = b""
        self._stopped: BaseException | None = None
        self.failed: BaseException | None = None

    def run(self, work: Callable[[], None]) -> None:
        """Run the work of the other thread, and keep its exception for the thread that reads.

        Parameters
        ----------
        work : Callable[[], None]
        """
        try:
            work()
        except BaseException as error:
            self.failed = error
            if self._stopped is None:
                self._drain()
                self._chunks.put(None)

    def write(self, data: bytes) -> int:
        """Put bytes in; raises the exception of the other side.

        Parameters
        ----------
        data : bytes
            What is written.
        """
        for start in range(0, len(data), CHUNK):
            self._put(bytes(data[start : start + CHUNK]))
        return len(data)

    def flush(self) -> None:
        """Do nothing: bytes are not buffered."""

    def end(self) -> None:
        """Signal the end of the data."""
        self._put(None)

    def stop(self, error: BaseException) -> None:
        """Let the next call of the other side fail.

        Parameters
        ----------
        error : BaseException
            What the next call raises.
        """
        self._stopped = error
        self._drain()

    def read(self, size: int = -1) -> bytes:
        """Take bytes out, at most `size`; no bytes mean the end.

        Parameters
        ----------
        size : int
            How many bytes at most; −1 for all that is left.
        """
        while not self._rest:
            chunk = self._get()
            if chunk is None:
                return b""
            self._rest = chunk
        size = len(self._rest) if size < 0 else size
        data, self._rest = self._rest[:size], self._rest[size:]
        return data

    def _put(self, chunk: bytes | None) -> None:
        while True:
            if self._stopped is not None:
                raise Stopped
            if self.failed is not None and chunk is not None:
                raise self.failed
            try:
                self._chunks.put(chunk, timeout=0.1)
                return
            except queue.Full:
                continue

    def _get(self) -> bytes | None:
        while True:
            if self._stopped is not None:
                raise Stopped
            try:
                chunk = self._chunks.get(timeout=0.1)
            except queue.Empty:
                continue
            if chunk is None:
                self._chunks.put(None)  # the end stays the end
            return chunk

    def _drain(self) -> None:
        while not self._chunks.empty():
            try:
                self._chunks.get_nowait()
            except queue.Empty:
                return


class PipeEnd(io.RawIOBase):
    """The writing end of a pipe.

    Parameters
    ----------
    pipe : Pipe
    """

    def __init__(self, pipe: Pipe) -> None:
        self._pipe = pipe

    def writable(self) -> bool:
        """See `io.IOBase`."""
        return True

    def write(self, data: Any) -> int:
        """See `io.RawIOBase`.

        Parameters
        ----------
        data : Any
            What is written.
        """
        return self._pipe.write(bytes(data))


class PipeStart(io.RawIOBase):
    """The reading end of a pipe.

    Parameters
    ----------
    pipe : Pipe
    work : callable
        Writes into the pipe; runs in its own thread.
    """

    def __init__(self, pipe: Pipe, *, work: Callable[[], None]) -> None:
        self._pipe = pipe
        self._place = 0
        self._worker = threading.Thread(target=pipe.run, args=(work,), daemon=True)
        self._worker.start()

    def readable(self) -> bool:
        """See `io.IOBase`."""
        return True

    def readinto(self, target: Any) -> int:
        """See `io.RawIOBase`; raises the exception of the other side.

        Parameters
        ----------
        target : Any
            Buffer that is filled.
        """
        data = self._pipe.read(len(target))
        if not data and self._pipe.failed is not None:
            raise self._pipe.failed
        target[: len(data)] = data
        self._place += len(data)
        return len(data)

    def tell(self) -> int:
        """Return how many bytes were read."""
        return self._place

    def close(self) -> None:
        """Stop the other side."""
        if not self.closed:
            self._pipe.stop(Stopped())
            self._worker.join()
        super().close()
