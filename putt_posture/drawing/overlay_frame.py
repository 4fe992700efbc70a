"""One picture of an overlay clip: lines, trails and the time bar drawn on a frame of the stroke.

Points of the stroke are pixels of the full-size picture of their own frame. A trail is kept in the pixels of the still
(`SeenStroke.camera_px` takes each point there) and is taken back to the frame on which it is drawn, so that a camera
that moved leaves no mark on it.
"""

from typing import Any, Final

import cv2
import numpy as np
from attrs import define, field
from PIL import Image, ImageColor, ImageDraw

from putt_posture.drawing.charts import picture_letters
from putt_posture.drawing.colours import PART_COLOURS
from putt_posture.values import (
    EVENT_TITLES,
    HAND_POINTS,
    LANDMARK_INDEX,
    STROKE_EVENTS,
    Floats,
    OverlayClip,
    Picture,
    SeenStroke,
)

__all__ = ["BAR_PX", "OverlayPen", "hand_centres"]

BAR_PX: Final = 56
"""Height of the strip with the time bar below the picture."""
_SHIFT: Final = 4
"""Bits of a pixel's fraction that OpenCV draws with."""
_HALO: Final = ImageColor.getrgb("#101418")
_STRIP: Final = ImageColor.getrgb("#14191E")
_REST: Final = ImageColor.getrgb("#59646B")
_WHITE: Final = (255, 255, 255)
_TEXT_PX: Final = 19
_EDGE_PX: Final = 14
_BAR_AT: Final = 39
"""Rows from the top of the strip to the bar."""
_NAMED_S: Final = 0.35
"""Real seconds for which an event's name stays."""
_LESS: Final = 0.45
"""Share of white in the trail before the top."""
_GAP: Final = 2.6
"""A frame farther than so many frame gaps from a seen one shows no lines, and a trail is broken there."""
_SPEEDS: Final = {1.0: "full speed", 0.5: "half speed", 0.25: "quarter speed"}


def hand_centres(points_px: Floats) -> Floats:
    """Return the hand centre of each frame, (N, 2) pixels; NaN where a point of it was not seen.

    Parameters
    ----------
    points_px : (N, 33, 2)
    """
    names = [LANDMARK_INDEX[f"{side}_{part}"] for side in ("left", "right") for part in HAND_POINTS]
    return np.asarray(points_px[:, names].mean(axis=1))


@define(eq=False)
class OverlayPen:
    """Draws on the pictures of one stroke.

    Attributes
    ----------
    seen : SeenStroke
    overlay : OverlayClip
        Where and when its pictures are.
    """

    seen: SeenStroke
    overlay: OverlayClip
    _gap_s: float = field(init=False)
    _trails: dict[str, Floats] = field(init=False, repr=False)
    _titles: dict[str, Any] = field(factory=dict, init=False, repr=False)

    def __attrs_post_init__(self) -> None:
        """Take the trails to the pixels of the still once."""
        gaps = np.diff(self.seen.times_s)
        self._gap_s = float(np.median(gaps)) if len(gaps) else 1.0
        self._trails = {
            "arms": _move(self.seen.camera_px, hand_centres(self.seen.points_px)),
            "club": _move(self.seen.camera_px, self.seen.putter_head_px),
        }

    def draw(self, picture: Picture, *, time_s: float) -> Picture:
        """Return the whole picture at a clip time, (H, W, 3) uint8: the frame with lines and trails, the bar below.

        Parameters
        ----------
        picture : (h, w, 3) uint8
            RGB; the part of the frame that is shown, at its size. It is drawn on.
        time_s : float
            Clip time of the frame.
        """
        row = self._row_at(time_s)
        if row is not None:
            self._draw_trails(picture, row)
            self._draw_lines(picture, row)
        return np.vstack([picture, self._strip(time_s)])

    def _row_at(self, time_s: float) -> int | None:
        """Return the nearest frame with landmarks; None where all are too far away."""
        row = int(np.argmin(np.abs(self.seen.times_s - time_s)))
        return row if abs(self.seen.times_s[row] - time_s) <= _GAP / 2 * self._gap_s else None

    def _draw_lines(self, picture: Picture, row: int) -> None:
        points = self.seen.points_px[row]

        def place(name: str) -> Floats:
            return np.asarray(points[LANDMARK_INDEX[name]])

        hips, shoulders = ((place(f"left_{part}") + place(f"right_{part}")) / 2 for part in ("hip", "shoulder"))
        wide = self._width()
        for side in ("left", "right"):
            arm = np.array([place(f"{side}_{part}") for part in ("shoulder", "elbow", "wrist")])
            self._line(picture, arm, part="arms", wide=wide)
        self._line(picture, np.array([hips, shoulders]), part="trunk", wide=wide)
        self._line(picture, self.seen.shaft_px[row], part="club", wide=wide)

    def _draw_trails(self, picture: Picture, row: int) -> None:
        times, events = self.seen.times_s, self.overlay.events_s
        start = self.overlay.clip_time(events["start"]) if "start" in events else self.seen.stroke_s[0]
        top = self.overlay.clip_time(events["top"]) if "top" in events else None
        passed = np.arange(len(times)) <= row
        back = cv2.invertAffineTransform(self.seen.camera_px[row])
        for part, trail in self._trails.items():
            here = _move(np.broadcast_to(back, (len(trail), 2, 3)), trail)
            for first, last, less in ((start, top, _LESS), (top, None, 0.0)):
                if first is None:
                    continue
                rows = passed & (times >= first - 1e-6) & (times <= (np.inf if last is None else last + 1e-6))
                for piece in _pieces(here[rows], times[rows], most_gap_s=_GAP * self._gap_s):
                    self._line(picture, piece, part=part, wide=self._width(), less=less)

    def _line(self, picture: Picture, points_px: Floats, *, part: str, wide: int, less: float = 0.0) -> None:
        """Draw a line through points that were seen; a point that was not breaks it."""
        u0, v0, u1, _ = self.overlay.box_px
        scale = self.overlay.picture_px[0] / (u1 - u0)
        shown = (np.asarray(points_px, dtype=float) - (u0, v0)) * scale
        if len(shown) < 2 or not np.isfinite(shown).all():
            return
        whole = [np.rint(np.clip(shown, -1e4, 1e4) * 2**_SHIFT).astype(np.int32)]
        colour = np.array(ImageColor.getrgb(PART_COLOURS[part]))  # type: ignore[index]
        lighter = tuple(int(each) for each in np.rint(colour + less * (255 - colour)))
        for width, shade in ((wide + 2, _HALO), (wide, lighter)):
            cv2.polylines(picture, whole, False, shade, width, cv2.LINE_AA, _SHIFT)

    def _width(self) -> int:
        return max(2, round(self.overlay.size_px[1] / 240))

    def _strip(self, time_s: float) -> Picture:
        """Return the strip with the name of the event that passes, the speed and the time bar."""
        wide = self.overlay.size_px[0]
        passing = self._passing(time_s)
        if passing not in self._titles:
            image = Image.new("RGB", (wide, BAR_PX), _STRIP)
            pen = ImageDraw.Draw(image)
            bold, plain = (picture_letters(_TEXT_PX, bold=each) for each in (True, False))
            if passing:
                pen.text((_EDGE_PX, 4), passing, font=bold, fill=_WHITE)
            speed = _SPEEDS.get(self.overlay.speed, f"{self.overlay.speed:g} × speed")
            pen.text((wide - _EDGE_PX - pen.textlength(speed, font=plain), 4), speed, font=plain, fill="#A5ADB2")
            self._titles[passing] = np.asarray(image)
        strip: Picture = self._titles[passing].copy()
        long = self.overlay.shown_at(self.overlay.end_s)

        def at(shown_s: float) -> int:
            share = min(max(shown_s / long, 0.0), 1.0) if long > 0 else 0.0
            return round(_EDGE_PX + share * (wide - 2 * _EDGE_PX))

        now = at(self.overlay.shown_at(time_s))
        cv2.line(strip, (_EDGE_PX, _BAR_AT), (wide - _EDGE_PX, _BAR_AT), _REST, 4, cv2.LINE_AA)
        cv2.line(strip, (_EDGE_PX, _BAR_AT), (now, _BAR_AT), _WHITE, 4, cv2.LINE_AA)
        for shown_s in self.overlay.events_s.values():
            tick = at(shown_s)
            cv2.line(strip, (tick, _BAR_AT - 8), (tick, _BAR_AT + 8), _WHITE, 2, cv2.LINE_AA)
        cv2.circle(strip, (now, _BAR_AT), 6, _WHITE, -1, cv2.LINE_AA)
        return strip

    def _passing(self, time_s: float) -> str:
        """Return the title of the last event that passed just now; empty where none did."""
        shown, stays = self.overlay.shown_at(time_s), _NAMED_S / self.overlay.speed
        found = [
            name
            for name in STROKE_EVENTS
            if name in self.overlay.events_s and -1e-3 <= shown - self.overlay.events_s[name] <= stays
        ]
        return EVENT_TITLES[found[-1]] if found else ""


def _move(maps: Floats, points: Floats) -> Floats:
    """Return points, (N, 2), each moved by its own affine map, (N, 2, 3)."""
    return np.asarray(np.einsum("nij,nj->ni", maps[:, :, :2], points) + maps[:, :, 2])


def _pieces(points: Floats, times_s: Floats, *, most_gap_s: float) -> list[Floats]:
    """Return the stretches of a trail without a gap."""
    good = np.isfinite(points).all(axis=1)
    points, times_s = points[good], times_s[good]
    return np.split(points, np.flatnonzero(np.diff(times_s) > most_gap_s) + 1)
