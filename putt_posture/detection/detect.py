"""Detect what one lesson's clips show: track the student, find the setups, find the landmarks in them.

This is the slow part. It needs to know nothing about the student except where they stand. Everything that follows is
quick, so to measure the same clips many times, keep the detections.
"""

import threading
from collections.abc import Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor

from attrs import field, frozen

from putt_posture.landmarks import find_landmarks, track_student
from putt_posture.landmarks.suitability import check_views
from putt_posture.setups import FollowedStroke, choose_setups, find_setups_together
from putt_posture.shown import begin_lower
from putt_posture.threads import threads_for
from putt_posture.values import (
    VIEW_TITLES,
    Clip,
    Frame,
    Landmarks,
    PictureFinds,
    Point,
    Progress,
    SeenStrokes,
    Setup,
    Track,
    View,
    part_of_progress,
)
from putt_posture.values.showing import brief

__all__ = ["Detection", "Shares", "detect_in_clips", "follow_in_clips"]


@brief
@frozen(kw_only=True, eq=False)
class Detection:
    """What was seen in one clip.

    Attributes
    ----------
    clip : Clip
    setups : tuple of Setup
    landmarks : Landmarks
        As the model gave them.
    still : Frame
        The full-size picture of the setup that stands for the lesson.
    still_index : int
        Which frame of `landmarks` it is.
    notes : tuple of str
        Sentences for the coach about the clip, the following and the landmarks.
    finds : PictureFinds or None
        What was found in the still when it was measured before; None where it is still to be looked at.
    track : Track or None
        The student through the clip, for the strokes; None in a detection that was stored.
    strokes : SeenStrokes or None
        What was seen of the strokes; None where none was looked for.
    """

    clip: Clip
    setups: tuple[Setup, ...]
    landmarks: Landmarks = field(repr=False)
    still: Frame = field(repr=False)
    still_index: int
    notes: tuple[str, ...] = ()
    finds: PictureFinds | None = field(default=None, repr=False)
    track: Track | None = field(default=None, repr=False)
    strokes: SeenStrokes | None = field(default=None, repr=False)


class Shares:
    """The progress of several clips at once as one share done.

    Parameters
    ----------
    views : sequence of View
    progress : callable or None
        Called with what is going on and the share done of all clips.
    """

    def __init__(self, views: Sequence[View], progress: Progress | None) -> None:
        self._done: dict[View, float] = dict.fromkeys(views, 0.0)
        self._progress = progress
        self._lock = threading.Lock()

    def of(self, view: View) -> Progress | None:
        """Return the callback for one clip; None where no progress is shown.

        Parameters
        ----------
        view : View
        """
        progress = self._progress
        if progress is None:
            return None
        name = VIEW_TITLES[view].lower()

        def tell(what: str, done: float) -> None:
            with self._lock:
                self._done[view] = done
                progress(f"{what}, {name}", sum(self._done.values()) / len(self._done))

        return tell


def follow_in_clips(
    clips: Mapping[View, Clip],
    *,
    student_at: Mapping[View, Point] | None = None,
    progress: Progress | None = None,
) -> dict[View, Track]:
    """Follow the student through clips, side by side.

    Parameters
    ----------
    clips : mapping of View to Clip
        At least one.
    student_at : mapping of View to Point, optional
        As for `detect_in_clips`.
    progress : callable, optional

    Raises
    ------
    ClipError, StudentNotFound
        The first clip's where both have one.
    UsageError
        The two clips show each other's view.
    """
    shares, places = Shares(tuple(clips), progress), student_at or {}
    with ThreadPoolExecutor(max_workers=threads_for(len(clips))) as pool:
        following = {
            view: pool.submit(track_student, clip, student_at=places.get(view), progress=shares.of(view))
            for view, clip in clips.items()
        }
        tracks = {view: future.result() for view, future in following.items()}
    check_views({view: (clips[view].name, tracks[view]) for view in clips})
    return tracks


def detect_in_clips(
    clips: Mapping[View, Clip],
    *,
    setup_at: Mapping[View, Sequence[float]] | None = None,
    student_at: Mapping[View, Point] | None = None,
    without_putter: bool = False,
    tracks: Mapping[View, Track] | None = None,
    followed: Mapping[View, Sequence[FollowedStroke]] | None = None,
    progress: Progress | None = None,
) -> dict[View, Detection]:
    """Detect the student's landmarks at the setups of the clips, side by side.

    Parameters
    ----------
    clips : mapping of View to Clip
        At least one.
    setup_at : mapping of View to seconds, optional
        Clip times of the setups, in place of the finder's.
    student_at : mapping of View to Point, optional
        A point on the student where several people are in the picture, pixels.
    without_putter : bool
        Whether the clips were filmed without a putter, so that no stroke is waited for.
    tracks : mapping of View to Track, optional
        The student through each clip, where they were followed before.
    followed : mapping of View to sequence of FollowedStroke, optional
        As for `find_setups_together`.
    progress : callable, optional

    Returns
    -------
    dict of View to Detection

    Raises
    ------
    ClipError, StudentNotFound, SetupNotFound
        The first clip's where both have one.
    UsageError
        The two clips show each other's view.
    """
    shares = Shares(tuple(clips), progress)
    times_s, places = setup_at or {}, student_at or {}
    if tracks is None:
        tracks = follow_in_clips(clips, student_at=student_at, progress=part_of_progress(progress, 0.0, 0.6))
        shares = Shares(tuple(clips), part_of_progress(progress, 0.6, 1.0))
    with ThreadPoolExecutor(max_workers=threads_for(len(clips))) as pool:
        setups = {
            view: choose_setups(clips[view], times, track=tracks[view], without_putter=without_putter)
            for view, times in times_s.items()
            if view in clips
        }
        found = find_setups_together(
            {view: (tracks[view], clips[view]) for view in clips if view not in setups},
            without_putter=without_putter,
            followed=followed,
        )
        setups |= found.of
        futures = {
            view: pool.submit(
                _detect_in,
                clip,
                tracks[view],
                setups[view],
                found.notes,
                student_at=places.get(view),
                progress=shares.of(view),
            )
            for view, clip in clips.items()
        }
        return {view: future.result() for view, future in futures.items()}


def _detect_in(
    clip: Clip,
    track: Track,
    setups: tuple[Setup, ...],
    notes: tuple[str, ...],
    *,
    student_at: Point | None,
    progress: Progress | None,
) -> Detection:
    landmarks, still, still_index = find_landmarks(clip, setups, track, student_at=student_at, progress=progress)
    return Detection(
        clip=clip,
        setups=setups,
        landmarks=landmarks,
        still=still,
        still_index=still_index,
        notes=clip.notes + track.notes + _doubts(clip, setups) + notes + landmarks.notes,
        track=track,
    )


def _doubts(clip: Clip, setups: tuple[Setup, ...]) -> tuple[str, ...]:
    """Return the doubts about the setups, with the view where a setup is not the picture itself."""
    where = f"{VIEW_TITLES[clip.view]}: "
    return tuple(where + begin_lower(setup.doubt) for setup in setups if setup.doubt)
