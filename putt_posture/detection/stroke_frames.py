"""The frames of one stroke: looked over once for flaws and the camera's motion, then followed at full size.

Only two pictures are in memory at a time: while the model looks at one, the putter is looked for in the one before.
Boxes are u0, v0, u1, v1 in pixels of the full-size picture.
"""

from collections.abc import Callable
from concurrent.futures import Future, ThreadPoolExecutor
from typing import Final

import cv2
import numpy as np
from attrs import field, frozen

from putt_posture.clips import CameraMotion, CameraWatch, Flaws, FlawWatch, iterate_frames
from putt_posture.clips.camera_motion import LOOK_PX
from putt_posture.clips.raster import fit_size
from putt_posture.detection.detect import Detection
from putt_posture.detection.stroke_windows import StrokeWindow, choose_frames
from putt_posture.figures import count_of
from putt_posture.landmarks import EveryFrame, EveryFrameFollower, PoseModel
from putt_posture.landmarks.every_frame import place_in_track
from putt_posture.scene.following import ClubFollower, FollowedClub
from putt_posture.threads import threads_for
from putt_posture.values import Clip, Floats, Frame, Landmarks, Progress, Track, ViewResult

__all__ = ["FollowedFrames", "LookedOver", "follow_frames", "look_over"]

_ROOM_ASIDE: Final = 0.2
_ROOM_BELOW: Final = 0.12
_ROOM_ABOVE: Final = 0.15
"""Around the student's landmarks: putter, ball and shadow, in heights of the student."""
_SAME_TIME_S: Final = 1e-6
_REPORTED: Final = 3
"""Fewer doubled or missing frames are not worth a sentence."""


@frozen(kw_only=True, eq=False)
class LookedOver:
    """What is known of a stroke's frames before they are followed.

    Attributes
    ----------
    times_s : (N,)
        Clip times of the frames to follow.
    camera : CameraMotion
        Through the same frames.
    flaws : Flaws
        Of all frames.
    """

    times_s: Floats = field(repr=False)
    camera: CameraMotion
    flaws: Flaws

    def notes(self, stretch: float) -> list[str]:
        """Return sentences on doubled and missing frames and on the camera.

        Parameters
        ----------
        stretch : float
            Clip seconds in a real second.
        """
        said = []
        doubled = int(self.flaws.doubled.sum())
        if doubled >= _REPORTED:
            said.append(f"{doubled} of {len(self.flaws.doubled)} frames repeat the one before; they were left out.")
        if self.flaws.missing >= _REPORTED:
            said.append(
                f"{count_of(self.flaws.missing, 'frame')} are missing; the longest gap is "
                f"{1e3 * self.flaws.gap_s / stretch:.0f} ms, so that the times are less certain."
            )
        if self.camera.state == "moved":
            said.append(
                f"The camera moved, by {self.camera.largest_px:.0f} pixels at most; its motion was read from what "
                "stands still behind the student and taken out."
            )
        elif self.camera.state == "unknown":
            said.append(
                "Too little shows behind the student to tell whether the camera moved; it is taken to have stood still."
            )
        return said


@frozen(kw_only=True, eq=False)
class FollowedFrames:
    """Student, putter and ball in the frames of one stroke.

    Attributes
    ----------
    student : EveryFrame
    club : FollowedClub or None
        None where there is no putter.
    """

    student: EveryFrame
    club: FollowedClub | None


def look_over(clip: Clip, window: StrokeWindow, track: Track, *, still: Frame, landmarks: Landmarks) -> LookedOver:
    """Look over the frames of a stroke.

    Parameters
    ----------
    clip : Clip
    window : StrokeWindow
    track : Track
    still : Frame
        With which the camera's motion is compared.
    landmarks : Landmarks
        Of the setup; the student's place in the still.

    Returns
    -------
    LookedOver
    """
    places = [place_in_track(track, start_s=window.from_s, stop_s=window.until_s), _box_of(landmarks.points_px)]
    rooms = [_with_room(box) for box in places if box is not None]
    scale = min(LOOK_PX / max(clip.width, clip.height), 1.0)
    first = cv2.resize(still.picture, fit_size(clip.width, clip.height, LOOK_PX), interpolation=cv2.INTER_AREA)
    camera = CameraWatch(first, scale=scale, without=rooms)
    flaws = FlawWatch(scale=scale, box_px=rooms[0] if rooms else (0.0, 0.0, clip.width, clip.height))
    times: list[float] = []
    for frame in iterate_frames(clip, max_side=LOOK_PX, start_s=window.from_s, stop_s=window.until_s):
        camera.push(frame.picture)
        flaws.push(frame.picture, time_s=frame.time_s)
        times.append(frame.time_s)
    found, motion = flaws.finish(), camera.finish()
    kept = choose_frames(np.array(times)[~found.doubled], window, time_stretch=clip.time_stretch)
    rows = np.isin(np.array(times), kept)
    return LookedOver(
        times_s=kept,
        camera=CameraMotion(
            maps_px=motion.maps_px[rows], sd_px=motion.sd_px, largest_px=motion.largest_px, state=motion.state
        ),
        flaws=found,
    )


def follow_frames(
    model: PoseModel,
    detection: Detection,
    looked: LookedOver,
    *,
    track: Track,
    view: ViewResult | None,
    progress: Progress | None = None,
) -> FollowedFrames:
    """Follow student, putter and ball through the frames of a stroke.

    Parameters
    ----------
    model : PoseModel
        The small one.
    detection : Detection
    looked : LookedOver
    track : Track
    view : ViewResult or None
        The setup as it was measured; None in a clip without a putter.
    progress : callable, optional

    Returns
    -------
    FollowedFrames
    """
    clip, times = detection.clip, looked.times_s
    start_s, stop_s = float(times[0]), float(times[-1])
    student = EveryFrameFollower(model, clip, track, start_s=start_s, stop_s=stop_s)
    club = None
    if view is not None:
        hands_px = view.landmarks.hand_centre()[view.still_index]
        club = ClubFollower(view.scene, view.still.picture, hands_px=hands_px)
    moved = looked.camera.state == "moved"
    row = 0
    with _OneBehind() as beside:
        for frame in iterate_frames(clip, start_s=start_s, stop_s=stop_s):
            if row >= len(times) or abs(frame.time_s - times[row]) > _SAME_TIME_S:
                continue
            points_px = student.push(frame)
            if club is not None:
                beside.do(club.push, frame, points_px, looked.camera.maps_px[row] if moved else None)
            row += 1
            if progress is not None:
                progress("Following the stroke", row / len(times))
        beside.wait()
    return FollowedFrames(student=student.finish(), club=None if club is None else club.finish())


class _OneBehind:
    """Does one thing after the other in a thread beside this one, which is at most one ahead."""

    def __init__(self) -> None:
        self._pool = ThreadPoolExecutor(max_workers=1) if threads_for(2) > 1 else None
        self._under_way: Future[None] | None = None

    def __enter__(self) -> "_OneBehind":
        return self

    def __exit__(self, *_: object) -> None:
        if self._pool is not None:
            self._pool.shutdown()

    def do(self, act: Callable[..., None], *given: object) -> None:
        """Do this after what was asked for before; an error of that comes out here."""
        self.wait()
        if self._pool is None:
            act(*given)
        else:
            self._under_way = self._pool.submit(act, *given)

    def wait(self) -> None:
        """Wait for what is under way."""
        if self._under_way is not None:
            self._under_way.result()
            self._under_way = None


def _box_of(points_px: Floats) -> Floats | None:
    known = points_px[np.isfinite(points_px).all(axis=-1)]
    return np.concatenate([known.min(axis=0), known.max(axis=0)]) if len(known) else None


def _with_room(box: Floats) -> tuple[float, float, float, float]:
    height = box[3] - box[1]
    return (
        float(box[0] - _ROOM_ASIDE * height),
        float(box[1] - _ROOM_ABOVE * height),
        float(box[2] + _ROOM_ASIDE * height),
        float(box[3] + _ROOM_BELOW * height),
    )
