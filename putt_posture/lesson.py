"""One lesson from clips to results: the pipeline, and the only place that knows all of the steps.

Clip → Track → Setup → Landmarks → Scene → Posture → Fit → Lesson.
"""

import importlib.metadata
import platform
import threading
from collections.abc import Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Final

from attrs import field, frozen

from putt_posture.body import check_student
from putt_posture.clips import read_clip
from putt_posture.errors import UsageError
from putt_posture.fitting import find_clip_lengths, fit_putter
from putt_posture.landmarks import find_landmarks, place_joints, track_student
from putt_posture.posture import measure_posture
from putt_posture.scene import Given, Seen, read_scenes
from putt_posture.setups import choose_setups, find_setups
from putt_posture.spec import find_club_spec
from putt_posture.stroke import compare_setups
from putt_posture.values import (
    VIEW_TITLES,
    Clip,
    Frame,
    Handed,
    Landmarks,
    Lesson,
    Point,
    Progress,
    Segment,
    Setup,
    Student,
    View,
    ViewResult,
    WantedSetup,
)

__all__ = ["Progress", "measure_lesson"]


_LIBRARIES: Final = ("av", "mediapipe", "numpy", "opencv-contrib-python", "scipy")


def measure_lesson(
    *,
    student: Student,
    down_the_line: Path | str | None = None,
    face_on: Path | str | None = None,
    setup_at: Mapping[View, Sequence[float]] | None = None,
    scale_object: Mapping[View, tuple[float, Segment]] | None = None,
    capture_rate_hz: Mapping[View, float] | float | None = None,
    camera_roll_deg: Mapping[View, float] | None = None,
    camera_distance_cm: Mapping[View, float] | None = None,
    student_at: Mapping[View, Point] | None = None,
    shaft_at: Mapping[View, Segment] | None = None,
    ball_at: Mapping[View, Point] | None = None,
    wanted: WantedSetup | None = None,
    progress: Progress | None = None,
) -> Lesson:
    """Measure the posture in one or two clips and suggest a putter length.

    Parameters
    ----------
    student : Student
    down_the_line, face_on : path, optional
        A video or a still of each view; at least one is needed.
    setup_at : mapping of View to seconds, optional
        Clip times of the setups, in place of the finder's.
    scale_object : mapping of View to (cm, Segment), optional
        Something of known length in the golfer's plane and its ends in the picture.
    capture_rate_hz : float or mapping of View to float, optional
        Frames a second at which a slow-motion clip was really filmed.
    camera_roll_deg : mapping of View to float, optional
        + = the picture's content is turned clockwise.
    camera_distance_cm : mapping of View to float, optional
    student_at : mapping of View to Point, optional
        A point on the student where several people are in the picture.
    shaft_at : mapping of View to Segment, optional
        Butt end of the grip, then the sole.
    ball_at : mapping of View to Point, optional
        Centre of the ball.
    wanted : WantedSetup, optional
        What the coach wants; common practice without.
    progress : callable, optional

    Returns
    -------
    Lesson

    Raises
    ------
    UsageError
        No clip, or a student who cannot be.
    ClipError
        A clip that cannot be used; see `putt_posture.errors`.
    """
    check_student(student)
    given: dict[View, Path | str | None] = {"down_the_line": down_the_line, "face_on": face_on}
    paths = {view: path for view, path in given.items() if path is not None}
    if not paths:
        raise UsageError("No clip was given. Give a down-the-line clip, a face-on clip, or both.")
    clips = {
        view: read_clip(Path(path), view=view, capture_rate_hz=_for_view(capture_rate_hz, view))
        for view, path in paths.items()
    }
    looks = _look_at_all(
        clips,
        handed=student.handed,
        setup_at=setup_at or {},
        student_at=student_at or {},
        progress=progress,
    )
    seen = {
        view: Seen(
            landmarks=look.joints,
            picture=look.still.picture,
            file=look.clip.path.name,
            still_index=look.still_index,
            given=Given(
                scale_object=(scale_object or {}).get(view),
                roll_deg=(camera_roll_deg or {}).get(view),
                distance_cm=(camera_distance_cm or {}).get(view),
                shaft_px=(shaft_at or {}).get(view),
                ball_px=(ball_at or {}).get(view),
            ),
        )
        for view, look in looks.items()
    }
    scenes = read_scenes(seen, student)
    views = {
        view: ViewResult(
            clip=look.clip,
            setups=look.setups,
            landmarks=look.landmarks,
            joints=look.joints,
            scene=scenes[view],
            still=look.still,
            still_index=look.still_index,
        )
        for view, look in looks.items()
    }
    posture = measure_posture(views, student)
    side = views.get("down_the_line")
    lengths = None if side is None else find_clip_lengths(side, posture, student)
    fit = fit_putter(posture, student, wanted=wanted, lengths=lengths)
    warnings = [note for look in looks.values() for note in look.notes]
    warnings += [warning for scene in scenes.values() for warning in scene.warnings]
    return Lesson(
        student=student,
        views=views,
        posture=posture,
        fit=fit,
        stroke=compare_setups(posture, student, fit),
        spec=find_club_spec(fit, student),
        warnings=tuple(dict.fromkeys([*warnings, *posture.warnings])),
        versions=_versions(next(iter(looks.values())).landmarks.model),
    )


@frozen(kw_only=True, eq=False)
class _Look:
    clip: Clip
    setups: tuple[Setup, ...]
    landmarks: Landmarks = field(repr=False)
    joints: Landmarks = field(repr=False)
    still: Frame = field(repr=False)
    still_index: int
    notes: tuple[str, ...]


def _look_at_all(
    clips: Mapping[View, Clip],
    *,
    handed: Handed,
    setup_at: Mapping[View, Sequence[float]],
    student_at: Mapping[View, Point],
    progress: Progress | None,
) -> dict[View, _Look]:
    """Look at the clips side by side; the first one's error is raised where both have one."""
    shares = _Shares(tuple(clips), progress)
    with ThreadPoolExecutor(max_workers=len(clips)) as pool:
        futures = {
            view: pool.submit(
                _look_at,
                clip,
                handed=handed,
                times_s=setup_at.get(view),
                student_at=student_at.get(view),
                progress=shares.of(view),
            )
            for view, clip in clips.items()
        }
        return {view: future.result() for view, future in futures.items()}


def _look_at(
    clip: Clip, *, handed: Handed, times_s: Sequence[float] | None, student_at: Point | None, progress: Progress | None
) -> _Look:
    track = track_student(clip, student_at=student_at, progress=_part(progress, 0.0, 0.6))
    setups = find_setups(track, clip) if times_s is None else choose_setups(clip, times_s)
    landmarks, still, still_index = find_landmarks(
        clip, setups, track, student_at=student_at, progress=_part(progress, 0.6, 1.0)
    )
    return _Look(
        clip=clip,
        setups=setups,
        landmarks=landmarks,
        joints=place_joints(landmarks, handed=handed),
        still=still,
        still_index=still_index,
        notes=clip.notes + track.notes + landmarks.notes,
    )


def _for_view(rate: Mapping[View, float] | float | None, view: View) -> float | None:
    return rate.get(view) if isinstance(rate, Mapping) else rate


class _Shares:
    """The progress of several clips at once as one share done."""

    def __init__(self, views: Sequence[View], progress: Progress | None) -> None:
        self._done: dict[View, float] = dict.fromkeys(views, 0.0)
        self._progress = progress
        self._lock = threading.Lock()

    def of(self, view: View) -> Progress | None:
        """Return the callback for one clip."""
        progress = self._progress
        if progress is None:
            return None
        name = VIEW_TITLES[view].lower()

        def tell(what: str, done: float) -> None:
            with self._lock:
                self._done[view] = done
                progress(f"{what}, {name}", sum(self._done.values()) / len(self._done))

        return tell


def _part(progress: Progress | None, start: float, end: float) -> Progress | None:
    if progress is None:
        return None
    return lambda what, done: progress(what, start + done * (end - start))


def _versions(model: str) -> dict[str, str]:
    found = {"putt_posture": importlib.metadata.version("putt_posture"), "python": platform.python_version()}
    found |= {name: importlib.metadata.version(name) for name in _LIBRARIES}
    return {**found, "weights": model}
