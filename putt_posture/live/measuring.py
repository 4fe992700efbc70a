"""The measures and the steps of the rebuild from one moment before a camera.

Nothing is measured by a second formula: the smoothed landmarks of one frame go through the same steps as those of a
clip. They are less sure than those of a clip, and the uncertainty says so: the small model stands in for the large one
(`SMALL_MODEL_SHARE`), and a point that moves is shown where it was a moment ago, by the lag of the filter.
"""

import math
from pathlib import Path
from typing import Final

import numpy as np
from attrs import evolve, field, frozen

from putt_posture.errors import StudentNotFound
from putt_posture.findings import CoachFile, find_steps
from putt_posture.joints import fit_joints
from putt_posture.joints.axes import body_size_px
from putt_posture.joints.fit import RESOLUTION_SD
from putt_posture.landmarks import without_hidden_feet
from putt_posture.landmarks.outline import refine_mask
from putt_posture.landmarks.person import Person
from putt_posture.measures import MEASURES, measure_posture
from putt_posture.measures.arms import ELBOW_GAP_LEAD, ELBOW_GAP_TRAIL
from putt_posture.scene import Seen, find_in_pictures, look_for_roll
from putt_posture.scene.setup_check import name_why_no_setup, sees_other_view
from putt_posture.values import (
    VIEW_TITLES,
    Clip,
    Estimate,
    Fit,
    Floats,
    Frame,
    Given,
    Interview,
    Landmarks,
    MeasureName,
    Posture,
    RebuildStep,
    Student,
    View,
    ViewResult,
    absent,
)

__all__ = ["LiveLesson", "LiveMoment", "LiveReading", "find_live_roll", "measure_moment"]

SMALL_MODEL_SHARE: Final[dict[View, float]] = {"down_the_line": 0.011, "face_on": 0.014}
"""How far the small model's landmarks, in pictures 480 pixels high, lie from the large model's in the clip itself, one
sigma, as a share of the body's size: both looked at the same 24 setups of eleven rendered golfers, near side and middle
of the body. Of the arm behind the body it is five times as much; the measures leave that arm out where it is off."""
GAP_ALONE_SD_CM: Final = 3.1
"""Further uncertainty of an elbow's gap face on, one sigma, cm: that view alone does not show how far the elbow is
ahead of the ribs. On nine rendered golfers with true gaps of 0 to 7 cm the root mean square error was 3.1 cm."""
_GAPS: Final = frozenset({ELBOW_GAP_LEAD.name, ELBOW_GAP_TRAIL.name})
_MODEL: Final = "small pose model, live"
_LIVE: Final = "live"
_OF_PUTTER: Final = "Live numbers are of the body alone. Hold measures putter and ball."


@frozen(kw_only=True)
class LiveLesson:
    """What live numbers are held against: the student, the view and what is wanted.

    Attributes
    ----------
    student : Student
    view : View
    fit : Fit
        Of the filmed setup, or without one (`fit_putter(None, …)`): what each number should be near.
    coach : CoachFile or None
        The shipped values where it is not given.
    interview : Interview or None
        What the student said of pain and limits.
    without_putter : bool
        Whether the hands are empty, so that the arms may hang.
    """

    student: Student
    view: View
    fit: Fit
    coach: CoachFile | None = None
    interview: Interview | None = None
    without_putter: bool = False


@frozen(kw_only=True, eq=False)
class LiveMoment:
    """The student in one frame, smoothed.

    Attributes
    ----------
    frame : Frame
        At full size.
    person : Person
        With smoothed points and the outline of the frame.
    late_px : (33, 2)
        How far each point moved during the lag of its filter, pixels: it may be that far ahead of where it is shown.
    """

    frame: Frame
    person: Person
    late_px: Floats = field(repr=False)


@frozen(kw_only=True, eq=False)
class LiveReading:
    """What was measured in one moment.

    Attributes
    ----------
    time_s : float
        Of the frame.
    steps : tuple of RebuildStep
        With the numbers of this moment; empty where it is not a setup.
    posture : Posture or None
        None where it is not a setup.
    says : str
        One sentence: why this is not a setup; empty where it is.
    """

    time_s: float
    steps: tuple[RebuildStep, ...] = ()
    posture: Posture | None = field(default=None, repr=False)
    says: str = ""


def measure_moment(moment: LiveMoment, lesson: LiveLesson, *, roll: Estimate) -> LiveReading:
    """Measure one moment.

    Parameters
    ----------
    moment : LiveMoment
    lesson : LiveLesson
    roll : Estimate
        Of the camera, as `find_live_roll` returns it.

    Returns
    -------
    LiveReading
    """
    time_s, view, student = moment.frame.time_s, lesson.view, lesson.student
    landmarks = without_hidden_feet(_landmarks(moment, view=view))
    resolution_px = 1.0 + SMALL_MODEL_SHARE[view] * float(np.nanmedian(body_size_px(landmarks))) / RESOLUTION_SD
    joints = fit_joints(landmarks, handed=student.handed, roll_deg=roll.value, resolution_px=resolution_px)
    if sees_other_view(landmarks):
        other: View = "face_on" if view == "down_the_line" else "down_the_line"
        return LiveReading(
            time_s=time_s, says=f"This looks like the view {VIEW_TITLES[other].lower()}. Choose that one."
        )
    why_not = name_why_no_setup(
        landmarks, handed=student.handed, misfit=joints.misfit, without_putter=lesson.without_putter
    )
    if why_not:
        return LiveReading(time_s=time_s, says=f"Not at address: {why_not.split(' (')[0]}.")
    seen = Seen(
        landmarks=joints.landmarks, picture=None, given=Given(), file="The camera", roll=roll, yaw=joints.yaw,
        resolution_px=resolution_px,
    )  # fmt: skip
    try:
        scenes, _ = find_in_pictures({view: seen}, student, without_putter=True)
    except StudentNotFound:
        return LiveReading(time_s=time_s, says="The whole body is needed, from head to feet.")
    result = ViewResult(
        clip=_clip(landmarks),
        setups=(),
        landmarks=landmarks,
        joints=joints.landmarks,
        joint_errors_px=np.concatenate([joints.errors_px, moment.late_px[None]]),
        joint_offsets_px=joints.offsets_px,
        scene=scenes[view],
        still=moment.frame,
    )
    posture = measure_posture({view: result}, student)
    posture = evolve(posture, estimates={name: _as_live(name, each, lesson) for name, each in posture.items()})
    steps = find_steps(posture, lesson.fit, student, coach=lesson.coach, interview=lesson.interview)
    return LiveReading(time_s=time_s, steps=steps, posture=posture)


def find_live_roll(moment: LiveMoment, *, view: View) -> Estimate:
    """Find the camera's roll in one frame.

    Parameters
    ----------
    moment : LiveMoment
    view : View

    Returns
    -------
    Estimate
        Deg, + = content turned clockwise; level with a wide uncertainty where the picture does not show it.
    """
    landmarks = _landmarks(moment, view=view)
    return look_for_roll(Seen(landmarks=landmarks, picture=moment.frame.picture, given=Given()))


def _landmarks(moment: LiveMoment, *, view: View) -> Landmarks:
    person, picture = moment.person, moment.frame.picture
    height, width = picture.shape[:2]
    points = person.points_px.copy()
    points[np.any((points < 0) | (points > (width, height)), axis=1)] = np.nan
    mask = person.mask if person.mask is not None else np.zeros((height, width), dtype=np.uint8)
    return Landmarks(
        view=view,
        times_s=np.array([moment.frame.time_s]),
        setup_index=np.zeros(1, dtype=np.int64),
        points_px=points[None],
        visibility=person.visibility[None],
        depth=person.depth[None],
        masks=mask[None],
        outlines=refine_mask(mask, picture)[None],
        mask_box_px=(0, 0, width, height),
        size_px=(width, height),
        model=_MODEL,
    )


def _clip(landmarks: Landmarks) -> Clip:
    width, height = landmarks.size_px
    return Clip(path=Path(_LIVE), sha256="", view=landmarks.view, kind="video", width=width, height=height)


def _as_live(name: MeasureName, estimate: Estimate, lesson: LiveLesson) -> Estimate:
    """Return an estimate with what one view before a camera does not show."""
    if not estimate:
        if MEASURES[name].needs is None or lesson.without_putter:
            return estimate
        return absent(_OF_PUTTER, unit=estimate.unit, view=estimate.view)
    if name in _GAPS:
        budget = {**estimate.budget, "how far the elbow is ahead of the ribs": GAP_ALONE_SD_CM}
        return evolve(estimate, standard_uncertainty=math.hypot(*budget.values()), budget=budget)
    return estimate
