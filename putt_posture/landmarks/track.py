"""Track the student through a clip: one decoding pass, the small model, and the motion around the student."""

from collections.abc import Sequence
from typing import Final

import numpy as np

from putt_posture.clips import MotionReader, motion_in_box, read_samples
from putt_posture.errors import ClipError
from putt_posture.landmarks.crops import Box
from putt_posture.landmarks.model import PoseModel, open_pose_model
from putt_posture.landmarks.person import Person
from putt_posture.landmarks.stream import LOOK_SIDE_PX, PeopleStream
from putt_posture.landmarks.student import choose_student
from putt_posture.landmarks.suitability import check_student
from putt_posture.landmarks.swaps import correct_swaps, find_facing
from putt_posture.landmarks.zoom import find_window, is_small
from putt_posture.values import LANDMARK_NAMES, Clip, Floats, Progress, Track, View

__all__ = ["LOOKS_HZ", "track_of_frames", "track_student"]


LOOKS_HZ: Final = 6.0
"""Frames searched per second of real time: an address lasts a second or more, and a detection takes some 30 ms."""

SWAP_WINDOW: Final = 9
"""Frames in the median that decides left and right while the student moves: 1.5 s."""

ROOM_AHEAD: Final = 0.35
ROOM_ACROSS: Final = 0.15
ROOM_DOWN: Final = 0.06
"""How much the box for motion is extended toward the ball (down the line), to both sides (face on) and down to the
ground, in heights of the student's box: it must contain the path of the hands, the club head and the ball."""


def track_student(
    clip: Clip,
    *,
    rate_hz: float = LOOKS_HZ,
    student_at: tuple[float, float] | None = None,
    progress: Progress | None = None,
) -> Track:
    """Track the student through a whole clip.

    Parameters
    ----------
    clip : Clip
    rate_hz : float
        Frames searched per second of real time.
    student_at : (u, v), optional
        A point on the student in pixels of the full-size upright picture.
    progress : callable, optional
        Called with what is going on and the share done.

    Returns
    -------
    Track

    Raises
    ------
    StudentNotFound
        No person, only part of a body, too small a student, a back instead of a chest, or two likely students.
    ClipError
        The picture is upside down or lies on its side, or the file cannot be decoded.
    """
    reader = MotionReader(clip)
    with open_pose_model("small") as model:
        times, looks = _look_through(model, clip, rate_hz=rate_hz, motion=reader, progress=progress)
        everybody = [person for people in looks for person in people]
        if is_small(everybody, size_px=(clip.width, clip.height)):
            window = find_window(model, clip, everybody)
            if window is not None:
                times, looks = _look_through(model, clip, rate_hz=rate_hz, window=window, progress=progress)
    try:
        return _make_track(clip, times, looks, reader, rate_hz=rate_hz, student_at=student_at)
    except ClipError as error:
        if error.path is not None:
            raise
        raise type(error)(f"{clip.name}: {error}", path=clip.path) from None


def track_of_frames(times_s: Floats, points_px: Floats, visibility: Floats) -> Track:
    """Return where the student was in frames that were searched, as if the clip had been followed there alone.

    Parameters
    ----------
    times_s : (N,)
        Clip time.
    points_px : (N, 33, 2)
        NaN where not seen.
    visibility : (N, 33)
    """
    known = np.isfinite(points_px)
    low, high = np.where(known, points_px, np.inf).min(axis=1), np.where(known, points_px, -np.inf).max(axis=1)
    boxes = np.concatenate([low, high], axis=1)
    return Track(
        times_s=times_s,
        points_px=points_px,
        visibility=visibility,
        boxes_px=np.where(np.isfinite(boxes), boxes, np.nan),
        motion_times_s=times_s,
        motion=np.zeros(len(times_s)),
    )


def _look_through(
    model: PoseModel,
    clip: Clip,
    *,
    rate_hz: float,
    window: Box | None = None,
    motion: MotionReader | None = None,
    progress: Progress | None,
) -> tuple[Floats, list[list[Person]]]:
    """Return the clip time of each frame that was searched, and its people in pixels of the full-size picture."""
    times: list[float] = []
    looks: list[list[Person]] = []
    stream = PeopleStream(model, time_stretch=clip.time_stretch, window=window)
    max_side = LOOK_SIDE_PX if window is None else None
    source = read_samples(clip, rate_hz=rate_hz / clip.time_stretch, max_side=max_side, motion=motion)
    for frame, people in stream.watch(source):
        looks.append(people)
        times.append(frame.time_s)
        if progress is not None:
            progress("Following the student", min(frame.time_s / clip.duration_s, 1.0) if clip.duration_s else 1.0)
    return np.array(times), looks


def _make_track(
    clip: Clip,
    times: Floats,
    looks: list[list[Person]],
    reader: MotionReader,
    *,
    rate_hz: float,
    student_at: tuple[float, float] | None,
) -> Track:
    choice = choose_student(times / clip.time_stretch, looks, view=clip.view, student_at=student_at)
    points, visibility, depth = _table(choice.people)
    check_student(points, visibility, depth, view=clip.view, size_px=(clip.width, clip.height))
    sides = correct_swaps(points, visibility, depth, view=clip.view, window=SWAP_WINDOW)
    boxes = np.concatenate([points.min(axis=1), points.max(axis=1)], axis=1)
    grid = reader.grid()
    wide = _stretch(boxes, facing=find_facing(points), view=clip.view)
    motion = motion_in_box(grid, _at_times(wide, times, grid.times_s, slack_s=clip.time_stretch / rate_hz))
    return Track(
        times_s=times,
        points_px=sides.points_px,
        visibility=sides.visibility,
        boxes_px=boxes,
        motion_times_s=grid.times_s,
        motion=motion,
        people=choice.most,
        notes=choice.notes,
    )


def _table(people: Sequence[Person | None]) -> tuple[Floats, Floats, Floats]:
    """Return points (N, 33, 2), visibility (N, 33) and depth (N, 33) with NaN rows for None."""
    count = len(LANDMARK_NAMES)
    points, visibility, depth = (np.full((len(people), count, *more), np.nan) for more in ((2,), (), ()))
    for row, person in enumerate(people):
        if person is not None:
            points[row], visibility[row], depth[row] = person.points_px, person.visibility, person.depth
    return points, visibility, depth


def _stretch(boxes: Floats, *, facing: float, view: View) -> Floats:
    height = boxes[:, 3] - boxes[:, 1]
    wide = boxes.copy()
    left, right = (ROOM_ACROSS, ROOM_ACROSS) if view == "face_on" else (ROOM_AHEAD, 0.0)
    if view == "down_the_line" and facing > 0:
        left, right = right, left
    wide[:, 0] -= left * height
    wide[:, 2] += right * height
    wide[:, 3] += ROOM_DOWN * height
    return wide


def _at_times(boxes: Floats, times: Floats, wanted: Floats, *, slack_s: float) -> Floats:
    """Interpolate boxes (N, 4) between the frames with the student; NaN before the first and after the last."""
    seen = np.isfinite(boxes).all(axis=1)
    result = np.stack([np.interp(wanted, times[seen], edge) for edge in boxes[seen].T], axis=1)
    result[(wanted < times[seen][0] - slack_s) | (wanted > times[seen][-1] + slack_s)] = np.nan
    return result
