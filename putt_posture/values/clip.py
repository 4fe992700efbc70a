"""A clip or still as found on disk, one upright picture out of it, and where heads are in a picture."""

from pathlib import Path
from typing import Literal

import numpy as np
from attrs import field, frozen
from numpy.typing import NDArray

from putt_posture.values.scene import Point
from putt_posture.values.showing import brief
from putt_posture.values.student import View

__all__ = ["Clip", "Frame", "Head", "Picture"]

Picture = NDArray[np.uint8]
"""(H, W, 3) RGB, upright, un-mirrored, contiguous."""


@brief
@frozen(kw_only=True)
class Clip:
    """What is known of a file before it is measured.

    Times are seconds from the first frame by the file's time stamps ("clip time"); `real_seconds` turns a
    duration in clip time into a duration in the world (stretched slow motion).

    Attributes
    ----------
    path : Path
    sha256 : str
        Hexadecimal digest of the whole file.
    view : View
    kind : {"video", "still"}
    width, height : int
        Size of the upright picture in pixels.
    duration_s : float
        Clip time from the first frame to the end of the last; 0 for a still.
    rate_hz : float
        Mean frames a second in clip time; 0 for a still.
    rotation_deg : int
        Clockwise turn that brought the stored picture upright, after un-mirroring: 0, 90, 180 or 270.
    mirrored : bool
        True where the stored picture is a mirror image; the pictures returned are not.
    codec, pixel_format : str
    transfer : {"sdr", "hlg", "pq"}
        How light is coded; HLG and PQ are mapped to natural colours.
    time_stretch : float
        Clip seconds per real second: 1, or 8 for 240 frames a second stored at 30.
    variable_rate : bool
        True where the spacing of the frames differs.
    notes : tuple of str
        Sentences for the coach about this file.
    shown_name : str
        How the file is called for people, where that is not its name on this disk.
    """

    path: Path
    sha256: str
    view: View
    kind: Literal["video", "still"]
    width: int
    height: int
    duration_s: float = 0.0
    rate_hz: float = 0.0
    rotation_deg: int = 0
    mirrored: bool = False
    codec: str = ""
    pixel_format: str = ""
    transfer: Literal["sdr", "hlg", "pq"] = "sdr"
    time_stretch: float = 1.0
    variable_rate: bool = False
    notes: tuple[str, ...] = ()
    shown_name: str = ""

    @property
    def name(self) -> str:
        """How the file is called in reports and documents."""
        return self.shown_name or self.path.name

    def real_seconds(self, clip_seconds: float) -> float:
        """Turn a duration in clip time into one in the world, both in seconds.

        Parameters
        ----------
        clip_seconds : float
            Duration in clip time.
        """
        return clip_seconds / self.time_stretch


@brief
@frozen(kw_only=True, eq=False)
class Frame:
    """One upright picture and its time.

    Attributes
    ----------
    time_s : float
        Clip time in seconds.
    picture : (H, W, 3) uint8
        RGB.
    scale : float
        Picture pixels per pixel of the full-size upright picture (1 at full size).
    erased : bool
        Whether the picture is no longer there; `picture` is then black and shows only its size.
    """

    time_s: float
    picture: Picture = field(repr=False)
    scale: float = 1.0
    erased: bool = False


@brief
@frozen(kw_only=True)
class Head:
    """A disc that contains a whole head, including hair, ears and chin, with some margin.

    Attributes
    ----------
    centre_px : Point
        Pixels of the full-size upright picture.
    radius_px : float
        The same pixels.
    """

    centre_px: Point
    radius_px: float
