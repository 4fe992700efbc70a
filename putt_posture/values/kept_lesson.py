"""A kept lesson: its numbers and what was seen in each view; two of them compared."""

from collections.abc import Mapping
from datetime import date
from pathlib import Path

import numpy as np
from attrs import field, frozen
from numpy.typing import NDArray

from putt_posture.values.change import Changes, Measured
from putt_posture.values.clip import Picture
from putt_posture.values.estimate import Estimate, Floats
from putt_posture.values.findings import Findings, Plan, RebuildStep, TakenUp
from putt_posture.values.interview import Interview
from putt_posture.values.landmarks import LANDMARK_INDEX
from putt_posture.values.posture import MeasureName
from putt_posture.values.scene import Point, ScaleSource, Segment
from putt_posture.values.setup_arc import ArcComparison
from putt_posture.values.showing import Shown, Tabled, brief
from putt_posture.values.stroke import Strokes
from putt_posture.values.student import Student, View

__all__ = ["ComparedLesson", "Comparison", "KeptView", "LessonRecord", "ViewRecord"]


@brief
@frozen(kw_only=True)
class ViewRecord:
    """One view of a kept lesson.

    Attributes
    ----------
    view : View
    file : str
        Name of the clip.
    sha256 : str
        Digest of the clip, hexadecimal.
    kind : str
        ``video`` or ``still``.
    size_px : (int, int)
        Width and height of the full-size upright picture.
    setups : int
        How many setups were measured.
    px_per_cm : Estimate
    scale_source : ScaleSource
    roll, yaw, distance_cm : Estimate
        As in `Scene`.
    forward : int
        As in `Scene`: +1 where the ball side (down the line) or the target side (face on) is to the right.
    ground_v_px : float or None
        v of the ground under the mid-point of the feet, full-size pixels.
    still_index : int
        Which of the kept landmark frames the still is.
    still_box_px : (int, int, int, int)
        u0, v0, u1, v1 of the part of the full-size picture that the still shows.
    still_size : (int, int)
        Width and height of the still, pixels.
    landmark_model : str
    shaft_px : Segment or None
        As in `Scene`.
    ball_px : Point or None
    setup_times_s : tuple of float
        Clip times of the setups, seconds.
    """

    view: View
    file: str
    sha256: str
    kind: str
    size_px: tuple[int, int]
    setups: int
    px_per_cm: Estimate
    scale_source: ScaleSource
    roll: Estimate
    yaw: Estimate
    distance_cm: Estimate
    forward: int
    ground_v_px: float | None
    still_index: int
    still_box_px: tuple[int, int, int, int]
    still_size: tuple[int, int]
    landmark_model: str
    shaft_px: Segment | None = None
    ball_px: Point | None = None
    setup_times_s: tuple[float, ...] = ()


@brief
@frozen(kw_only=True)
class LessonRecord(Shown, Tabled):
    """The contents of a kept lesson without its pictures.

    Attributes
    ----------
    made_on : date or None
        The day of the lesson, where it is known.
    student : Student
        As the coach described them that day.
    measures : mapping of MeasureName to Estimate
        One entry for each name of `MEASURES`.
    putter_length, lie : Estimate
        What was suggested, cm and deg.
    stock_length_in : float or None
        The nearest half inch.
    views : mapping of View to ViewRecord
        One or two entries.
    warnings : tuple of str
    versions : mapping of str to str
        The program, its libraries and its weights.
    faces_hidden : bool
        Whether the heads in its pictures are hidden.
    ghost_box_px : (int, int, int, int) or None
        u0, v0, u1, v1 of the part of the full-size picture down the line that the ghost is drawn over; None where
        there is none.
    without_putter : bool
        Whether the student was filmed without putter and ball.
    step : str or None
        The step of a rebuild that the clips show, as the coach calls it.
    interview : Interview
        What the student said; of a lesson of the archive, as it was written down there.
    findings : Findings or None
        What to do first; None where it was not looked for.
    steps : tuple of RebuildStep
    plan : Plan or None
    strokes : Strokes or None
        What was measured of the strokes; None where none was looked for. The paths of a stroke are in `strokes.csv`
        and not here.
    step_boxes_px : mapping of MeasureName to (int, int, int, int)
        The same of the drawing of each step of the rebuild, by the measure that it is about.
    stroke_boxes_px : mapping of str to (int, int, int, int)
        The same of the stills of the strokes that are shown, by view and event: ``face_on_top``.
    """

    made_on: date | None
    student: Student
    measures: Mapping[MeasureName, Estimate]
    putter_length: Estimate
    lie: Estimate
    stock_length_in: float | None
    views: Mapping[View, ViewRecord]
    warnings: tuple[str, ...] = ()
    versions: Mapping[str, str] = field(factory=dict)
    faces_hidden: bool = False
    ghost_box_px: tuple[int, int, int, int] | None = None
    step_boxes_px: Mapping[MeasureName, tuple[int, int, int, int]] = field(factory=dict)
    stroke_boxes_px: Mapping[str, tuple[int, int, int, int]] = field(factory=dict)
    without_putter: bool = False
    step: str | None = None
    interview: Interview = field(factory=Interview)
    findings: Findings | None = None
    steps: tuple[RebuildStep, ...] = ()
    plan: Plan | None = None
    strokes: Strokes | None = None

    @property
    def _estimates(self) -> Mapping[MeasureName, Estimate]:
        return self.measures

    @property
    def _strokes(self) -> Strokes | None:
        return self.strokes

    @property
    def numbers(self) -> Mapping[MeasureName, Estimate]:
        """All measures, of the setup and then of the stroke where one was looked for."""
        return {**self.measures, **({} if self.strokes is None else self.strokes.numbers)}

    @property
    def measured(self) -> Measured:
        """The measures, with what is needed to find the part of their errors that another lesson shares."""
        return Measured(
            measures=self.numbers,
            scale_sources={view: each.scale_source for view, each in self.views.items()},
            landmark_models={view: each.landmark_model for view, each in self.views.items()},
            student=self.student,
        )


@brief
@frozen(kw_only=True, eq=False)
class KeptView:
    """One view of a kept lesson with its pictures.

    Attributes
    ----------
    record : ViewRecord
    still : (H, W, 3) uint8
        The still without marks, RGB; it shows `record.still_box_px` of the full-size picture.
    outline : (h, w) uint8
        Probability that each full-size pixel of `outline_box_px` is the student, 0 to 255.
    outline_box_px : (int, int, int, int)
        u0, v0, u1, v1 in the full-size picture.
    joints_px : (33, 2)
        Joint centres in the still's frame, full-size pixels, in the order of `LANDMARK_NAMES`; NaN where unseen.
    """

    record: ViewRecord
    still: Picture = field(repr=False)
    outline: NDArray[np.uint8] = field(repr=False)
    outline_box_px: tuple[int, int, int, int]
    joints_px: Floats = field(repr=False)

    def joint(self, name: str) -> Floats:
        """Return one joint, (2,) full-size pixels; NaN where unseen.

        Parameters
        ----------
        name : str
            One of `LANDMARK_NAMES`.
        """
        place: Floats = self.joints_px[LANDMARK_INDEX[name]]
        return place

    def middle(self, *names: str) -> Floats:
        """Return the middle of the visible ones of these joints, (2,) full-size pixels; NaN where none is visible.

        Parameters
        ----------
        *names : str
            Of `LANDMARK_NAMES`.
        """
        places = [place for name in names if np.isfinite(place := self.joint(name)).all()]
        return np.asarray(np.mean(places, axis=0)) if places else np.full(2, np.nan)


@brief
@frozen(kw_only=True, eq=False)
class ComparedLesson:
    """One of two lessons that are compared.

    Attributes
    ----------
    title : str
        What to call it in a sentence.
    record : LessonRecord
    views : mapping of View to KeptView
        The views whose pictures were kept.
    files : tuple of Path
        Files of the lesson that must not be replaced by the report.
    says : tuple of str
        Sentences on which parts of the lesson are held back, and why.
    """

    title: str
    record: LessonRecord
    views: Mapping[View, KeptView] = field(factory=dict, repr=False)
    files: tuple[Path, ...] = ()
    says: tuple[str, ...] = ()


@brief
@frozen(kw_only=True, eq=False)
class Comparison(Shown):
    """What changed from one lesson to another.

    Attributes
    ----------
    before, after : ComparedLesson
    changes : Changes
    arcs : ArcComparison or None
        The arcs of the two filmed setups; None where either is absent.
    taken_up : TakenUp or None
        What became of the plan of the earlier lesson; None where it had none.
    """

    before: ComparedLesson
    after: ComparedLesson
    changes: Changes
    arcs: ArcComparison | None = None
    taken_up: TakenUp | None = None

    @property
    def says(self) -> tuple[str, ...]:
        """Sentences on which parts of the two lessons are held back, and why; each once."""
        return tuple(dict.fromkeys((*self.before.says, *self.after.says)))
