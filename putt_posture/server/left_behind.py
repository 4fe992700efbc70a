"""Drafts that go: thrown away by the coach, or left behind by a student who was erased from the archive."""

from collections.abc import Collection

from putt_posture.archive import load_student
from putt_posture.errors import ArchiveError, NotInArchive
from putt_posture.server.drafts import Draft
from putt_posture.server.state import ServerState

__all__ = ["erase_drafts_of", "say_gone", "throw_away"]


def throw_away(state: ServerState, id: str) -> None:
    """Erase a draft with its clips and its result; what is being measured of it is stopped.

    Parameters
    ----------
    state : ServerState
    id : str
    """
    work = state.work.find_going_on(id)
    if work is not None:
        state.work.cancel(work.id)
    state.drafts.erase(id)


def erase_drafts_of(state: ServerState, students: Collection[int]) -> None:
    """Erase the drafts of students who were erased from the archive.

    Parameters
    ----------
    state : ServerState
    students : collection of int
        Their numbers, which are not used again.
    """
    for draft in state.drafts.list():
        if draft.student in students:
            throw_away(state, draft.id)


def say_gone(state: ServerState, draft: Draft) -> str:
    """Say that the student of a draft is not in the archive any more, as where another coach erased them.

    Parameters
    ----------
    state : ServerState
    draft : Draft

    Returns
    -------
    str
        A sentence; empty where the student is there, where it is a guest, and where the archive cannot be asked.
    """
    if draft.student is None:
        return ""
    try:
        with state.open_archive() as archive:
            load_student(archive, draft.student)
    except NotInArchive as error:
        return str(error)
    except ArchiveError:
        return ""
    return ""
