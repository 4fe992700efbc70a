"""A lesson before a camera: what live numbers are held against, and the still moment that is kept.

Live pictures are looked at and forgotten. Only what the coach holds is kept, and for that the student's consent is
asked for, as for every picture.
"""

from datetime import date
from typing import Final

from attrs import frozen

from putt_posture.archive import Archive, check_filing
from putt_posture.body import check_student
from putt_posture.clips.motion_jpeg import MOST_PICTURES, join_pictures
from putt_posture.errors import UsageError
from putt_posture.findings import CoachFile, load_coach_file
from putt_posture.fitting import fit_putter
from putt_posture.live import LiveLesson, decode_frame
from putt_posture.values import Interview, Student, View

__all__ = ["HeldPictures", "check_hold", "join_held", "prepare_live"]

LONGEST_S: Final = 3.0
"""A held moment is no longer, s."""


@frozen(kw_only=True)
class HeldPictures:
    """The pictures of a still moment, as the camera's browser gave them.

    Attributes
    ----------
    pictures : tuple of bytes
        JPEG of the camera's full size.
    times_s : tuple of float
        When each was taken, s.
    """

    pictures: tuple[bytes, ...]
    times_s: tuple[float, ...]


def prepare_live(
    student: Student,
    *,
    view: View,
    coach: CoachFile | None = None,
    interview: Interview | None = None,
    without_putter: bool = False,
) -> LiveLesson:
    """Return what live numbers are held against.

    Parameters
    ----------
    student : Student
    view : View
    coach : CoachFile, optional
        The shipped values where it is not given.
    interview : Interview, optional
        What the student said.
    without_putter : bool
        Whether the hands are empty.

    Raises
    ------
    UsageError
        If the student, or the setup that the coach wants, cannot be.
    """
    check_student(student)
    coach = coach or load_coach_file()
    return LiveLesson(
        student=student,
        view=view,
        fit=fit_putter(None, student, wanted=coach.wanted, without_putter=without_putter),
        coach=coach,
        interview=interview,
        without_putter=without_putter,
    )


def check_hold(archive: Archive, student: int, *, today: date) -> None:
    """Check that pictures of a student may be kept for a lesson of today.

    Parameters
    ----------
    archive : Archive
    student : int
        The student's number.
    today : date

    Raises
    ------
    NotInArchive
    NotAllowed
        If the consent for it is missing.
    """
    check_filing(archive, student, day=today, today=today)


def join_held(held: HeldPictures) -> bytes:
    """Join held pictures into a clip that is measured like any other.

    Parameters
    ----------
    held : HeldPictures

    Returns
    -------
    bytes
        Motion JPEG; no picture is compressed again.

    Raises
    ------
    UsageError
        If a picture cannot be read, the sizes differ, or the times do not fit.
    """
    if not 0 < len(held.pictures) <= MOST_PICTURES or len(held.pictures) != len(held.times_s):
        raise UsageError(
            f"{len(held.pictures)} pictures were held; 1 to {MOST_PICTURES} were needed, each with its time. "
            "Hold once more."
        )
    if held.times_s[-1] - held.times_s[0] > LONGEST_S:
        raise UsageError(f"The held pictures span more than {LONGEST_S:g} s. Hold once more.")
    sizes = {decode_frame(picture, time_s=0.0).picture.shape[1::-1] for picture in held.pictures}
    if len(sizes) > 1:
        raise UsageError("The camera changed the size of its pictures. Hold once more.")
    return join_pictures(held.pictures, held.times_s, size_px=next(iter(sizes)))
