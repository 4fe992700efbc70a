"""One lesson: everything from the clips to the fit."""

from collections.abc import Callable, Mapping

import numpy as np
from attrs import Factory, field, frozen

from putt_posture.values.clip import Clip, Frame
from putt_posture.values.club_spec import ClubSpec
from putt_posture.values.estimate import Estimate, Floats
from putt_posture.values.findings import Findings, Plan, RebuildStep
from putt_posture.values.finds import PictureFinds
from putt_posture.values.fit import Fit, WantedSetup
from putt_posture.values.given import Given
from putt_posture.values.interview import Interview
from putt_posture.values.landmarks import LANDMARK_NAMES, Landmarks, Setup
from putt_posture.values.posture import MeasureName, Posture
from putt_posture.values.scene import Scene
from putt_posture.values.setup_arc import ArcComparison
from putt_posture.values.showing import Shown, Tabled, brief
from putt_posture.values.stroke import SeenStrokes, Strokes
from putt_posture.values.student import Student, View

__all__ = ["Lesson", "Progress", "ViewResult", "ignore_progress", "part_of_progress"]

Progress = Callable[[str, float], None]
"""Called with what is going on and the share done, 0 to 1."""


def _no_errors() -> Floats:
    return np.zeros((0, len(LANDMARK_NAMES), 2))


@brief
@frozen(kw_only=True, eq=False)
class ViewResult:
    """All that was found in one view.

    Attributes
    ----------
    clip : Clip
    setups : tuple of Setup
    landmarks : Landmarks
        As the model gave them.
    joints : Landmarks
        The landmarks moved to the joint centres, from which everything is measured.
    joint_errors_px : (C, 33, 2)
        Remaining errors of the joints: C independent patterns, one sigma each, pixels; none where they are not known.
    joint_offsets_px : (C, 33, 2)
        Mean errors of the landmarks of renders, as in `Joints`.
    scene : Scene
    still : Frame
        The full-size picture of the setup that represents the lesson.
    still_index : int
        Which frame of `landmarks` it is.
    given : Given
        What the coach typed or drew.
    finds : PictureFinds or None
        What was found in the still, even where the coach gave something; None where nothing was searched for.
    notes : tuple of str
        Sentences for the coach about the clip, the following and the landmarks.
    strokes : SeenStrokes or None
        What was seen of the strokes; None where none was looked for.
    """

    clip: Clip
    setups: tuple[Setup, ...]
    landmarks: Landmarks
    scene: Scene
    still: Frame = field(repr=False)
    still_index: int = 0
    joints: Landmarks = field(default=Factory(lambda self: self.landmarks, takes_self=True))
    joint_errors_px: Floats = field(factory=_no_errors, repr=False)
    joint_offsets_px: Floats = field(factory=_no_errors, repr=False)
    given: Given = field(factory=Given)
    finds: PictureFinds | None = field(default=None, repr=False)
    notes: tuple[str, ...] = field(default=(), repr=False)
    strokes: SeenStrokes | None = field(default=None, repr=False)


@brief
@frozen(kw_only=True, eq=False)
class Lesson(Shown, Tabled):
    """The result of `measure_lesson`.

    Attributes
    ----------
    student : Student
    views : mapping of View to ViewResult
        One or two entries.
    posture : Posture
    fit : Fit
    warnings : tuple of str
        All sentences that the coach should read, each once.
    versions : mapping of str to str
        The program, its libraries and its weights.
    arcs : ArcComparison or None
        The arc of the filmed and of the wanted setup; None without a view down the line.
    strokes : Strokes or None
        What was measured of the strokes; None where none was looked for.
    spec : ClubSpec or None
        For the club-builder.
    faces_hidden : bool
        Whether the heads in the pictures of the stills are hidden; those in the clips never are.
    wanted : WantedSetup or None
        The setup that the fit is for, as the coach asked for it; None for common practice.
    without_putter : bool
        Whether the student was filmed without putter and ball.
    step : str or None
        The step of a rebuild that the clips show, as the coach calls it.
    interview : Interview
        What the student said; empty where nothing was.
    findings : Findings or None
        What to do first; None where it was not looked for.
    steps : tuple of RebuildStep
        The way to the rebuilt setup.
    plan : Plan or None
        To take home.
    coach_text : str
        The coach's own file that findings, steps and plan follow; empty for the shipped values.
    """

    student: Student
    views: Mapping[View, ViewResult]
    posture: Posture
    fit: Fit
    warnings: tuple[str, ...] = ()
    versions: Mapping[str, str] = field(factory=dict)
    arcs: ArcComparison | None = None
    strokes: Strokes | None = None
    spec: ClubSpec | None = None
    faces_hidden: bool = False
    wanted: WantedSetup | None = None
    without_putter: bool = False
    step: str | None = None
    interview: Interview = field(factory=Interview)
    findings: Findings | None = None
    steps: tuple[RebuildStep, ...] = ()
    plan: Plan | None = None
    coach_text: str = field(default="", repr=False)

    @property
    def _estimates(self) -> Mapping[MeasureName, Estimate]:
        return self.posture.estimates

    @property
    def _strokes(self) -> Strokes | None:
        return self.strokes

    @property
    def _landmarks(self) -> Mapping[View, Landmarks]:
        return {view: result.landmarks for view, result in self.views.items()}


def part_of_progress(progress: Progress | None, start: float, end: float) -> Progress | None:
    """Return the callback for a part of the work, which reports the whole; None where no progress is shown.

    Parameters
    ----------
    progress : callable or None
        The callback for the whole.
    start, end : float
        Share of the whole that is done when the part begins and when it ends, 0 to 1.
    """
    if progress is None:
        return None
    return lambda what, done: progress(what, start + done * (end - start))


def ignore_progress(what: str, share: float) -> None:
    """Do nothing: a `Progress` for callers that show none.

    Parameters
    ----------
    what : str
        What is going on.
    share : float
        Share done, 0 to 1.
    """
