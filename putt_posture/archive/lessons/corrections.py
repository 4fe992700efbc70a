"""Landmarks corrected by hand.

A correction is stored beside the automatic landmark and does not replace it. If one landmark was corrected more than
once, the last correction counts; if that is removed, the one before it counts again. Measures stay as they were filed.
"""

import math
from datetime import date

import numpy as np
from attrs import field, frozen
from numpy.typing import NDArray
from sqlalchemy import select
from sqlalchemy.orm import Session

from putt_posture.archive.archive import Archive
from putt_posture.archive.db.rows import as_points, row_of_lesson
from putt_posture.archive.db.tables import ClipRow, Correction, LandmarkRow
from putt_posture.archive.db.texts import clean
from putt_posture.archive.people.consents import permission_of
from putt_posture.errors import NotInArchive, UsageError
from putt_posture.values import LANDMARK_INDEX, Floats, Point, View

__all__ = ["CorrectedLandmark", "FiledLandmarks", "correct_landmark", "load_landmarks", "remove_correction"]


@frozen(kw_only=True)
class CorrectedLandmark:
    """One correction.

    Attributes
    ----------
    number : int
        In the archive.
    frame : int
        Which of the kept frames of the view, from 0.
    landmark : str
        One of `LANDMARK_NAMES`.
    point_px : Point
        Where it is, pixels of the full-size upright picture, origin top left.
    made_by : str
    made_on : date
    """

    number: int
    frame: int
    landmark: str
    point_px: Point
    made_by: str
    made_on: date


@frozen(kw_only=True, eq=False)
class FiledLandmarks:
    """The landmarks of one view of a lesson, in T frames.

    Attributes
    ----------
    lesson : int
    view : View
    size_px : (int, int)
        Width and height of the full-size upright picture.
    times_s : (T,)
        Clip time of each frame, seconds.
    setup_index : (T,)
        Which setup each frame belongs to, from 0.
    automatic : (T, 33, 3)
        As the model gave them: u, v in pixels of the full-size upright picture, NaN where unseen; visibility 0 to 1.
    corrections : tuple of CorrectedLandmark
        In the order in which they were made.
    """

    lesson: int
    view: View
    size_px: tuple[int, int]
    times_s: Floats
    setup_index: NDArray[np.int64]
    automatic: Floats = field(repr=False)
    corrections: tuple[CorrectedLandmark, ...] = ()

    @property
    def points(self) -> Floats:
        """The landmarks with the corrections applied, (T, 33, 3); visibility is 1 for a corrected point."""
        points = self.automatic.copy()
        for each in self.corrections:
            points[each.frame, LANDMARK_INDEX[each.landmark]] = (*each.point_px, 1.0)
        return points


def correct_landmark(
    archive: Archive,
    lesson: int,
    *,
    view: View,
    frame: int,
    landmark: str,
    point_px: Point,
    made_by: str,
    today: date,
) -> int:
    """Correct a landmark and return the number of the correction.

    Parameters
    ----------
    archive : Archive
    lesson : int
        The lesson's number.
    view : View
    frame : int
        Which of the kept frames of the view, from 0.
    landmark : str
        One of `LANDMARK_NAMES`.
    point_px : Point
        u and v, pixels of the full-size upright picture, origin top left.
    made_by : str
        The name of the person who corrected it.
    today : date
        The day by which consent and ages are judged.

    Raises
    ------
    NotInArchive
        If there is no such lesson.
    NotAllowed
        If the consent for keeping measures does not count today.
    UsageError
        If the view, frame or landmark does not exist, the point is outside the picture, or `made_by` is empty.
    """
    u, v = (float(each) for each in point_px)
    maker = " ".join(clean(made_by).split())
    if not maker:
        raise UsageError("The name of the person who corrected the landmark is missing. Give it.")
    if landmark not in LANDMARK_INDEX:
        raise UsageError(f"There is no landmark {landmark!r}. Give one of {', '.join(LANDMARK_INDEX)}.")
    with archive.write() as session:
        clip = _clip_of(session, lesson, view, today=today)
        if not (math.isfinite(u) and math.isfinite(v) and 0 <= u <= clip.width and 0 <= v <= clip.height):
            raise UsageError(
                f"The point {u:g}, {v:g} is outside the picture, which is {clip.width} by {clip.height} pixels. "
                "Give u from the left and v from the top, in pixels of the full-size picture."
            )
        if session.get(LandmarkRow, (clip.id, frame)) is None:
            raise UsageError(_say_frames(session, clip, frame))
        row = Correction(clip_id=clip.id, frame=frame, landmark=landmark, u_px=u, v_px=v, made_by=maker, made_on=today)
        session.add(row)
        session.flush()
        return row.id


def load_landmarks(archive: Archive, lesson: int, view: View, *, today: date) -> FiledLandmarks:
    """Load the landmarks of one view with their corrections.

    Parameters
    ----------
    archive : Archive
    lesson : int
        Number of the lesson.
    view : View
    today : date
        The day by which consent and ages are judged.

    Raises
    ------
    NotInArchive
        If there is no such lesson.
    NotAllowed
        If the consent for keeping measures does not count today.
    UsageError
        If it does not have the view, or was filed without landmarks.
    """
    with archive.read() as session:
        clip = _clip_of(session, lesson, view, today=today)
        rows = session.scalars(
            select(LandmarkRow).where(LandmarkRow.clip_id == clip.id).order_by(LandmarkRow.frame)
        ).all()
        if not rows:
            raise UsageError(_say_none(clip))
        made = session.scalars(select(Correction).where(Correction.clip_id == clip.id).order_by(Correction.id)).all()
        return FiledLandmarks(
            lesson=lesson,
            view=view,
            size_px=(clip.width, clip.height),
            times_s=np.array([row.time_s for row in rows]),
            setup_index=np.array([row.setup for row in rows], dtype=np.int64),
            automatic=np.stack([as_points(row) for row in rows]),
            corrections=tuple(
                CorrectedLandmark(
                    number=row.id,
                    frame=row.frame,
                    landmark=row.landmark,
                    point_px=(row.u_px, row.v_px),
                    made_by=row.made_by,
                    made_on=row.made_on,
                )
                for row in made
            ),
        )


def remove_correction(archive: Archive, number: int) -> None:
    """Remove a correction; the one before it counts again. Raises NotInArchive.

    Parameters
    ----------
    archive : Archive
    number : int
        Number of the correction.
    """
    with archive.write() as session:
        row = session.get(Correction, number)
        if row is None:
            raise NotInArchive(f"There is no correction {number} in the archive. Look with load_landmarks.")
        session.delete(row)


def _clip_of(session: Session, lesson: int, view: View, *, today: date) -> ClipRow:
    permission_of(session, row_of_lesson(session, lesson).student_id).check_showing(today)
    clips = {each.view: each for each in session.scalars(select(ClipRow).where(ClipRow.lesson_id == lesson))}
    if view not in clips:
        raise UsageError(f"Lesson {lesson} has no view {view}. Give {' or '.join(sorted(clips))}.")
    return clips[view]


def _say_frames(session: Session, clip: ClipRow, frame: int) -> str:
    last = session.scalar(
        select(LandmarkRow.frame).where(LandmarkRow.clip_id == clip.id).order_by(LandmarkRow.frame.desc()).limit(1)
    )
    if last is None:
        return _say_none(clip)
    return f"There is no frame {frame} in this view of lesson {clip.lesson_id}. Give one from 0 to {last}."


def _say_none(clip: ClipRow) -> str:
    return f"Lesson {clip.lesson_id} was filed without landmarks, so none can be corrected. Measure its clips again."
