"""The lessons of an archive that are to be measured again by the present method."""

from collections.abc import Collection

from attrs import field, frozen
from packaging.version import InvalidVersion, Version

from putt_posture.archive import Archive, load_newest_results, load_student
from putt_posture.errors import UsageError

__all__ = ["AgainLesson", "read_archive"]


@frozen(kw_only=True)
class AgainLesson:
    """A lesson of the archive that is to be measured again.

    Attributes
    ----------
    lesson : int
        Number of the result that counts.
    student : int
        Number in the archive.
    document : str
        Digest of that result.
    where : str
        How it is called in a table.
    fault : str
        Why it cannot be done; empty where it can.
    """

    lesson: int
    student: int
    document: str
    where: str = field(init=False)
    fault: str = ""

    @where.default
    def _name(self) -> str:
        return f"lesson {self.lesson}"


def read_archive(
    archive: Archive, *, students: Collection[int] = (), older_than: str | None = None
) -> tuple[AgainLesson, ...]:
    """Return the lessons that are to be measured again, by student and number.

    Parameters
    ----------
    archive : Archive
    students : collection of int
        Numbers of the students whose lessons these are; all students without any.
    older_than : str, optional
        Only lessons that a version of the program before this one measured, such as ``0.2.0``.

    Raises
    ------
    NotInArchive
        If there is no student of a number.
    UsageError
        If the version cannot be read, or there is no such lesson.
    """
    limit = None if older_than is None else _read_version(older_than)
    if limit is None and older_than is not None:
        raise UsageError(f"{older_than!r} is not a version. Give one like 0.2.0.")
    for each in students:
        load_student(archive, each)
    chosen: list[int] | list[None] = sorted(set(students)) or [None]
    found = [each for student in chosen for each in load_newest_results(archive, student=student)]
    lessons = tuple(
        AgainLesson(lesson=each.lesson, student=each.student, document=each.document)
        for each in found
        if limit is None or (_read_version(each.program) or Version("0")) < limit
    )
    if not lessons:
        which = "no lesson" if older_than is None else f"no lesson that a version before {older_than} measured"
        raise UsageError(f"The archive holds {which}{' of them' if students else ''}, so there is nothing to do.")
    return lessons


def _read_version(text: str) -> Version | None:
    try:
        return Version(text)
    except InvalidVersion:
        return None
