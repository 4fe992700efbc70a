"""The student in every frame of a stroke, by the small model in a crop that stays the same.

A crop that follows the student would move the landmarks with it. Each frame is searched as the setup frames are, in the
crop and in its mirror image: on two sample strokes, each from both sides, that takes the scatter of the hands about the
path that was rendered from 0.9 to 0.7 pixels (medians), as little as the large model has. In video mode, where the
model looks near its last answer, the scatter at address is three times as large.
"""

from typing import Final

import cv2
import numpy as np
from attrs import field, frozen
from numpy.typing import NDArray

from putt_posture.landmarks.crops import Box, detect_in_crop, pad_box
from putt_posture.landmarks.identities import reach_of, unlikeness
from putt_posture.landmarks.model import PoseModel
from putt_posture.landmarks.person import Person, is_plausible
from putt_posture.landmarks.swaps import correct_swaps
from putt_posture.values import LANDMARK_NAMES, Clip, Floats, Frame, Track

__all__ = ["EveryFrame", "EveryFrameFollower", "place_in_track"]

ROOM: Final = 0.3
"""Room around everywhere the student is during the stroke, as a share of the longer side of the box."""
_LONGEST_SIDE_PX: Final = 1024
"""A larger crop is made smaller before it is searched; the model itself looks at 256 pixels."""
_SIDES_S: Final = 1.5
"""Time over which the median decides which side is which, real seconds."""
_LONGEST_GAP_S: Final = 1.0
"""Who was not seen for longer may be anywhere, real seconds."""


@frozen(kw_only=True, eq=False)
class EveryFrame:
    """The student in the N frames of a stroke.

    Attributes
    ----------
    times_s : (N,)
    points_px : (N, 33, 2)
        Pixels of the full-size picture; NaN where the student was not seen, and for points outside the picture.
    visibility, depth : (N, 33)
    swapped : int
        In how many frames left and right of arms or legs were exchanged.
    """

    times_s: Floats
    points_px: Floats = field(repr=False)
    visibility: Floats = field(repr=False)
    depth: Floats = field(repr=False)
    swapped: int

    @property
    def lost(self) -> NDArray[np.bool_]:
        """In which frames the student was not seen, (N,)."""
        return np.asarray(~np.isfinite(self.points_px).any(axis=(1, 2)))


class EveryFrameFollower:
    """Finds the student in one frame after the other; push each once, in order of time.

    Parameters
    ----------
    model : PoseModel
        The small one, without outlines.
    clip : Clip
    track : Track
        Where the student is, so that other people are not mistaken for the student.
    start_s, stop_s : float
        Clip times between which frames will come.
    """

    def __init__(self, model: PoseModel, clip: Clip, track: Track, *, start_s: float, stop_s: float) -> None:
        self._model = model
        self._clip = clip
        self._track = track
        self._last: tuple[float, Person] | None = None
        self._times: list[float] = []
        self._people: list[Person | None] = []
        around = place_in_track(track, start_s=start_s, stop_s=stop_s)
        size_px = (clip.width, clip.height)
        self.box: Box = (0, 0, *size_px) if around is None else pad_box(around, size_px=size_px, room=ROOM)

    def push(self, frame: Frame) -> Floats:
        """Find the student in the next frame.

        Parameters
        ----------
        frame : Frame
            Full size.

        Returns
        -------
        (33, 2)
            Landmarks, pixels; NaN where the student was not seen.
        """
        person = self._find(frame)
        self._times.append(frame.time_s)
        self._people.append(person)
        if person is None:
            return np.full((len(LANDMARK_NAMES), 2), np.nan)
        self._last = frame.time_s, person
        return person.points_px

    def finish(self) -> EveryFrame:
        """Return the student in all frames that were pushed, left and right corrected."""
        shape = len(self._people), len(LANDMARK_NAMES)
        points, visibility, depth = np.full((*shape, 2), np.nan), np.full(shape, np.nan), np.full(shape, np.nan)
        for row, person in enumerate(self._people):
            if person is not None:
                points[row], visibility[row], depth[row] = person.points_px, person.visibility, person.depth
        times = np.array(self._times)
        step_s = float(np.median(np.diff(times))) / self._clip.time_stretch if len(times) > 1 else _SIDES_S
        window = 2 * round(_SIDES_S / step_s / 2) + 1
        sides = correct_swaps(points, visibility, depth, view=self._clip.view, window=window)
        points = sides.points_px
        with np.errstate(invalid="ignore"):
            outside = np.any((points < 0) | (points > (self._clip.width, self._clip.height)), axis=2)
        points[outside] = np.nan
        return EveryFrame(
            times_s=times,
            points_px=points,
            visibility=sides.visibility,
            depth=sides.depth,
            swapped=sides.frames,
        )

    def _find(self, frame: Frame) -> Person | None:
        u0, v0, u1, v1 = self.box
        part = frame.picture[v0:v1, u0:u1]
        scale = min(_LONGEST_SIDE_PX / max(part.shape[:2]), 1.0)
        if scale < 1:
            part = cv2.resize(part, None, fx=scale, fy=scale, interpolation=cv2.INTER_AREA)
        torso = self._expect(frame.time_s)
        whole = (0, 0, part.shape[1], part.shape[0])
        person = detect_in_crop(
            self._model, part, whole, torso=None if torso is None else scale * (torso - np.array([u0, v0]))
        )
        if person is None or not is_plausible(person):
            return None
        person = person.moved(scale=1 / scale, shift=(u0, v0))
        if self._last is not None:
            gap_s = (frame.time_s - self._last[0]) / self._clip.time_stretch
            if gap_s < _LONGEST_GAP_S and unlikeness(self._last[1], person) > reach_of(gap_s):
                return None
        return person

    def _expect(self, time_s: float) -> Floats | None:
        """Return where mid-shoulder and mid-hip should be, (2, 2) px: as in the track, or else as last seen."""
        torso = _torso_in_track(self._track, time_s, slack_s=_LONGEST_GAP_S * self._clip.time_stretch)
        if torso is not None:
            return torso
        return None if self._last is None else self._last[1].torso


def place_in_track(track: Track, *, start_s: float, stop_s: float) -> Floats | None:
    """Return the box around everywhere the student is between two times, (4,) px; None where the student is not seen.

    Parameters
    ----------
    track : Track
    start_s, stop_s : float
        Clip times.
    """
    seen = np.flatnonzero(np.isfinite(track.boxes_px).all(axis=1))
    if not seen.size:
        return None
    times = track.times_s[seen]
    within = seen[(times >= start_s) & (times <= stop_s)]
    if not within.size:
        within = seen[[int(np.argmin(np.abs(times - (start_s + stop_s) / 2)))]]
    boxes = track.boxes_px[within]
    return np.concatenate([boxes[:, :2].min(axis=0), boxes[:, 2:].max(axis=0)])


def _torso_in_track(track: Track, time_s: float, *, slack_s: float) -> Floats | None:
    seen = np.flatnonzero(np.isfinite(track.points_px).all(axis=(1, 2)))
    if not seen.size or np.abs(track.times_s[seen] - time_s).min() > slack_s:
        return None
    pairs = [[LANDMARK_NAMES.index(f"{side}_{part}") for side in ("left", "right")] for part in ("shoulder", "hip")]
    torso = np.stack([track.points_px[seen][:, pair].mean(axis=1) for pair in pairs], axis=1)
    return np.stack(
        [[np.interp(time_s, track.times_s[seen], torso[:, row, axis]) for axis in (0, 1)] for row in (0, 1)]
    )
