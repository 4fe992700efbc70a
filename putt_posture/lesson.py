"""One lesson from clips to results: the pipeline, and the only place that knows all of the steps.

Clip → Track → Setup → Landmarks → Scene → Posture → Fit → Lesson.
"""

import importlib.metadata
import platform
from collections.abc import Mapping, Sequence
from functools import partial
from pathlib import Path
from typing import Final

from attrs import evolve

from putt_posture.body import check_student
from putt_posture.by_hand import mark_by_hand
from putt_posture.clips import read_clip
from putt_posture.club_spec import find_club_spec
from putt_posture.detection.choosing import choose_setups_of
from putt_posture.detection.detect import Detection, detect_in_clips
from putt_posture.errors import PuttPostureError, UsageError
from putt_posture.fitting import find_clip_lengths, fit_putter
from putt_posture.joints import fit_joints, place_in_landmarks, place_joints, split_by_frame
from putt_posture.landmarks import without_hidden_feet
from putt_posture.landmarks.grain import find_grain
from putt_posture.posture import measure_posture
from putt_posture.scene import Seen, check_setup, find_in_pictures, look_for_roll, read_roll
from putt_posture.setup_arc import compare_setups
from putt_posture.values import (
    LANDMARK_INDEX,
    VIEW_TITLES,
    Given,
    Lesson,
    PlacedLandmark,
    Point,
    Progress,
    Segment,
    Student,
    View,
    ViewResult,
    WantedSetup,
)

__all__ = ["Progress", "measure_detections", "measure_lesson"]


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
    ground_at: Mapping[View, Point] | None = None,
    landmark_at: Mapping[View, Sequence[tuple[str, Point]]] | None = None,
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
    ground_at : mapping of View to Point, optional
        A point of the ground beside the feet, as far from the camera as they are.
    landmark_at : mapping of View to sequence of (str, Point), optional
        Joints placed by hand in the still that stands for the lesson: one of `LANDMARK_NAMES`, and where it is.
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
    files: dict[View, Path | str | None] = {"down_the_line": down_the_line, "face_on": face_on}
    paths = {view: path for view, path in files.items() if path is not None}
    if not paths:
        raise UsageError("No clip was given. Give a down-the-line clip, a face-on clip, or both.")
    clips = {
        view: read_clip(Path(path), view=view, capture_rate_hz=_for_view(capture_rate_hz, view))
        for view, path in paths.items()
    }
    detections = detect_in_clips(clips, setup_at=setup_at, student_at=student_at, progress=progress)
    given = {
        view: Given(
            scale_object=(scale_object or {}).get(view),
            roll_deg=(camera_roll_deg or {}).get(view),
            distance_cm=(camera_distance_cm or {}).get(view),
            shaft_px=(shaft_at or {}).get(view),
            ball_px=(ball_at or {}).get(view),
            ground_px=(ground_at or {}).get(view),
            landmarks=tuple(
                PlacedLandmark(landmark=name, point_px=point) for name, point in (landmark_at or {}).get(view, ())
            ),
        )
        for view in clips
    }
    return measure_detections(detections, student=student, given=given, wanted=wanted)


def measure_detections(
    detections: Mapping[View, Detection],
    *,
    student: Student,
    given: Mapping[View, Given] | None = None,
    wanted: WantedSetup | None = None,
) -> Lesson:
    """Measure the posture in clips that have been looked at, and suggest a putter length.

    Parameters
    ----------
    detections : mapping of View to Detection
        One or two entries, as `detect_in_clips` returns them.
    student : Student
    given : mapping of View to Given, optional
        What the coach typed or drew about each view.
    wanted : WantedSetup, optional
        What the coach wants; common practice without.

    Returns
    -------
    Lesson

    Raises
    ------
    UsageError
        A student who cannot be.
    StudentNotFound, SetupNotFound
        What was seen cannot be measured.
    """
    check_student(student)
    told = {view: (given or {}).get(view, Given()) for view in detections}
    _check_given(detections, told)
    lesson = _measure(detections, student=student, given=told, wanted=wanted)
    return mark_by_hand(lesson, measure=partial(_measure_otherwise, detections, lesson))


def _measure(
    detections: Mapping[View, Detection],
    *,
    student: Student,
    given: Mapping[View, Given],
    wanted: WantedSetup | None,
) -> Lesson:
    detections = {view: choose_setups_of(each, given[view].setup_times_s) for view, each in detections.items()}
    seen, joints, lost = {}, {}, []
    for view, detection in detections.items():
        picture = None if detection.still.erased else detection.still.picture
        bare = Seen(
            landmarks=without_hidden_feet(detection.landmarks),
            picture=picture,
            file=detection.clip.path.name,
            still_index=detection.still_index,
            given=given[view],
            kept=detection.finds,
            grain_px=_grain_of(detection),
        )
        bare = evolve(bare, roll=look_for_roll(bare))
        placed, unplaced = split_by_frame(given[view].landmarks, detection.landmarks, still_index=detection.still_index)
        lost += [_say_lost(each, view) for each in unplaced]
        fitted = fit_joints(
            bare.landmarks, handed=student.handed, roll_deg=read_roll(bare).value, grain_px=bare.grain_px
        )
        shown = place_in_landmarks(bare.landmarks, placed)
        check_setup(shown, handed=student.handed, misfit=fitted.misfit, file=bare.file)
        joints[view] = place_joints(fitted, placed)
        seen[view] = evolve(bare, landmarks=joints[view].landmarks, yaw=joints[view].yaw)
    scenes, finds = find_in_pictures(seen, student)
    views = {
        view: ViewResult(
            clip=detection.clip,
            setups=detection.setups,
            landmarks=detection.landmarks,
            joints=joints[view].landmarks,
            joint_errors_px=joints[view].errors_px,
            joint_offsets_px=joints[view].offsets_px,
            scene=scenes[view],
            still=detection.still,
            still_index=detection.still_index,
            given=given[view],
            finds=finds[view],
            notes=detection.notes,
        )
        for view, detection in detections.items()
    }
    posture = measure_posture(views, student)
    side = views.get("down_the_line")
    lengths = None if side is None else find_clip_lengths(side, posture, student)
    fit = fit_putter(posture, student, wanted=wanted, lengths=lengths)
    warnings = [note for detection in detections.values() for note in detection.notes] + lost
    warnings += [warning for fitted in joints.values() for warning in fitted.warnings]
    warnings += [warning for scene in scenes.values() for warning in scene.warnings]
    return Lesson(
        student=student,
        views=views,
        posture=posture,
        fit=fit,
        stroke=compare_setups(posture, student, fit),
        spec=find_club_spec(fit, student),
        warnings=tuple(dict.fromkeys([*warnings, *posture.warnings])),
        versions=_versions(next(iter(detections.values())).landmarks.model),
        wanted=wanted,
    )


def _measure_otherwise(
    detections: Mapping[View, Detection], lesson: Lesson, given: Mapping[View, Given]
) -> Lesson | None:
    """Measure the same with less given by hand, in the pictures as they were looked at; None where it cannot be."""
    kept = {
        view: evolve(each, finds=lesson.views[view].finds)
        if given[view].setup_times_s == lesson.views[view].given.setup_times_s
        else each
        for view, each in detections.items()
    }
    try:
        return _measure(kept, student=lesson.student, given=given, wanted=lesson.wanted)
    except PuttPostureError:
        return None


def _grain_of(detection: Detection) -> float:
    if detection.finds is not None:
        return detection.finds.grain_px
    if detection.still.erased:
        return 1.0
    return find_grain(detection.still.picture, detection.landmarks.points_px[detection.still_index])


def _check_given(detections: Mapping[View, Detection], given: Mapping[View, Given]) -> None:
    """Refuse a landmark that there is not, and points outside of the picture."""
    for view, told in given.items():
        width, height = detections[view].landmarks.size_px
        for each in told.landmarks:
            if each.landmark not in LANDMARK_INDEX:
                raise UsageError(f"There is no landmark {each.landmark!r}. Give one of {', '.join(LANDMARK_INDEX)}.")
            u, v = each.point_px
            if not (0 <= u <= width and 0 <= v <= height):
                raise UsageError(
                    f"{VIEW_TITLES[view]}: the point {u:g},{v:g} of {each.landmark} lies outside the picture, which is "
                    f"{width} by {height} pixels. Give pixels from its top left."
                )


def _say_lost(placed: PlacedLandmark, view: View) -> str:
    return (
        f"{VIEW_TITLES[view]}: {placed.landmark.replace('_', ' ')} was placed by hand at {placed.time_s:.2f} s, and no "
        "frame of that time is measured, so the placing is not used."
    )


def _for_view(rate: Mapping[View, float] | float | None, view: View) -> float | None:
    return rate.get(view) if isinstance(rate, Mapping) else rate


def _versions(model: str) -> dict[str, str]:
    found = {"putt_posture": importlib.metadata.version("putt_posture"), "python": platform.python_version()}
    found |= {name: importlib.metadata.version(name) for name in _LIBRARIES}
    return {**found, "weights": model}
