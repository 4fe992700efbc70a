"""The part of each frame in which putter and ball can be: cut out, brought to the still's place, kept small.

A stroke is looked at more than once (first for the shaft, then for what stands still behind it, then for head and
ball), and its frames are decoded once. So the part round putter and ball is kept of each frame, no finer than is
useful, as a JPEG picture in memory: some 50 kB a frame.

"Crop pixels" count from the crop's top left corner; "still pixels" are those of the full-size upright still.
"""

from functools import cache
from typing import Final

import cv2
import numpy as np
from attrs import field, frozen
from numpy.typing import NDArray

from putt_posture.values import Floats, Picture

__all__ = ["Background", "CropPlace", "KeptCrops"]

FINEST_PX_PER_CM: Final = 5.0
"""Crops are kept no finer than this, pixels per cm: a ball is then 21 pixels wide, a shaft 5."""
_QUALITY: Final = 95
"""Of the JPEG pictures, 0 to 100: their noise is then about that of one more step of the phone's own compression."""
_WHOLE: Final = np.eye(2, 3)

Pictures = NDArray[np.uint8]


@frozen(kw_only=True, eq=False)
class CropPlace:
    """Where a crop lies in the still.

    Attributes
    ----------
    corner_px : (2,)
        Its top left corner, still pixels.
    size : (int, int)
        Its width and height, crop pixels.
    zoom : float
        Crop pixels per still pixel; at most 1.
    """

    corner_px: Floats
    size: tuple[int, int]
    zoom: float

    @classmethod
    def around(cls, low_px: Floats, high_px: Floats, *, picture_size: tuple[int, int], px_per_cm: float) -> "CropPlace":
        """Return the place of a rectangle of the still, cut at the edges of the picture.

        Parameters
        ----------
        low_px, high_px : (2,)
            Its top left and bottom right corner, still pixels.
        picture_size : (int, int)
            Width and height of the still.
        px_per_cm : float
            Scale of the still.
        """
        low = np.clip(np.floor(low_px), 0, np.array(picture_size) - 2)
        high = np.clip(np.ceil(high_px), low + 2, picture_size)
        zoom = min(1.0, FINEST_PX_PER_CM / px_per_cm)
        width, height = (max(2, round(side * zoom)) for side in high - low)
        return cls(corner_px=low, size=(width, height), zoom=zoom)

    def to_crop(self, still_px: Floats) -> Floats:
        """Return points (…, 2) of the still in crop pixels.

        Parameters
        ----------
        still_px : (…, 2)
        """
        return np.asarray((still_px - self.corner_px) * self.zoom)

    def to_still(self, crop_px: Floats) -> Floats:
        """Return points (…, 2) of the crop in still pixels.

        Parameters
        ----------
        crop_px : (…, 2)
        """
        return np.asarray(crop_px / self.zoom + self.corner_px)

    def cut(self, picture: Picture, camera_px: Floats | None = None) -> Picture:
        """Cut the place out of a frame.

        Parameters
        ----------
        picture : (H, W, 3) uint8
            RGB, upright, full size.
        camera_px : (2, 3), optional
            Affine map from the frame's pixels to the still's; the same place where none is given.

        Returns
        -------
        (height, width, 3) uint8
            Black where the frame does not reach.
        """
        if camera_px is None or np.array_equal(camera_px, _WHOLE):
            left, top = self.corner_px.astype(int)
            right, bottom = np.minimum(
                self.corner_px + np.ceil(np.array(self.size) / self.zoom), picture.shape[1::-1]
            ).astype(int)
            part = picture[top:bottom, left:right]
            if part.shape[1::-1] == self.size:
                return np.ascontiguousarray(part)
            return np.asarray(cv2.resize(part, self.size, interpolation=cv2.INTER_AREA))
        if self.zoom < 0.8:
            picture = np.asarray(cv2.GaussianBlur(picture, (0, 0), 0.4 / self.zoom))
        matrix = self.zoom * np.asarray(camera_px, dtype=np.float64)
        # Points are continuous, the middle of the first pixel is 0.5, 0.5; OpenCV's is 0, 0.
        matrix[:, 2] += -self.zoom * self.corner_px + matrix[:, :2] @ [0.5, 0.5] - 0.5
        return np.asarray(cv2.warpAffine(picture, matrix, self.size, flags=cv2.INTER_LINEAR))


@frozen(kw_only=True, eq=False)
class KeptCrops:
    """The crops of a stroke, in order of time.

    Attributes
    ----------
    place : CropPlace
        The same for all frames.
    """

    place: CropPlace
    _packed: list[bytes] = field(factory=list, init=False, repr=False)

    def __len__(self) -> int:
        return len(self._packed)

    def __getitem__(self, index: int) -> Picture:
        packed = np.frombuffer(self._packed[index], dtype=np.uint8)
        return np.asarray(cv2.cvtColor(cv2.imdecode(packed, cv2.IMREAD_COLOR), cv2.COLOR_BGR2RGB))

    def keep(self, picture: Picture, camera_px: Floats | None = None) -> Picture:
        """Keep the crop of one frame, and return it as it was before it was packed.

        Parameters
        ----------
        picture : (H, W, 3) uint8
            RGB, upright, full size.
        camera_px : (2, 3), optional
            Affine map from the frame's pixels to the still's.

        Returns
        -------
        (height, width, 3) uint8
        """
        crop = self.place.cut(picture, camera_px)
        _, packed = cv2.imencode(".jpg", cv2.cvtColor(crop, cv2.COLOR_RGB2BGR), [cv2.IMWRITE_JPEG_QUALITY, _QUALITY])
        self._packed.append(packed.tobytes())
        return crop

    def several(self, indices: list[int]) -> Pictures:
        """Return the crops of some frames.

        Parameters
        ----------
        indices : list of int
            Numbers of the frames, in order of time.

        Returns
        -------
        (K, height, width, 3) uint8
        """
        crops = np.empty((len(indices), self.place.size[1], self.place.size[0], 3), dtype=np.uint8)
        for crop, index in zip(crops, indices, strict=True):
            crop[:] = self[index]
        return crops


@frozen(kw_only=True, eq=False)
class Background:
    """What stands still behind putter and ball, from some crops.

    Attributes
    ----------
    crops : (K, height, width, 3) uint8
    median : (height, width, 3) uint8
        Of all of them; of an even number the lower middle one.
    """

    crops: Pictures = field(repr=False)
    median: Picture = field(repr=False)

    @classmethod
    def of(cls, crops: Pictures) -> "Background":
        """Work out the plain median.

        Parameters
        ----------
        crops : (K, height, width, 3) uint8
            At least one.

        Returns
        -------
        Background
        """
        return cls(crops=crops, median=_lower_median(crops))

    def without(self, hidden: NDArray[np.bool_], *, make_up: bool) -> Picture:
        """Return the median over the crops of what each shows.

        Parameters
        ----------
        hidden : (K, height, width) bool
            Where putter or ball cover each crop.
        make_up : bool
            What is covered in each of these frames is made up from what lies around; otherwise it is the median all the
            same.

        Returns
        -------
        (height, width, 3) uint8
        """
        picture, always = self.median.copy(), hidden.all(axis=0)
        some = np.flatnonzero(hidden.any(axis=0) & ~always)
        if some.size:
            covered = hidden.reshape(len(hidden), -1)[:, some]
            shown = self.crops.reshape(len(hidden), -1, 3)[:, some]
            shown[covered] = 255
            picture.reshape(-1, 3)[some] = _ordered_at(shown, (len(covered) - covered.sum(axis=0) - 1) // 2)
        if make_up and always.any():
            picture = cv2.inpaint(picture, always.astype(np.uint8), 3, cv2.INPAINT_TELEA)
        return np.asarray(picture)


_BLOCK: Final = 1 << 15
"""So many values are put in order at once, so that they stay in the processor's cache."""


def _lower_median(values: Pictures) -> Picture:
    """Return the lower middle one of the values (K, …) at each place, (…)."""
    flat = values.reshape(len(values), -1)
    middle = np.empty(flat.shape[1], dtype=np.uint8)
    for first in range(0, flat.shape[1], _BLOCK):
        middle[first : first + _BLOCK] = _in_order(flat[:, first : first + _BLOCK])[(len(values) - 1) // 2]
    return middle.reshape(values.shape[1:])


def _ordered_at(values: Pictures, ranks: NDArray[np.int_]) -> Pictures:
    """Return the value (K, N, 3) of a rank (N,) at each place and channel, (N, 3)."""
    found = np.empty(values.shape[1:], dtype=np.uint8)
    step = _BLOCK // 3
    for first in range(0, values.shape[1], step):
        ordered = _in_order(values[:, first : first + step])
        for rank in np.unique(ranks[first : first + step]):
            here = ranks[first : first + step] == rank
            found[first : first + step][here] = ordered[rank][here]
    return found


def _in_order(values: Pictures) -> list[Pictures]:
    """Return the values (K, …) at each place from the least to the greatest.

    Batcher's odd-even merging network (Knuth, The Art of Computer Programming, volume 3, section 5.3.4, algorithm M of
    5.2.2): each step takes the lesser and the greater of two whole rows, which NumPy does ten times faster than a sort
    of each place.
    """
    rows = [np.array(each) for each in values]
    spare = np.empty_like(rows[0])
    for one, other in _network(len(rows)):
        np.minimum(rows[one], rows[other], out=spare)
        np.maximum(rows[one], rows[other], out=rows[other])
        rows[one], spare = spare, rows[one]
    return rows


@cache
def _network(count: int) -> tuple[tuple[int, int], ...]:
    """Return which pairs are to be put in order, one after the other."""
    pairs = []
    top = 1 << max((count - 1).bit_length() - 1, 0)
    width = top
    while width > 0:
        apart, start, again = width, 0, top
        while True:
            pairs += [(k, k + apart) for k in range(count - apart) if k & width == start]
            if again == width:
                break
            apart, start, again = again - width, width, again // 2
        width //= 2
    return tuple(pairs)
