"""The process in which MediaPipe runs, started as a script by `model_process`.

Requests come in on standard input and answers go out on standard output. A message is a line of JSON, then the bytes
of the arrays that the line lists. Nothing else of putt_posture is imported, so that the script starts quickly.

The process never closes a landmarker: closing one looks up a host of MediaPipe's maker and would send usage figures.
It ends by ``os._exit`` when its input ends. Between requests it may open no file and no socket, on systems that can
limit that, so that nothing could reach the network.
"""

import itertools
import json
import os
import signal
import sys
import traceback
from collections.abc import Iterator
from types import ModuleType
from typing import Any, BinaryIO, Final

import numpy as np
from numpy.typing import NDArray

__all__ = ["receive", "send"]

_LINE_BYTES: Final = 1 << 16
_ALLOWED: Final = frozenset({"|u1", "<f8", ">f8"})
"""Types of array elements that a message may hold."""
_STEP_MS: Final = 1_000_000
"""Between pictures in video mode, ms. That mode has a filter of its own (One Euro), whose lag depends on these times:
at true times the landmarks come a frame late. At steps as long as this it changes nothing, so that whoever follows a
person can smooth with a lag that is known."""

Message = dict[str, Any]
Array = NDArray[Any]


def send(stream: BinaryIO, message: Message, *arrays: Array) -> None:
    """Write one message.

    Parameters
    ----------
    stream : binary stream
    message : dict
        Anything that JSON can hold, in less than 64 kB.
    *arrays : array of uint8 or float64
    """
    listed = [(array.dtype.str, array.shape) for array in arrays]
    stream.write(json.dumps({**message, "arrays": listed}).encode("ascii") + b"\n")
    for array in arrays:
        if array.size:
            stream.write(np.ascontiguousarray(array).data.cast("B"))
    stream.flush()


def receive(stream: BinaryIO) -> tuple[Message, list[Array]]:
    """Read one message.

    Parameters
    ----------
    stream : binary stream
        Where the message comes from.

    Raises
    ------
    EOFError
        If the stream ends before or within it.
    ValueError
        If it is not a message.
    """
    line = stream.readline(_LINE_BYTES)
    if not line.endswith(b"\n"):
        raise EOFError
    message = json.loads(line)
    arrays = []
    for kind, shape in message.pop("arrays"):
        if kind not in _ALLOWED:
            raise ValueError(f"arrays of {kind} are not sent")
        array = np.empty(shape, dtype=kind)
        if array.size:
            _fill(stream, array.data.cast("B"))
        arrays.append(array)
    return message, arrays


def _fill(stream: BinaryIO, rest: memoryview) -> None:
    while rest:
        count = stream.readinto(rest)  # type: ignore[attr-defined]
        if not count:
            raise EOFError
        rest = rest[count:]


def main() -> None:
    """Answer requests until the input ends, then exit without clean-up."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # the process that started this one decides when it ends
    status = 1
    try:
        incoming, outgoing = os.fdopen(os.dup(0), "rb"), os.fdopen(os.dup(1), "wb")
        os.dup2(2, 1)  # what libraries print must not mix with the answers
        _serve(incoming, outgoing)
    except (EOFError, BrokenPipeError):
        status = 0
    except BaseException:
        traceback.print_exc()
        sys.stderr.flush()
    os._exit(status)


def _serve(incoming: BinaryIO, outgoing: BinaryIO) -> None:
    landmarkers: dict[str, Any] = {}
    clocks: dict[str, Iterator[int]] = {}
    while True:
        request, arrays = receive(incoming)
        try:
            if request["do"] == "open":
                landmarkers[request["key"]] = _open(request, arrays[0])
                if request["follows"]:
                    clocks[request["key"]] = itertools.count(0, _STEP_MS)
                answer: tuple[Message, list[Array]] = {}, []
            else:
                answer = _find(landmarkers[request["key"]], arrays[0], clocks.get(request["key"]))
        except Exception as error:
            answer = {"error": type(error).__name__, "says": str(error).strip()[:1000]}, []
        message, found = answer
        send(outgoing, message, *found)


def _open(request: Message, weights: Array) -> Any:
    """Make a landmarker that lasts as long as the process."""
    _limit_files(open_more=True)
    try:
        # Of MediaPipe only the landmarker is used. Its package would also load a library that records sound, which
        # searches the system for PortAudio with ldconfig and a compiler, and two that draw.
        sys.modules.setdefault("sounddevice", None)  # type: ignore[arg-type]
        for name in ("cv2", "matplotlib", "matplotlib.pyplot"):
            sys.modules.setdefault(name, ModuleType(name))
        import numpy.ctypeslib  # noqa: F401 - MediaPipe's masks load it when they are first looked at
        from mediapipe.tasks.python import BaseOptions, vision

        options = vision.PoseLandmarkerOptions(
            base_options=BaseOptions(model_asset_buffer=weights.tobytes()),
            running_mode=vision.RunningMode.VIDEO if request["follows"] else vision.RunningMode.IMAGE,
            num_poses=request["people"],
            min_pose_detection_confidence=request["confidence"],
            min_pose_presence_confidence=request["confidence"],
            output_segmentation_masks=request["outline"],
        )
        return vision.PoseLandmarker.create_from_options(options)
    finally:
        _limit_files(open_more=False)


def _find(landmarker: Any, picture: Array, clock: Iterator[int] | None) -> tuple[Message, list[Array]]:
    """Return landmarks (N, L, 4) as shares of the picture with visibility, and masks (N, H, W) or none."""
    import mediapipe

    height, width = picture.shape[:2]
    image = mediapipe.Image(image_format=mediapipe.ImageFormat.SRGB, data=picture)
    found = landmarker.detect(image) if clock is None else landmarker.detect_for_video(image, next(clock))
    marks = [[(mark.x, mark.y, mark.z, mark.visibility) for mark in person] for person in found.pose_landmarks]
    table = np.array(marks, dtype=float).reshape(len(marks), -1, 4) if marks else np.empty((0, 0, 4))
    masks = [
        np.rint(mask.numpy_view().reshape(height, width) * 255).astype(np.uint8)
        for mask in found.segmentation_masks or ()
    ]
    return {}, [table, *masks]


def _limit_files(*, open_more: bool) -> None:
    """Allow or forbid opening anything: without a free descriptor no file and no socket can be opened."""
    try:
        import resource
    except ImportError:  # Windows
        return
    _, most = resource.getrlimit(resource.RLIMIT_NOFILE)
    resource.setrlimit(resource.RLIMIT_NOFILE, (most if open_more else 0, most))


if __name__ == "__main__":
    main()
