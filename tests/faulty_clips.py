"""Faults put into the pictures of a sound clip, as a phone, a passer-by or a file can have them.

Each takes the pictures of a clip, upright RGB, and their times in seconds; the pictures that were given stay as they
are.
"""

from collections.abc import Sequence
from pathlib import Path

import cv2
import numpy as np
from numpy.typing import NDArray

from putt_posture.clips import iterate_frames, read_clip

Picture = NDArray[np.uint8]
SAMPLES = Path(__file__).parents[1] / "sample_clips"


def take_of(name: str, view: str, *, stop_s: float) -> tuple[list[Picture], list[float]]:
    """Return pictures and times of a sample clip's beginning."""
    frames = list(iterate_frames(read_clip(SAMPLES / name / f"{view}.mp4", view=view), stop_s=stop_s))
    return [np.asarray(frame.picture) for frame in frames], [frame.time_s for frame in frames]


def shaken(pictures: Sequence[Picture], times: Sequence[float], *, by_px: float = 8.0) -> list[Picture]:
    """A phone held by hand: it sways, trembles and turns by half a degree."""
    height, width = pictures[0].shape[:2]
    moved = []
    for picture, time_s in zip(pictures, times, strict=True):
        turn = cv2.getRotationMatrix2D((width / 2, height / 2), 0.4 * np.sin(3 * time_s), 1.0)
        turn[:, 2] += by_px * np.array([np.sin(4 * time_s) + 0.3 * np.sin(17 * time_s), np.cos(5 * time_s)])
        moved.append(
            cv2.warpAffine(picture, turn, (width, height), flags=cv2.INTER_CUBIC, borderMode=cv2.BORDER_REPLICATE)
        )
    return moved


def covered(pictures: Sequence[Picture], times: Sequence[float], *, from_s: float, until_s: float) -> list[Picture]:
    """A plain board is pushed before the lens in 0.3 s, and pulled away again."""
    height, width = pictures[0].shape[:2]
    shade = np.linspace(90, 120, height)[:, None, None] * np.array([1.0, 0.95, 0.9])
    shown = []
    for picture, time_s in zip(pictures, times, strict=True):
        edge = round(width * float(np.clip(min(time_s - from_s, until_s - time_s) / 0.3, 0, 1)))
        with_board = picture.copy()
        with_board[:, :edge] = shade.astype(np.uint8)
        shown.append(with_board)
    return shown


def with_balls(
    pictures: Sequence[Picture], ball_px: tuple[float, float], asides_px: list[tuple[int, int]]
) -> list[Picture]:
    """More balls like the one at `ball_px` of the first picture, so far beside it."""
    reach, u, v = 19, round(ball_px[0]), round(ball_px[1])
    ball = pictures[0][v - reach : v + reach, u - reach : u + reach].copy()
    mask = np.zeros((2 * reach, 2 * reach), np.float32)
    cv2.circle(mask, (reach, reach), 12, 1.0, -1, cv2.LINE_AA)
    mask = cv2.GaussianBlur(mask, (0, 0), 0.8)[..., None]
    shown = []
    for picture in pictures:
        more = picture.copy()
        for aside, below in asides_px:
            place = more[v + below - reach : v + below + reach, u + aside - reach : u + aside + reach]
            place[:] = (mask * ball + (1 - mask) * place).astype(np.uint8)
        shown.append(more)
    return shown


def again_at_once(times: Sequence[float], *, begin_s: float, end_s: float) -> list[int]:
    """Return which picture comes when: a stroke, back to its beginning without a rest, and the same once more."""
    first, last = (int(np.searchsorted(times, each)) for each in (begin_s, end_s))
    return [*range(last), *range(last, first, -1), *range(first, len(times))]
