"""Frames of a rendered golfer as a camera would give them."""

from functools import lru_cache
from pathlib import Path

import cv2
import numpy as np

from putt_posture.clips import iterate_frames, read_clip
from putt_posture.values import Frame

SAMPLES = Path(__file__).parents[2] / "sample_clips"
SIZE = (640, 480)


def read_camera(pair, view, spans, *, size=SIZE) -> list[Frame]:
    """Return the frames of a sample clip within spans of time, the golfer in the middle."""
    return [frame for span in spans for frame in _read_span(pair, view, *span, size)]


@lru_cache(maxsize=16)
def _read_span(pair, view, start_s, stop_s, size) -> tuple[Frame, ...]:
    clip, (width, height) = read_clip(SAMPLES / pair / f"{view}.mp4", view=view), size
    frames = []
    for frame in iterate_frames(clip, start_s=start_s, stop_s=stop_s):
        scale = height / frame.picture.shape[0]
        small = cv2.resize(frame.picture, None, fx=scale, fy=scale, interpolation=cv2.INTER_AREA)
        side = (width - small.shape[1]) // 2
        wide = cv2.copyMakeBorder(small, 0, 0, side, width - small.shape[1] - side, cv2.BORDER_REPLICATE)
        frames.append(Frame(time_s=frame.time_s, picture=np.ascontiguousarray(wide)))
    return tuple(frames)


def as_jpeg(frame: Frame, *, quality: int = 90) -> bytes:
    """Return a frame as a browser would send it."""
    return cv2.imencode(".jpg", frame.picture[:, :, ::-1], [cv2.IMWRITE_JPEG_QUALITY, quality])[1].tobytes()
