"""One lesson from clips to results: the pipeline, and the only place that knows all of the steps.

Clip → Track → Setup → Landmarks → Scene → Posture → Fit → Lesson, and with the scene of the setup → Strokes.
"""

from collections.abc import Mapping, Sequence
from functools import partial
from pathlib import Path
from typing import Final

from attrs import evolve

from putt_posture.body import check_student
from putt_posture.clips import read_clip
from putt_posture.detection.detect import Detection, detect_in_clips
from putt_posture.detection.followed import find_followed
from putt_posture.detection.strokes import detect_strokes
from putt_posture.errors import UsageError
from putt_posture.findings import (
    CoachFile,
    find_step_title,
    load_coach_file,
)
from putt_posture.lesson_arguments import check_arguments
from putt_posture.measuring import Measuring, check_given, refuse_putter
from putt_posture.values import (
    Clip,
    Given,
    Interview,
    Lesson,
    PlacedEvent,
    PlacedLandmark,
    Point,
    Progress,
    Segment,
    StrokeEvent,
    Student,
    View,
    WantedSetup,
    part_of_progress,
)
from putt_posture.values.checks import check_call, check_type

__all__ = ["Progress", "gather_paths", "measure_detections", "measure_lesson", "see_clips"]

_BEFORE_STROKES: Final = 0.4
"""Share of the progress until the setup is measured, where the strokes are looked at after it."""


@check_call
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
    ground_at: Mapping[View, Point] | None = None,
    back_at: Mapping[View, Sequence[Point]] | None = None,
    target_at: Mapping[View, Segment] | None = None,
    landmark_at: Mapping[View, Sequence[tuple[str, Point]]] | None = None,
    event_at: Mapping[View, Sequence[tuple[int, StrokeEvent, float]]] | None = None,
    setup_only: bool = False,
    without_putter: bool = False,
    step: str | None = None,
    wanted: WantedSetup | None = None,
    coach: CoachFile | None = None,
    interview: Interview | None = None,
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
    ground_at : mapping of View to Point, optional
        A point of the ground beside the feet, as far from the camera as they are.
    back_at : mapping of View to sequence of Point, optional
        The outline of the back in the still down the line, from the pelvis to the neck: at least 4 points.
    target_at : mapping of View to Segment, optional
        Two points of the ground on the target line, or on a line parallel to it.
    landmark_at : mapping of View to sequence of (str, Point), optional
        Joints placed by hand in the still that stands for the lesson: one of `LANDMARK_NAMES`, and where it is.
    event_at : mapping of View to sequence of (int, StrokeEvent, seconds), optional
        Events of strokes placed by hand: which stroke of the clip, from 1, which event, and its clip time.
    setup_only : bool
        Whether the strokes are left out, which takes less time.
    without_putter : bool
        Whether the student was filmed without putter and ball, the hands together or the arms hanging. Then neither is
        looked for, no stroke is waited for, and every measure that needs one of them is absent.
    step : str, optional
        The step of a rebuild that the clips show: one of the coach's list, by its name, its title or words of either.
    wanted : WantedSetup, optional
        What the coach wants; without it what the coach's file asks for, or else common practice.
    coach : CoachFile, optional
        Bands, order, words and drills of the coach; the shipped values without.
    interview : Interview, optional
        What the student said: misses, weak putts, how the putter was chosen, pain and limits.
    progress : callable, optional

    Returns
    -------
    Lesson

    Raises
    ------
    UsageError
        No clip, a student who cannot be, or an argument of the wrong type, sign or view.
    ClipError
        A clip that cannot be used; see `putt_posture.errors`.

    Examples
    --------
    >>> measure_lesson(student=Student(stature_cm=178, handed="right"), face_on=["front.mov"])
    Traceback (most recent call last):
    ...
    putt_posture.errors.ArgumentError: face_on is a list, ['front.mov']; a path is needed, as text or a Path. Give one \
file; measure several in turn.
    """
    check_arguments(
        student,
        paths={"down_the_line": down_the_line, "face_on": face_on},
        capture_rate_hz=capture_rate_hz,
        by_view={
            "setup_at": setup_at,
            "scale_object": scale_object,
            "camera_roll_deg": camera_roll_deg,
            "camera_distance_cm": camera_distance_cm,
            "student_at": student_at,
            "shaft_at": shaft_at,
            "ball_at": ball_at,
            "ground_at": ground_at,
            "back_at": back_at,
            "target_at": target_at,
            "landmark_at": landmark_at,
            "event_at": event_at,
        },
        wanted=wanted,
        coach=coach,
        interview=interview,
        progress=progress,
    )
    check_type(without_putter, "without_putter", bool, example="without_putter=True")
    check_type(setup_only, "setup_only", bool, example="setup_only=True")
    if setup_only and any((event_at or {}).values()):
        raise UsageError(
            "An event of a stroke was placed by hand, and the strokes are to be left out. Give one or the other."
        )
    if step is not None:
        step = find_step_title(step, coach or load_coach_file())
    check_student(student)
    clips = {
        view: read_clip(path, view=view, capture_rate_hz=_for_view(capture_rate_hz, view))
        for view, path in gather_paths(down_the_line=down_the_line, face_on=face_on).items()
    }
    given = {
        view: Given(
            scale_object=(scale_object or {}).get(view),
            roll_deg=(camera_roll_deg or {}).get(view),
            distance_cm=(camera_distance_cm or {}).get(view),
            shaft_px=(shaft_at or {}).get(view),
            ball_px=(ball_at or {}).get(view),
            ground_px=(ground_at or {}).get(view),
            back_px=tuple((back_at or {}).get(view, ())),
            target_px=(target_at or {}).get(view),
            landmarks=tuple(
                PlacedLandmark(landmark=name, point_px=point) for name, point in (landmark_at or {}).get(view, ())
            ),
            event_times=tuple(
                PlacedEvent(stroke=stroke, event=event, time_s=time_s)
                for stroke, event, time_s in (event_at or {}).get(view, ())
            ),
        )
        for view in clips
    }
    check_given({view: (clip.width, clip.height) for view, clip in clips.items()}, given)
    if without_putter:
        refuse_putter(given)
    detections = see_clips(
        clips,
        student=student,
        given=given,
        setup_at=setup_at,
        student_at=student_at,
        without_putter=without_putter,
        setup_only=setup_only,
        progress=progress,
    )
    return measure_detections(
        detections,
        student=student,
        given=given,
        without_putter=without_putter,
        step=step,
        wanted=wanted,
        coach=coach,
        interview=interview,
    )


def see_clips(
    clips: Mapping[View, Clip],
    *,
    student: Student,
    given: Mapping[View, Given] | None = None,
    setup_at: Mapping[View, Sequence[float]] | None = None,
    student_at: Mapping[View, Point] | None = None,
    without_putter: bool = False,
    setup_only: bool = False,
    progress: Progress | None = None,
) -> dict[View, Detection]:
    """See what clips show: the setups, and then the strokes.

    Where following the strokes shows that the stroke after a setup was a practice stroke, or that there was a stroke
    though none was seen before, the setups are looked for once more.

    Parameters
    ----------
    clips : mapping of View to Clip
        At least one.
    student : Student
    given : mapping of View to Given, optional
        What the coach typed or drew about each view.
    setup_at, student_at, without_putter
        As for `detect_in_clips`.
    setup_only : bool
        Whether the strokes are left out.
    progress : callable, optional

    Returns
    -------
    dict of View to Detection

    Raises
    ------
    ClipError, StudentNotFound, SetupNotFound, UsageError
        As `detect_in_clips` does.
    """
    with_strokes = not setup_only and any(clip.kind == "video" for clip in clips.values())
    seen = detect_in_clips(
        clips,
        setup_at=setup_at,
        student_at=student_at,
        without_putter=without_putter,
        progress=part_of_progress(progress, 0.0, _BEFORE_STROKES if with_strokes else 1.0),
    )
    if not with_strokes:
        return seen
    tell = part_of_progress(progress, _BEFORE_STROKES, 1.0)
    strokes = partial(_see_strokes, student=student, given=given, without_putter=without_putter, progress=tell)
    found = strokes(seen)
    followed = {} if without_putter else find_followed(found)
    if not followed:
        return found
    again = detect_in_clips(
        clips,
        setup_at=setup_at,
        student_at=student_at,
        tracks={view: each.track for view, each in seen.items() if each.track is not None},
        followed=followed,
        progress=tell,
    )
    same = all(again[view].setups == each.setups for view, each in seen.items())
    return found if same else strokes(again)


def _see_strokes(
    detections: Mapping[View, Detection],
    *,
    student: Student,
    given: Mapping[View, Given] | None,
    without_putter: bool,
    progress: Progress | None,
) -> dict[View, Detection]:
    """Return what was seen in the clips, with the strokes that they show."""
    measuring = Measuring(detections=detections, student=student, without_putter=without_putter)
    views = measuring.measure_views(given)
    filmed = {view: each for view, each in measuring.detections.items() if each.clip.kind == "video"}
    seen = detect_strokes(
        filmed,
        {view: views[view] for view in filmed},
        handed=student.handed,
        without_putter=without_putter,
        progress=progress,
    )
    # The pictures of the setup were looked at, so they are not looked at once more.
    return {view: evolve(each, finds=views[view].finds, strokes=seen.get(view)) for view, each in detections.items()}


def gather_paths(*, down_the_line: Path | str | None, face_on: Path | str | None) -> dict[View, Path]:
    """Return the clips that were given, by view.

    Parameters
    ----------
    down_the_line, face_on : path or None

    Raises
    ------
    UsageError
        If there is none.
    """
    files: dict[View, Path | str | None] = {"down_the_line": down_the_line, "face_on": face_on}
    paths = {view: Path(path) for view, path in files.items() if path is not None}
    if not paths:
        raise UsageError("No clip was given. Give a down-the-line clip, a face-on clip, or both.")
    return paths


def measure_detections(
    detections: Mapping[View, Detection],
    *,
    student: Student,
    given: Mapping[View, Given] | None = None,
    without_putter: bool = False,
    step: str | None = None,
    wanted: WantedSetup | None = None,
    coach: CoachFile | None = None,
    interview: Interview | None = None,
) -> Lesson:
    """Measure the posture in clips that have been looked at, and suggest a putter length.

    Parameters
    ----------
    detections : mapping of View to Detection
        One or two entries, as `detect_in_clips` returns them.
    student : Student
    given : mapping of View to Given, optional
        What the coach typed or drew about each view.
    without_putter : bool
        Whether the student was filmed without putter and ball.
    step : str, optional
        The step of a rebuild that the clips show, by its title.
    wanted : WantedSetup, optional
        What the coach wants; without it what the coach's file asks for, or else common practice.
    coach : CoachFile, optional
        Bands, order, words and drills of the coach; the shipped values without.
    interview : Interview, optional
        What the student said.

    Returns
    -------
    Lesson

    Raises
    ------
    UsageError
        A student who cannot be, or a shaft or ball drawn where there is none.
    StudentNotFound, SetupNotFound
        What was seen cannot be measured.
    """
    return Measuring(
        detections=detections,
        student=student,
        without_putter=without_putter,
        step=step,
        wanted=wanted,
        coach=coach or load_coach_file(),
        interview=interview or Interview(),
    ).measure(given)


def _for_view(rate: Mapping[View, float] | float | None, view: View) -> float | None:
    return rate.get(view) if isinstance(rate, Mapping) else rate
