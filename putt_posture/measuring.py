"""What was seen in the clips of one lesson, measured as often as something else is given by hand.

Detection → Landmarks → Joints → Scene → Posture → Fit → Lesson. Parts that do not change with what is given are kept
between one measuring and the next: the joints as the error model places them, and whole lessons by what was given. The
numbers are those of a measuring that begins anew, to the last digit.
"""

import importlib.metadata
import platform
from collections.abc import Mapping
from functools import cache, partial
from typing import Final, Literal

from attrs import astuple, define, evolve, field

from putt_posture.body import check_student
from putt_posture.club_spec import find_club_spec
from putt_posture.detection.choosing import choose_setups_of
from putt_posture.detection.detect import Detection
from putt_posture.errors import PuttPostureError, UsageError
from putt_posture.findings import CoachFile, compare_with_stroke, find_findings, find_steps, load_coach_file, make_plan
from putt_posture.fitting import find_clip_lengths, fit_putter
from putt_posture.joints import Joints, fit_joints, place_in_landmarks, place_joints, split_by_frame
from putt_posture.landmarks import without_hidden_feet
from putt_posture.landmarks.resolution import find_resolution
from putt_posture.measures import measure_posture
from putt_posture.measures.by_hand import find_by_hand, mark_by_hand
from putt_posture.scene import Seen, check_setup, find_in_pictures, look_for_roll, read_roll
from putt_posture.setup_arc import compare_setups, find_arc, read_pendulum
from putt_posture.strokes.measure import measure_strokes
from putt_posture.values import (
    LANDMARK_INDEX,
    VIEW_TITLES,
    Given,
    Interview,
    Lesson,
    PlacedEvent,
    PlacedLandmark,
    SeenStrokes,
    Strokes,
    Student,
    View,
    ViewResult,
    WantedSetup,
)

__all__ = ["Measuring", "check_given", "refuse_putter"]

_LIBRARIES: Final = ("av", "mediapipe", "numpy", "opencv-contrib-python", "scipy")
_KEPT: Final = 40
"""How many lessons are kept between measurings; the oldest go first."""

_Parts = Literal["all", "quick"]
"""``quick`` leaves out the curves of the fit, the arcs and the spec, which no other number needs."""


@define(kw_only=True, eq=False)
class Measuring:
    """A lesson that is measured again and again with other things given by hand.

    Attributes
    ----------
    detections : mapping of View to Detection
        One or two entries, as `detect_in_clips` or `load_detections` return them.
    student : Student
    without_putter : bool
        Whether the student was filmed without putter and ball.
    step : str or None
        The step of a rebuild that the clips show, by its title.
    wanted : WantedSetup or None
        What the coach wants; None for what the coach's file asks for, or else common practice.
    coach : CoachFile
        Bands, order, words and drills of the coach.
    interview : Interview
        What the student said.
    """

    detections: Mapping[View, Detection] = field(repr=False)
    student: Student
    without_putter: bool = False
    step: str | None = None
    wanted: WantedSetup | None = None
    coach: CoachFile = field(factory=load_coach_file, repr=False)
    interview: Interview = field(factory=Interview, repr=False)
    _joints: dict[object, Joints] = field(factory=dict, init=False, repr=False)
    _lessons: dict[tuple[str, _Parts], Lesson] = field(factory=dict, init=False, repr=False)
    _strokes: dict[object, Strokes | None] = field(factory=dict, init=False, repr=False)

    def __attrs_post_init__(self) -> None:
        check_student(self.student)
        if self.wanted is None:
            self.wanted = self.coach.wanted

    def measure(self, given: Mapping[View, Given] | None = None) -> Lesson:
        """Measure everything.

        Parameters
        ----------
        given : mapping of View to Given, optional
            What the coach typed or drew about each view.

        Returns
        -------
        Lesson
            Its numbers say on what they depend that is by hand.

        Raises
        ------
        UsageError
            A shaft or ball drawn where there is none, or a point outside of the picture.
        StudentNotFound, SetupNotFound
            What was seen cannot be measured.
        """
        lesson = self._find(self._complete(given), parts="all")
        return self._advise(mark_by_hand(lesson, measure=partial(self._measure_otherwise, lesson, strokes=True)))

    def measure_quickly(self, given: Mapping[View, Given] | None = None) -> tuple[Lesson, frozenset[str]]:
        """Measure what a page shows at once, some three times as quickly as `measure`.

        Parameters
        ----------
        given : mapping of View to Given, optional
            What the coach typed or drew about each view.

        Returns
        -------
        lesson : Lesson
            With the numbers, length and lie, findings, steps and plan of `measure`, to the last digit; without the
            curves of the fit, the arcs and the spec. Its numbers do not say on what they depend. The strokes are those
            that were last measured with the same events by hand.
        by_hand : frozenset of str
            The measures, ``putter_length`` of the fit as ``fit_length`` and its lie as ``fit_lie``, that are other
            numbers, or less or more certain, than without anything by hand.

        Raises
        ------
        UsageError, StudentNotFound, SetupNotFound
            As `measure` does.
        """
        lesson = self._find(self._complete(given), parts="quick")
        bare = self._measure_otherwise(lesson, dict.fromkeys(lesson.views, Given()))
        return self._advise(lesson), find_by_hand(lesson, bare)

    def measure_views(self, given: Mapping[View, Given] | None = None) -> Mapping[View, ViewResult]:
        """Return what is found in each view, the scene above all, without asking what depends on things by hand.

        Parameters
        ----------
        given : mapping of View to Given, optional
            What the coach typed or drew about each view.

        Raises
        ------
        UsageError, StudentNotFound, SetupNotFound
            As `measure` does.
        """
        return self._find(self._complete(given), parts="quick").views

    def _complete(self, given: Mapping[View, Given] | None) -> dict[View, Given]:
        """Return what is given of each view, checked."""
        of_views = {view: (given or {}).get(view, Given()) for view in self.detections}
        check_given({view: each.landmarks.size_px for view, each in self.detections.items()}, of_views)
        if self.without_putter:
            refuse_putter(of_views)
        return of_views

    def _measure_otherwise(
        self, lesson: Lesson, given: Mapping[View, Given], *, strokes: bool = False
    ) -> Lesson | None:
        """Measure the numbers with other things given, in the pictures as they were looked at for a lesson.

        None where they cannot be measured so.
        """
        measuring = self
        if not self._looked_at:
            found = {
                view: evolve(each, finds=lesson.views[view].finds)
                if given[view].setup_times_s == lesson.views[view].given.setup_times_s
                else each
                for view, each in self.detections.items()
            }
            measuring = evolve(self, detections=found)
            measuring._joints, measuring._strokes = self._joints, self._strokes
        try:
            other = measuring._find(given, parts="quick")
        except PuttPostureError:
            return None
        if strokes and lesson.strokes:
            return evolve(other, strokes=measure_strokes(_with_shown_events(other.views), self.student))
        return other

    @property
    def _looked_at(self) -> bool:
        """Whether the pictures were looked at before, so that the same is found in them whatever is given."""
        return all(each.finds is not None for each in self.detections.values())

    def _find(self, given: Mapping[View, Given], *, parts: _Parts) -> Lesson:
        """Return the lesson with what is given, as it was kept or measured now."""
        said = repr(sorted((view, astuple(each)) for view, each in given.items()))
        found = self._lessons.get((said, "all")) or self._lessons.get((said, parts))
        if found is None:
            found = self._measure(given, parts=parts)
            if self._looked_at:
                self._lessons[said, parts] = found
            for oldest in list(self._lessons)[:-_KEPT]:
                del self._lessons[oldest]
        return found

    def _measure(self, given: Mapping[View, Given], *, parts: _Parts) -> Lesson:
        student, without_putter, wanted = self.student, self.without_putter, self.wanted
        detections = {view: choose_setups_of(each, given[view].setup_times_s) for view, each in self.detections.items()}
        seen, joints, lost = {}, {}, []
        for view, detection in detections.items():
            picture = None if detection.still.erased else detection.still.picture
            bare = Seen(
                landmarks=without_hidden_feet(detection.landmarks),
                picture=picture,
                file=detection.clip.name,
                still_index=detection.still_index,
                given=given[view],
                kept=detection.finds,
                resolution_px=_resolution_of(detection),
            )
            bare = evolve(bare, roll=look_for_roll(bare))
            placed, unplaced = split_by_frame(
                given[view].landmarks, detection.landmarks, still_index=detection.still_index
            )
            lost += [_say_lost(each, view) for each in unplaced]
            fitted = self._fit_joints(bare)
            shown = place_in_landmarks(bare.landmarks, placed)
            check_setup(
                shown, handed=student.handed, misfit=fitted.misfit, file=bare.file, without_putter=without_putter
            )
            joints[view] = place_joints(fitted, placed)
            seen[view] = evolve(bare, landmarks=joints[view].landmarks, yaw=joints[view].yaw)
        scenes, finds = find_in_pictures(seen, student, without_putter=without_putter)
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
                strokes=detection.strokes,
            )
            for view, detection in detections.items()
        }
        posture = measure_posture(views, student)
        strokes = self._measure_strokes(views, parts=parts)
        side = views.get("down_the_line")
        lengths = None if side is None else find_clip_lengths(side, posture, student)
        fit = fit_putter(
            posture,
            student,
            wanted=wanted,
            lengths=lengths,
            without_putter=without_putter,
            curves="found" if parts == "all" else "left out",
        )
        lost += [
            _say_lost_event(each, view)
            for view, told in given.items()
            for each in told.event_times
            if not _shows(detections[view].strokes, each)
        ]
        warnings = [note for detection in detections.values() for note in detection.notes] + lost
        warnings += [warning for fitted in joints.values() for warning in fitted.warnings]
        warnings += [warning for scene in scenes.values() for warning in scene.warnings]
        return Lesson(
            student=student,
            views=views,
            posture=posture,
            fit=fit,
            arcs=compare_setups(posture, student, fit) if parts == "all" else None,
            strokes=strokes,
            spec=find_club_spec(fit, student, without_putter=without_putter) if parts == "all" else None,
            warnings=tuple(dict.fromkeys([*warnings, *posture.warnings, *(strokes.warnings if strokes else ())])),
            versions={**_programs(), "weights": next(iter(detections.values())).landmarks.model},
            wanted=wanted,
            without_putter=without_putter,
            step=self.step,
            interview=self.interview,
        )

    def _measure_strokes(self, views: Mapping[View, ViewResult], *, parts: _Parts) -> Strokes | None:
        """Measure the strokes; for a quick lesson only where no others with the same events by hand are known."""
        if all(each.strokes is None for each in views.values()):
            return None
        told = _with_shown_events(views)
        known = repr(sorted((view, each.given.event_times) for view, each in told.items()))
        if parts == "all" or known not in self._strokes:
            self._strokes[known] = measure_strokes(told, self.student)
        return self._strokes[known]

    def _fit_joints(self, bare: Seen) -> Joints:
        """Return the joints as the error model places them, whatever is placed by hand."""
        roll_deg = read_roll(bare).value
        known = bare.landmarks.view, bare.given.setup_times_s, roll_deg, bare.resolution_px
        if known not in self._joints:
            self._joints[known] = fit_joints(
                bare.landmarks, handed=self.student.handed, roll_deg=roll_deg, resolution_px=bare.resolution_px
            )
        return self._joints[known]

    def _advise(self, lesson: Lesson) -> Lesson:
        """Return the lesson with what to do first, the steps of the rebuild and the plan."""
        coach = evolve(self.coach, wanted=self.wanted)
        measured = lesson.posture, lesson.fit, lesson.student
        findings = find_findings(*measured, coach=coach, interview=lesson.interview)
        arc = find_arc(read_pendulum(lesson.posture, lesson.student))
        shown = compare_with_stroke(findings.found, lesson.strokes, handed=lesson.student.handed, arc=arc, coach=coach)
        findings = evolve(findings, stroke=shown)
        return evolve(
            lesson,
            findings=findings,
            steps=find_steps(*measured, coach=coach, interview=lesson.interview),
            plan=make_plan(findings, coach=coach, interview=lesson.interview),
            coach_text=coach.text,
        )


def _resolution_of(detection: Detection) -> float:
    if detection.finds is not None:
        return detection.finds.resolution_px
    if detection.still.erased:
        return 1.0
    return find_resolution(detection.still.picture, detection.landmarks.points_px[detection.still_index])


def check_given(sizes_px: Mapping[View, tuple[int, int]], given: Mapping[View, Given]) -> None:
    """Refuse a landmark that there is not, joints outside of the picture, and a back face on.

    Parameters
    ----------
    sizes_px : mapping of View to (int, int)
        Width and height of each picture.
    given : mapping of View to Given

    Raises
    ------
    UsageError
    """
    for view, of_view in given.items():
        width, height = sizes_px[view]
        if of_view.back_px and view != "down_the_line":
            raise UsageError(
                f"{VIEW_TITLES[view]}: the outline of the back was drawn, and only the view down the line shows it. "
                "Draw it there."
            )
        for each in of_view.landmarks:
            if each.landmark not in LANDMARK_INDEX:
                raise UsageError(f"There is no landmark {each.landmark!r}. Give one of {', '.join(LANDMARK_INDEX)}.")
            u, v = each.point_px
            if not (0 <= u <= width and 0 <= v <= height):
                raise UsageError(
                    f"{VIEW_TITLES[view]}: the point {u:g},{v:g} of {each.landmark} lies outside the picture, which is "
                    f"{width} by {height} pixels. Give pixels from its top left."
                )


def refuse_putter(given: Mapping[View, Given]) -> None:
    """Refuse a shaft or a ball that was drawn in a clip without either.

    Parameters
    ----------
    given : mapping of View to Given

    Raises
    ------
    UsageError
    """
    for view, told in given.items():
        drawn = [name for name, place in (("shaft", told.shaft_px), ("ball", told.ball_px)) if place is not None]
        if drawn:
            raise UsageError(
                f"{VIEW_TITLES[view]}: the {' and the '.join(drawn)} {'were' if len(drawn) > 1 else 'was'} given, and "
                "the clips are said to be without a putter. Give one or the other."
            )


def _say_lost(placed: PlacedLandmark, view: View) -> str:
    return (
        f"{VIEW_TITLES[view]}: {placed.landmark.replace('_', ' ')} was placed by hand at {placed.time_s:.2f} s, and no "
        "frame of that time is measured, so the placing is not used."
    )


def _shows(seen: SeenStrokes | None, placed: PlacedEvent) -> bool:
    """Tell whether an event that was placed by hand lies in the frames of its stroke."""
    if seen is None or placed.stroke > len(seen.strokes):
        return False
    times_s = seen.strokes[placed.stroke - 1].times_s
    return bool(times_s[0] <= placed.time_s <= times_s[-1])


def _with_shown_events(views: Mapping[View, ViewResult]) -> dict[View, ViewResult]:
    """Return views without the events by hand that lie in no stroke."""
    return {
        view: evolve(
            each,
            given=evolve(
                each.given, event_times=tuple(one for one in each.given.event_times if _shows(each.strokes, one))
            ),
        )
        for view, each in views.items()
    }


def _say_lost_event(placed: PlacedEvent, view: View) -> str:
    return (
        f"{VIEW_TITLES[view]}: {placed.event} of stroke {placed.stroke} was placed by hand at {placed.time_s:.2f} s, "
        "and no frame of such a stroke was looked at there, so the placing is not used."
    )


@cache
def _programs() -> dict[str, str]:
    found = {"putt_posture": importlib.metadata.version("putt_posture"), "python": platform.python_version()}
    found |= {name: importlib.metadata.version(name) for name in _LIBRARIES}
    return found
