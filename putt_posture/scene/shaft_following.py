"""The shaft and the head of the putter through the frames of a stroke.

The shaft hangs from the hands, so its line is searched for below them, close to where it was going. The head sits at
its end. How far down the line it is says the picture of the head in the still: it is slid along the line, over what
stands still behind it, to where both together look most like the frame.

All points are crop pixels (`scene/crops.py`); distances run down the line from the place beside the hands.
"""

import math
from typing import Final

import cv2
import numpy as np
from attrs import field, frozen
from numpy.typing import NDArray

from putt_posture.scene.shaft_line import BareShaft, Line, find_lines, fit_line, refine_line
from putt_posture.scene.strip import Strip
from putt_posture.values import Floats, Picture

__all__ = ["FoundHead", "HeadTemplate", "ShaftLine", "ShaftTracker"]

Flags = NDArray[np.bool_]

_FIRST_DEG: Final = 10.0
"""How far from the still's shaft the first line is searched, either way, deg."""
_NARROW_DEG: Final = 3.0
"""How far from where it was going, deg; more by `_WIDER_DEG_S` for each second without it."""
_WIDER_DEG_S: Final = 60.0
"""Shafts turn by up to 70° a second (a quarter sine of 14° in 0.32 s)."""
_WIDEST_DEG: Final = 40.0
_OFF_HANDS_CM: Final = 3.5
"""How far from its usual place beside the hands the line may pass, cm: hands are seen less exactly than the shaft."""
_LEAST_SCORE: Final = 0.30
"""Least mean evidence of a line close to where it is expected; a line anywhere needs 0.42 (`scene/shaft.py`)."""
_SCORE_A_DEG: Final = 0.02
_SCORE_A_CM: Final = 0.02
"""What a line loses for each degree and each cm away from where it is expected."""
_USUAL_CM: Final = (14.0, 6.0)
"""Where the bare shaft begins below the hands and ends above the sole, where the still does not show it, cm."""
_LEAST_BARE_CM: Final = 20.0
_ANGLE_SD_DEG: Final = 0.12
"""One sigma of the line's direction from one frame to the next, deg, beside what the scatter of its middles says."""

_STEP_CM: Final = 0.25
_ABOVE_CM: Final = 9.0
_BELOW_CM: Final = 5.0
_HALF_CM: Final = 7.0
_REACH_CM: Final = 13.0
"""How far along the line the head may be from where the still has it, cm: down the line a head that comes 40 cm nearer
is seen some 10 cm lower."""
_NEAR_CM: Final = 4.0
_EDGE_CM: Final = 0.75
_FOREGROUND_LEVELS: Final = 10.0
"""Difference from what stands still, of 255, at which a place is half head."""
_LEAST_FOREGROUND_CM2: Final = 6.0
_LEAST_GAIN: Final = 0.35
"""Least share of the difference between frame and background that the head must explain."""
_SHAFT_WIDE_CM: Final = 1.5


@frozen(kw_only=True, eq=False)
class ShaftLine:
    """The shaft in one frame.

    Attributes
    ----------
    line : Line
        Through its middle; its start is beside the hands.
    angle_deg : float
        From the picture's vertical, + = to the right below.
    angle_sd_deg : float
    scatter_px : float
        Of its middles about the line.
    """

    line: Line
    angle_deg: float
    angle_sd_deg: float
    scatter_px: float


class ShaftTracker:
    """Finds the shaft in one frame after the other.

    Parameters
    ----------
    still : (H, W, 3) uint8
        The crop of the still.
    shaft_px : (2, 2)
        Butt and sole in it.
    hands_px : (2,)
        Hand centre in it; NaN where hidden, then it is taken as lying on the shaft.
    px_per_cm : float
        Crop pixels per cm.
    """

    def __init__(self, still: Picture, *, shaft_px: Floats, hands_px: Floats, px_per_cm: float) -> None:
        self._px_per_cm = px_per_cm
        down = shaft_px[1] - shaft_px[0]
        self.length_px = float(np.linalg.norm(down))
        along = down / self.length_px
        if not np.isfinite(hands_px).all():
            hands_px = shaft_px[0] + 0.15 * down
        from_butt = float((hands_px - shaft_px[0]) @ along)
        self.butt_px, self.sole_px = -from_butt, self.length_px - from_butt
        self._aside = float((shaft_px[0] - hands_px) @ _across(along))
        start = hands_px + self._aside * _across(along)
        self.first = ShaftLine(
            line=Line(start_px=start, along=along, score=1.0),
            angle_deg=_angle(along),
            angle_sd_deg=0.25,
            scatter_px=0.0,
        )
        self._bare_cm = self._find_bare(still)
        self._angle, self._rate, self._time, self._hands = self.first.angle_deg, 0.0, math.nan, hands_px

    def next(self, crop: Picture, *, time_s: float, hands_px: Floats) -> ShaftLine | None:
        """Find the shaft in the next frame; None where it does not show.

        Parameters
        ----------
        crop : (H, W, 3) uint8
        time_s : float
            Later than that of the frame before.
        hands_px : (2,)
            Hand centre in it; NaN where hidden.
        """
        if np.isfinite(hands_px).all():
            self._hands = hands_px
        since = time_s - self._time
        if math.isnan(since):
            expected, reach = self._angle, _FIRST_DEG
        else:
            # A rate that was seen long ago says little of where the shaft is.
            expected = self._angle + self._rate * min(since, 0.1)
            reach = min(_NARROW_DEG + _WIDER_DEG_S * max(since - 0.05, 0.0), _WIDEST_DEG)
        found = self._search(crop, expected=expected, reach=reach)
        if found is None:
            return None
        if not math.isnan(since) and since < 0.2:
            self._rate = 0.5 * self._rate + 0.5 * (found.angle_deg - self._angle) / since
        else:
            self._rate = 0.0
        self._angle, self._time = found.angle_deg, time_s
        return found

    def _search(self, crop: Picture, *, expected: float, reach: float) -> ShaftLine | None:
        turn = math.radians(expected)
        along = np.array([math.sin(turn), math.cos(turn)])
        start = self._hands + self._aside * _across(along)
        first, last = self._bare_cm
        lines = find_lines(
            crop,
            start_px=start,
            angles_deg=(expected - reach, expected + reach),
            px_per_cm=self._px_per_cm,
            first_cm=first,
            last_cm=last,
            offset_cm=_OFF_HANDS_CM,
            strip_deg=2 * _NARROW_DEG,
        )
        best, best_score = None, _LEAST_SCORE
        for line in lines:
            off_cm = abs(float((line.start_px - start) @ _across(along))) / self._px_per_cm
            score = line.score - _SCORE_A_DEG * abs(_angle(line.along) - expected) - _SCORE_A_CM * off_cm
            if score > best_score:
                best, best_score = line, score
        if best is None:
            return None
        fitted = fit_line(crop, best, px_per_cm=self._px_per_cm, first_cm=first, last_cm=last)
        if fitted is None:
            return None
        return _shaft_line(fitted, self._hands)

    def _find_bare(self, still: Picture) -> tuple[float, float]:
        """Return where the bare shaft begins and ends in the still, cm below the hands."""
        sole_cm = self.sole_px / self._px_per_cm
        first, last = _USUAL_CM[0], sole_cm - _USUAL_CM[1]
        bare = refine_line(
            still, self.first.line, px_per_cm=self._px_per_cm, first_cm=3.0, again_cm=sole_cm, last_cm=sole_cm
        )
        if bare is not None:
            first = max(first, bare.top / self._px_per_cm)
            last = min(last, bare.bottom / self._px_per_cm)
        if last - first < _LEAST_BARE_CM:
            first, last = min(_USUAL_CM[0], sole_cm / 3), max(sole_cm - _USUAL_CM[1], 2 * sole_cm / 3)
        return first, last


@frozen(kw_only=True, eq=False)
class FoundHead:
    """The putter head in one frame.

    Attributes
    ----------
    moved_px : float
        How far down the line from where the still has it, crop pixels.
    sd_px : float
        One sigma of it.
    """

    moved_px: float
    sd_px: float


@frozen(kw_only=True, eq=False)
class HeadTemplate:
    """The picture of the head in the still, to be found again along the line of the shaft.

    Attributes
    ----------
    cut : (rows, columns, 3)
        Of the still, along its shaft, where the head is.
    share : (rows, columns)
        How much of each place is head, 0 to 1.
    weight : (rows, columns)
        How much each place counts: the head and its edge.
    above, below, aside : int
        What the rows and columns cover from the sole, steps.
    px_per_cm : float
    """

    cut: Floats = field(repr=False)
    share: Floats = field(repr=False)
    weight: Floats = field(repr=False)
    above: int
    below: int
    aside: int
    px_per_cm: float

    @classmethod
    def of_still(
        cls, still: Picture, behind: Picture, *, line: Line, sole_px: float, px_per_cm: float
    ) -> "HeadTemplate | None":
        """Take the head out of the still; None where it does not differ from what stands still behind it.

        Parameters
        ----------
        still, behind : (H, W, 3) uint8
            The crop of the still, and the same place without the putter.
        line : Line
            Of the shaft in the still.
        sole_px : float
            Distance of the sole down it.
        px_per_cm : float
        """
        above, below, aside = (round(cm / _STEP_CM) for cm in (_ABOVE_CM, _BELOW_CM, _HALF_CM))
        strip = _head_strip(line, sole_px, px_per_cm, above=above, below=below, aside=aside)
        cut = np.nan_to_num(strip.cut(still))
        away = np.linalg.norm(cut - np.nan_to_num(strip.cut(behind)), axis=-1)
        away = cv2.GaussianBlur(away, (0, 0), 1.0)
        share = away**2 / (away**2 + _FOREGROUND_LEVELS**2)
        # The shaft looks the same all along and says nothing of how far down the head is.
        wide = (share > 0.5).sum(axis=1) * _STEP_CM > _SHAFT_WIDE_CM
        rows = np.flatnonzero(wide)
        if (share[wide] > 0.5).sum() * _STEP_CM**2 < _LEAST_FOREGROUND_CM2:
            return None
        columns = np.flatnonzero((share[wide] > 0.5).mean(axis=0) > 0.15)
        middle = share.shape[1] // 2
        edge = round(_EDGE_CM / _STEP_CM)
        half = min(max(abs(columns[0] - middle), abs(columns[-1] - middle)) + edge, middle)
        first, last = max(rows[0] - edge, 0), min(rows[-1] + edge, len(share) - 1)
        kept = np.s_[first : last + 1, middle - half : middle + half + 1]
        weight = cv2.dilate((share[kept] > 0.5).astype(np.uint8), np.ones((2 * edge + 1,) * 2, np.uint8))
        return cls(
            cut=cut[kept],
            share=share[kept],
            weight=weight.astype(np.float64),
            above=above - int(first),
            below=int(last) - above,
            aside=int(half),
            px_per_cm=px_per_cm,
        )

    def box_cm(self) -> tuple[float, float, float]:
        """Return what the head covers along the shaft, from the sole, and to either side, cm."""
        return -self.above * _STEP_CM, self.below * _STEP_CM, self.aside * _STEP_CM

    def covers(self, shape: tuple[int, int], *, line: Line, sole_px: float) -> Flags:
        """Return where the head covers a crop, (H, W).

        Parameters
        ----------
        shape : (int, int)
            Height and width of the crop.
        line : Line
            Of the shaft in the frame.
        sole_px : float
            Distance of the sole down it in the frame.
        """
        strip = _head_strip(line, sole_px, self.px_per_cm, above=self.above, below=self.below, aside=self.aside)
        corner = strip.start_px + strip.first * strip.along + strip.offsets[0] * strip.across
        matrix = np.column_stack([strip.step_px * strip.across, strip.step_px * strip.along, corner - 0.5])
        share = cv2.warpAffine(self.share.astype(np.float32), matrix, (shape[1], shape[0]), flags=cv2.INTER_LINEAR)
        return np.asarray(share > 0.5)

    def find(
        self, crop: Picture, behind: Picture, *, line: Line, sole_px: float, near_px: float | None = None
    ) -> FoundHead | None:
        """Find the head along the line of a frame; None where it does not show.

        Parameters
        ----------
        crop, behind : (H, W, 3) uint8
            The frame, and the same place without the putter.
        line : Line
            Of the shaft in the frame.
        sole_px : float
            Distance of the sole down it as in the still.
        near_px : float, optional
            How far from there it is expected; everything within 13 cm is tried where nothing is known.
        """
        centre = 0.0 if near_px is None else near_px
        reach = round((_REACH_CM if near_px is None else _NEAR_CM) / _STEP_CM)
        strip = _head_strip(
            line,
            sole_px + centre,
            self.px_per_cm,
            above=self.above + reach,
            below=self.below + reach,
            aside=self.aside,
        )
        frame, floor = strip.cut(crop), strip.cut(behind)
        seen = np.asarray(np.isfinite(frame).all(axis=-1))
        costs, plain = self._costs(np.nan_to_num(frame), np.nan_to_num(floor), seen)
        best = int(np.argmin(costs))
        if not plain[best] > 0 or 1 - costs[best] / plain[best] < _LEAST_GAIN or best in (0, len(costs) - 1):
            return None
        low, middle, high = costs[best - 1 : best + 2]
        curve = max(low - 2 * middle + high, 1e-9)
        part_step = 0.5 * (low - high) / curve
        # A patch of 1 cm² counts as one independent reading.
        readings = max(self.share.sum() * _STEP_CM**2, 1.0)
        sd = strip.step_px * math.sqrt(2 * middle / curve / readings)
        moved = centre + (best + part_step - (len(costs) - 1) / 2) * strip.step_px
        return FoundHead(moved_px=float(moved), sd_px=max(sd, 0.1 * strip.step_px))

    def _costs(self, frame: Floats, floor: Floats, seen: Flags) -> tuple[Floats, Floats]:
        """Return the mean difference between frame and head, and frame and background, for each shift, (shifts,).

        A large difference counts in proportion, not squared; infinite where nothing of the head's place is seen.
        """
        rows, columns = np.nonzero(self.weight)
        shifts = np.arange(len(frame) - len(self.cut) + 1)
        at = shifts[:, None] * frame.shape[1] + rows * frame.shape[1] + columns
        share, cut = self.share[rows, columns].astype(np.float32), self.cut[rows, columns].astype(np.float32)
        # One channel at a time: NumPy takes several times as long over an axis of three.
        floors = [floor[..., channel].ravel().astype(np.float32) for channel in range(3)]
        aparts = [frame[..., channel].ravel().astype(np.float32) - floors[channel] for channel in range(3)]
        plain = np.sqrt(aparts[0] ** 2 + aparts[1] ** 2 + aparts[2] ** 2 + 1)
        size = np.ones(at.shape, dtype=np.float32)
        for channel in range(3):
            off = floors[channel].take(at)
            off -= cut[:, channel]
            off *= share
            off += aparts[channel].take(at)
            off *= off
            size += off
        size = np.sqrt(size, out=size)
        counted = seen.ravel().astype(np.float32).take(at) * self.weight[rows, columns].astype(np.float32)
        total = counted.sum(axis=1, dtype=np.float64)
        with np.errstate(invalid="ignore", divide="ignore"):
            means = [(counted * each).sum(axis=1, dtype=np.float64) / total for each in (size, plain.take(at))]
        return np.where(total > 0, means[0], np.inf), np.where(total > 0, means[1], np.inf)


def _head_strip(line: Line, sole_px: float, px_per_cm: float, *, above: int, below: int, aside: int) -> Strip:
    """Return the strip with so many steps on either side of the sole."""
    step = _STEP_CM * px_per_cm
    return Strip(
        start_px=line.start_px,
        along=line.along,
        step_px=step,
        first=sole_px - above * step,
        last=sole_px + (below + 0.5) * step,
        half_width=(aside + 0.5) * step,
    )


def _shaft_line(fitted: BareShaft, hands_px: Floats) -> ShaftLine:
    """Return the line with its start moved beside the hands."""
    along = fitted.line.along
    start = fitted.line.start_px + float((hands_px - fitted.line.start_px) @ along) * along
    return ShaftLine(
        line=Line(start_px=start, along=along, score=fitted.line.score),
        angle_deg=_angle(along),
        angle_sd_deg=math.hypot(fitted.angle_sd_deg, _ANGLE_SD_DEG),
        scatter_px=fitted.scatter_px,
    )


def _angle(along: Floats) -> float:
    return math.degrees(math.atan2(along[0], along[1]))


def _across(along: Floats) -> Floats:
    return np.array([along[1], -along[0]])
