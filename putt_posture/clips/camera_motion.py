"""How the camera itself moved, told from what stands still behind the student.

Corners of the background are found in one picture and followed into each frame (Lucas and Kanade 1981, in pyramids;
Shi and Tomasi 1994 for the corners, both as OpenCV has them). What most of them do together is the camera's motion: a
shift, a turn and a change of size; people who walk by behind do not count. Maps go from the pixels of a frame to those
of the first picture, both of the full-size upright picture.
"""

import itertools
from collections.abc import Sequence
from typing import Final

import cv2
import numpy as np
from attrs import field, frozen
from numpy.typing import NDArray
from scipy.ndimage import median_filter

from putt_posture.values import Floats, Picture

__all__ = ["LOOK_PX", "CameraMotion", "CameraWatch"]

LOOK_PX: Final = 640
"""Longer side of the pictures that are compared, pixels."""
_CELLS: Final = (9, 12)
_CORNERS_A_CELL: Final = 4
"""The picture is cut into cells, and the clearest corners of each are taken, so that one thing with many corners, such
as a passer-by, does not outvote the room."""
_LEAST_CORNERS: Final = 10
"""With fewer corners behind the student it is not known whether the camera moved."""
_CORNER_QUALITY: Final = 0.004
"""Clearness of a corner as a share of the clearest one in the picture."""
_CORNER_GAP_PX: Final = 7
_AGREE_PX: Final = 0.7
"""A corner that ends this near to where the common motion takes it agrees with it, small pixels."""
_LEAST_AGREEING: Final = 0.35
"""Share of the corners that has to agree."""
_NO_BETTER: Final = 0.85
"""A camera that stood explains this share, or more, of the corners that the best motion explains."""
_STOOD_PX: Final = 0.25
"""Corners of compressed pictures are followed to a tenth of a pixel; a median of theirs below this, small pixels, is no
motion."""
_STEADY_FRAMES: Final = 5
"""Over so many frames in a row the median tells movement from jitter of the following."""
_STANDS: Final = 0.97
"""Share of the frames in which nothing else than standing may be seen."""
_LEAST_KNOWN: Final = 0.8
"""Share of the frames in which the motion must be known to be taken out."""
_MOST_MOVED: Final = 0.2
"""Share of the picture's shorter side by which it may move: farther, too much of the room is out of sight."""
_ROBUST: Final = 1.4826
"""Standard deviation of a normal variable by its median absolute deviation."""
_WINDOW: Final = (21, 21)
_LEVELS: Final = 4


@frozen(kw_only=True, eq=False)
class CameraMotion:
    """What the camera did through N frames.

    Attributes
    ----------
    maps_px : (N, 2, 3)
        Affine map from each frame's pixels to those of the first picture; the identity where the camera stood.
    sd_px : float
        One sigma of a point moved by it, pixels; 0 where the camera stood.
    largest_px : float
        How far the picture moved at most, pixels.
    state : str
        ``stood``, ``moved`` (and can be taken out), ``unknown`` (too little to see behind the student) or ``wild``
        (moved so much that it cannot be taken out).
    """

    maps_px: Floats = field(repr=False)
    sd_px: float
    largest_px: float
    state: str


def _nothing(*shape: int) -> Floats:
    return np.full(shape, np.nan)


@frozen(kw_only=True, eq=False)
class _Look:
    """One frame compared with the first picture; small pixels.

    `drift` is the median shift of the corners that agree with a camera that stood, `small_map` goes from the frame to
    the first picture, and `off` is how far the agreeing corners are from where it takes them, root mean square: things
    nearer and farther than the student move differently where the phone itself does not only turn.
    """

    stands: bool = False
    drift: Floats = field(factory=lambda: _nothing(2))
    small_map: Floats | None = None
    off: float = 0.0


class CameraWatch:
    """Compares frames with one picture; push each frame once, in order of time.

    Parameters
    ----------
    first : (h, w, 3) uint8
        The picture with which frames are compared, made small like the frames.
    scale : float
        Small pixels per full-size pixel.
    without : sequence of (u0, v0, u1, v1)
        Parts that may move by themselves, such as the student, pixels of the full size.
    """

    def __init__(self, first: Picture, *, scale: float, without: Sequence[tuple[float, float, float, float]]) -> None:
        self._scale = scale
        self._size = first.shape[1], first.shape[0]
        self._first = cv2.cvtColor(first, cv2.COLOR_RGB2GRAY)
        free = np.full(self._first.shape, 255, dtype=np.uint8)
        for u0, v0, u1, v1 in without:
            left, top, right, bottom = (round(edge * scale) for edge in (u0, v0, u1, v1))
            free[max(top, 0) : max(bottom, 0), max(left, 0) : max(right, 0)] = 0
        self._corners = _keep_followable(self._first, _find_corners(self._first, free))
        self._last: Floats | None = None
        self._looks: list[_Look] = []

    def push(self, picture: Picture) -> None:
        """Compare the next frame.

        Parameters
        ----------
        picture : (h, w, 3) uint8
            Of the size of the first picture.
        """
        look = _Look()
        if len(self._corners) >= _LEAST_CORNERS:
            grey = cv2.cvtColor(picture, cv2.COLOR_RGB2GRAY)
            look = self._compare(grey, self._last)
            if not look.stands and look.small_map is None:
                look = self._compare(grey, self._shift_of(grey))
        if look.small_map is not None:
            self._last = look.small_map
        self._looks.append(look)

    def finish(self) -> CameraMotion:
        """Return the motion through all frames that were pushed."""
        count = len(self._looks)
        stood = np.tile(np.eye(2, 3), (count, 1, 1))
        if len(self._corners) < _LEAST_CORNERS or not count:
            return CameraMotion(maps_px=stood, sd_px=0.0, largest_px=0.0, state="unknown")
        maps = np.stack([_nothing(2, 3) if look.small_map is None else look.small_map for look in self._looks])
        size = min(_STEADY_FRAMES, 2 * ((count - 1) // 2) + 1)
        stands = np.array([look.stands for look in self._looks])
        if stands.mean() >= _STANDS:
            drift = median_filter(
                np.array([look.drift for look in self._looks])[stands], size=(size, 1), mode="nearest"
            )
            far = float(np.linalg.norm(drift, axis=1).max())
            if far < _STOOD_PX:
                return CameraMotion(maps_px=stood, sd_px=0.0, largest_px=far / self._scale, state="stood")
        known = np.isfinite(maps).all(axis=(1, 2))
        if known.mean() < _LEAST_KNOWN:
            moved = self._moved(maps[known]) if known.any() else np.zeros(1)
            largest_px = float(moved.max()) / self._scale
            return CameraMotion(maps_px=stood, sd_px=0.0, largest_px=largest_px, state="wild")
        seen = np.flatnonzero(known)
        flat = np.stack([np.interp(np.arange(count), seen, part) for part in maps[known].reshape(-1, 6).T], axis=1)
        whole = flat.reshape(-1, 2, 3)
        steady = median_filter(flat, size=(size, 1), mode="nearest").reshape(-1, 2, 3)
        largest = float(self._moved(steady).max())
        if largest > _MOST_MOVED * min(self._size):
            return CameraMotion(maps_px=stood, sd_px=0.0, largest_px=largest / self._scale, state="wild")
        jitter = np.diff(self._middle(whole), n=2, axis=0) / np.sqrt(6) if count > 2 else np.zeros((1, 2))
        off = float(np.median([look.off for look in self._looks if look.small_map is not None]))
        sd = float(np.hypot(_ROBUST * np.median(np.abs(jitter)), off))
        return CameraMotion(
            maps_px=self._in_full_pixels(whole),
            sd_px=sd / self._scale,
            largest_px=largest / self._scale,
            state="moved",
        )

    def _compare(self, grey: NDArray[np.uint8], guess: Floats | None) -> "_Look":
        """Compare a frame with the first picture, near a guess of the map between them."""
        start = self._corners.copy()
        if guess is not None:  # from the first picture into the frame
            back = cv2.invertAffineTransform(guess)
            start = (start.reshape(-1, 2) @ back[:, :2].T + back[:, 2]).astype(np.float32).reshape(-1, 1, 2)
        there, good = _follow(self._first, grey, self._corners, start)
        if good.sum() < _LEAST_CORNERS:
            return _Look()
        ends, corners = there[good].reshape(-1, 2), self._corners[good].reshape(-1, 2)
        best, agree = cv2.estimateAffinePartial2D(ends, corners, ransacReprojThreshold=_AGREE_PX)
        agreeing = 0 if best is None else int(agree.sum())
        shifts = ends - corners
        still = np.linalg.norm(shifts, axis=1) <= _AGREE_PX
        least = max(_LEAST_CORNERS, _LEAST_AGREEING * len(self._corners))
        stands = still.sum() >= max(_NO_BETTER * agreeing, least)
        drift = np.median(shifts[still], axis=0) if stands else _nothing(2)
        if agreeing < least:
            return _Look(stands=bool(stands), drift=drift)
        best = np.asarray(best, dtype=np.float64)
        agree = agree.ravel() == 1
        rest = ends[agree] @ best[:, :2].T + best[:, 2] - corners[agree]
        return _Look(stands=bool(stands), drift=drift, small_map=best, off=float(np.sqrt(np.mean(rest**2))))

    def _shift_of(self, grey: NDArray[np.uint8]) -> Floats:
        """Return the shift of the whole picture, roughly, as a map from the frame to the first picture."""
        window = cv2.createHanningWindow(self._size, cv2.CV_32F)
        shift, _ = cv2.phaseCorrelate(self._first.astype(np.float32), grey.astype(np.float32), window)
        return np.array([[1.0, 0.0, -shift[0]], [0.0, 1.0, -shift[1]]])

    def _middle(self, maps: Floats) -> Floats:
        """Return where each map takes the middle of the picture, (N, 2) small pixels."""
        middle: Floats = maps[:, :, :2] @ (np.array(self._size) / 2) + maps[:, :, 2]
        return middle

    def _moved(self, maps: Floats) -> Floats:
        """Return how far each map moves the middle and two points beside it, (N,) small pixels."""
        width, height = self._size
        points = np.array([(x * width, y * height) for x, y in ((0.5, 0.5), (0.3, 0.75), (0.7, 0.25))])
        there = np.einsum("nij,pj->npi", maps[:, :, :2], points) + maps[:, None, :, 2]
        return np.asarray(np.linalg.norm(there - points, axis=2).max(axis=1))

    def _in_full_pixels(self, maps: Floats) -> Floats:
        """Turn maps of small pixels into maps of full-size ones; the middle of pixel 0 is at 0 in both."""
        turned, half = maps[:, :, :2], np.array([0.5, 0.5])
        edge = half / self._scale - half  # where the middle of the small pixel 0 is in the full picture
        shift = maps[:, :, 2] / self._scale + edge - turned @ edge
        return np.concatenate([turned, shift[:, :, None]], axis=2)


def _follow(
    first: NDArray[np.uint8], grey: NDArray[np.uint8], corners: NDArray[np.float32], start: NDArray[np.float32]
) -> tuple[NDArray[np.float32], NDArray[np.bool_]]:
    """Return where corners of the first picture are in another, (C, 1, 2), and which of them were found, (C,)."""
    there, found, _ = cv2.calcOpticalFlowPyrLK(
        first, grey, corners, start, winSize=_WINDOW, maxLevel=_LEVELS, flags=cv2.OPTFLOW_USE_INITIAL_FLOW
    )
    return np.asarray(there, dtype=np.float32), np.asarray(found.ravel() == 1)


def _keep_followable(grey: NDArray[np.uint8], corners: NDArray[np.float32]) -> NDArray[np.float32]:
    """Return the corners that are found in their own picture: faint ones are not, and must not count as moved."""
    return corners[_follow(grey, grey, corners, corners.copy())[1]] if len(corners) else corners


def _find_corners(grey: NDArray[np.uint8], free: NDArray[np.uint8]) -> NDArray[np.float32]:
    """Return the clearest corners of each cell, (C, 1, 2) small pixels."""
    clear = np.where(free > 0, cv2.cornerMinEigenVal(grey, 3), 0.0)
    least = _CORNER_QUALITY * float(clear.max())
    (height, width), found = grey.shape, []
    for top, bottom in itertools.pairwise(np.linspace(0, height, _CELLS[1] + 1).astype(int)):
        for left, right in itertools.pairwise(np.linspace(0, width, _CELLS[0] + 1).astype(int)):
            cell = np.s_[top:bottom, left:right]
            most = float(clear[cell].max())
            if most <= max(least, 0.0):
                continue
            corners = cv2.goodFeaturesToTrack(
                np.ascontiguousarray(grey[cell]),
                _CORNERS_A_CELL,
                max(least / most, _CORNER_QUALITY),
                _CORNER_GAP_PX,
                mask=np.ascontiguousarray(free[cell]),
            )
            if corners is not None:
                found.append(corners + np.array([left, top], dtype=np.float32))
    return np.concatenate(found) if found else np.empty((0, 1, 2), dtype=np.float32)
