"""Several steps of a rebuild in one clip, each at a time that the coach marked: one lesson for each of them."""

from collections.abc import Mapping, Sequence
from pathlib import Path

from putt_posture.body import check_student
from putt_posture.clips import read_clip
from putt_posture.detection.detect import detect_in_clips, follow_in_clips
from putt_posture.errors import ArgumentError, UsageError
from putt_posture.findings import CoachFile, find_step_title, load_coach_file
from putt_posture.lesson import gather_paths, measure_detections
from putt_posture.values import VIEWS, Lesson, Progress, Student, View, part_of_progress
from putt_posture.values.checks import check_call, check_mapping, check_number, check_type

__all__ = ["measure_steps"]

_FOLLOWING = 0.6
"""Share of the progress until the student was followed through the clips."""


@check_call
def measure_steps(
    *,
    student: Student,
    steps: Mapping[str, Mapping[View, Sequence[float]]],
    down_the_line: Path | str | None = None,
    face_on: Path | str | None = None,
    without_putter: bool = False,
    capture_rate_hz: Mapping[View, float] | None = None,
    coach: CoachFile | None = None,
    progress: Progress | None = None,
) -> tuple[Lesson, ...]:
    """Measure one or two clips at several marked times, each as a lesson of its own.

    The student is followed once, whatever the number of steps.

    Parameters
    ----------
    student : Student
    steps : mapping of str to mapping of View to seconds
        The steps in their order, each with its clip times: of the coach's list, as for `measure_lesson`.
    down_the_line, face_on : path, optional
        The clip of each view; at least one is needed.
    without_putter : bool
        As for `measure_lesson`.
    capture_rate_hz : mapping of View to float, optional
        Frames a second at which a slow-motion clip was really filmed.
    coach : CoachFile, optional
        Whose list of steps it is; the shipped one without.
    progress : callable, optional

    Returns
    -------
    tuple of Lesson
        In the order of the steps. A view for which a step has no time is not in its lesson.

    Raises
    ------
    UsageError
        No clip, no step, a step that the coach's list has not or that is named twice, or a time outside its clip.
    ClipError
        A clip that cannot be used.
    """
    check_type(student, "student", Student, example='Student(stature_cm=178, handed="right")')
    check_student(student)
    paths = gather_paths(down_the_line=down_the_line, face_on=face_on)
    marked = _read_steps(steps, coach or load_coach_file(), views=tuple(paths))
    rates = capture_rate_hz or {}
    clips = {view: read_clip(path, view=view, capture_rate_hz=rates.get(view)) for view, path in paths.items()}
    tracks = follow_in_clips(clips, progress=part_of_progress(progress, 0.0, _FOLLOWING))
    lessons = []
    for number, (title, times) in enumerate(marked.items()):
        tell = part_of_progress(
            progress,
            _FOLLOWING + (1 - _FOLLOWING) * number / len(marked),
            _FOLLOWING + (1 - _FOLLOWING) * (number + 1) / len(marked),
        )
        shown = {view: clips[view] for view in times}
        detections = detect_in_clips(shown, setup_at=times, without_putter=without_putter, tracks=tracks, progress=tell)
        lessons.append(
            measure_detections(detections, student=student, without_putter=without_putter, step=title, coach=coach)
        )
    return tuple(lessons)


def _read_steps(
    steps: Mapping[str, Mapping[View, Sequence[float]]], coach: CoachFile, *, views: Sequence[View]
) -> dict[str, dict[View, Sequence[float]]]:
    if not isinstance(steps, Mapping) or not steps:
        raise ArgumentError(f'steps is {steps!r:.60}; steps with their times are needed: {{"putter down": {{...}}}}.')
    marked: dict[str, dict[View, Sequence[float]]] = {}
    for said, times in steps.items():
        title = find_step_title(said, coach)
        if title in marked:
            raise UsageError(f"The step {title!r} is marked twice. Mark each once.")
        check_mapping(times, f"steps[{said!r}]", VIEWS)
        unshown = [view for view in times if view not in views]
        if unshown or not times:
            raise UsageError(f"The step {said!r} has no time in a clip that was given. Mark one.")
        for view, each in times.items():
            for place, time_s in enumerate(each):
                check_number(time_s, f"steps[{said!r}][{view!r}][{place}]", low=0)
        marked[title] = dict(times)
    return marked
