"""A draft measured: the job for a worker, what became of it, and whether its input changed since.

What became of it is in ``measured.json`` beside the result, so that it outlives the server.
"""

import hashlib
import json
from contextlib import suppress
from pathlib import Path
from typing import Any, Final

import cattrs
from attrs import evolve, frozen

from putt_posture.archive import Archive, load_student
from putt_posture.disk.folders import fresh_file
from putt_posture.disk.reading import read_inside
from putt_posture.documents import DOCUMENT
from putt_posture.errors import PuttPostureError, SwappedViews, UsageError, WrongView
from putt_posture.server.bodies import fill_student
from putt_posture.server.drafts import Draft
from putt_posture.server.state import ServerState
from putt_posture.services import Filing, JobResult, LessonJob, find_filing_day, prepare_job
from putt_posture.services.carrying_over import CarriedOver, carry_over
from putt_posture.services.coach_files import open_coach_file
from putt_posture.values import Progress, View

__all__ = [
    "DraftJob",
    "Outcome",
    "check_is_guests",
    "clips_of",
    "find_carried",
    "find_outcome",
    "give_to_student",
    "prepare",
]

_FILE: Final = "measured.json"
_MOST_BYTES: Final = 100_000


@frozen(kw_only=True)
class Outcome:
    """What became of measuring a draft.

    Attributes
    ----------
    input : str
        Stands for what the result was measured from; empty where there is no result.
    trouble : str
        Why the last try failed, in a sentence; empty where it did not.
    is_wrong_view : bool
        Whether it failed since a clip shows the other view.
    has_result : bool
    is_stale : bool
        Whether something that counts was changed since the result was measured.
    """

    input: str = ""
    trouble: str = ""
    is_wrong_view: bool = False
    has_result: bool = False
    is_stale: bool = False


@frozen(kw_only=True)
class DraftJob:
    """A draft to measure.

    Attributes
    ----------
    lesson : LessonJob
        With the draft's result folder as its place.
    input : str
        Stands for what is measured; see `Outcome`.
    """

    lesson: LessonJob
    input: str

    @property
    def out(self) -> Path | None:
        """Where the result goes."""
        return self.lesson.out

    def check(self) -> None:
        """Check, before any long work, that the result can be written to its place. Raises OutputError."""
        self.lesson.check()

    def run(self, *, progress: Progress | None = None) -> JobResult:
        """Measure, and write down what became of it.

        Parameters
        ----------
        progress : callable, optional

        Raises
        ------
        PuttPostureError
            As `LessonJob.run` does.
        """
        if self.out is None:
            raise UsageError("A draft is measured into its own folder, and none was given.")
        folder = self.out.parent
        try:
            result = self.lesson.run(progress=progress)
        except PuttPostureError as error:
            was = _read(folder)
            _write(folder, evolve(was, trouble=str(error), is_wrong_view=isinstance(error, (SwappedViews, WrongView))))
            raise
        _write(folder, Outcome(input=self.input))
        return result


def clips_of(state: ServerState, draft: Draft) -> dict[View, Path]:
    """Return the clips of a draft that are whole.

    Parameters
    ----------
    state : ServerState
    draft : Draft
    """
    folder = state.drafts.clips_folder(draft.id)
    return {view: folder / name for view, name in draft.clips.items()}


def find_outcome(state: ServerState, draft: Draft) -> Outcome:
    """Return what became of measuring a draft, and whether it has to be measured again.

    Parameters
    ----------
    state : ServerState
    draft : Draft
    """
    result = state.drafts.result_folder(draft.id)
    found = _read(result.parent)
    has_result = (result / DOCUMENT).is_file()
    return evolve(found, has_result=has_result, is_stale=has_result and found.input != _input_of(draft))


def find_carried(state: ServerState, draft: Draft) -> CarriedOver:
    """Return what was put right by hand in the result of a draft, as far as it counts when it is measured again.

    Parameters
    ----------
    state : ServerState
    draft : Draft
    """
    folder = state.drafts.result_folder(draft.id)
    if not (folder / DOCUMENT).is_file():
        return CarriedOver()
    digests = {view: draft.about[view].sha256 if view in draft.about else "" for view in draft.clips}
    with suppress(PuttPostureError):  # a damaged result is measured anew
        return carry_over(folder, digests, without_putter=draft.without_putter)
    return CarriedOver()


def prepare(state: ServerState, draft: Draft, *, archive: Archive | None) -> DraftJob:
    """Return the job that measures a draft.

    Parameters
    ----------
    state : ServerState
    draft : Draft
    archive : Archive or None
        Where the student of the draft is, and what they allow; None for a guest.

    Raises
    ------
    NotInArchive
    NotAllowed
        If the consent for filing is missing.
    UsageError
        If there is no clip, or the coach's file cannot be used.
    """
    clips, today = clips_of(state, draft), state.today()
    if not clips:
        raise UsageError("There is no clip yet. Film or choose a down-the-line clip, a face-on clip, or both.")
    given: dict[str, Any] = {
        **find_carried(state, draft).given, "without_putter": draft.without_putter, "step": draft.step,
    }  # fmt: skip
    if state.coach_file is not None:
        given["coach"] = open_coach_file(state.coach_file)
    if draft.student is None or archive is None:
        made = LessonJob(
            student=draft.who,
            clips=clips,
            given={**given, "interview": draft.interview},
            made_on=today,
            paper=state.paper,
        )
    else:
        filing = Filing(
            student=draft.student,
            day=find_filing_day(clips, today=today).day,
            moment=draft.moment,
            clips=clips,
            paper=state.paper,
        )
        made = prepare_job(
            archive,
            filing,
            today=today,
            putter_length_cm=draft.who.putter_length_cm,
            putter_lie_deg=draft.who.putter_lie_deg,
            given={**given, "interview": draft.interview},
        )
    made = evolve(
        made,
        out=state.drafts.result_folder(draft.id),
        replace=True,
        hide_faces=made.hide_faces or state.hide_faces,
        paper=state.paper,
        names={view: draft.about[view].name for view in clips if view in draft.about},
    )
    return DraftJob(lesson=made, input=_input_of(draft))


def check_is_guests(draft: Draft) -> None:
    """Check that a draft is of a guest, so that it can be given to a student. Raises UsageError.

    Parameters
    ----------
    draft : Draft
    """
    if draft.student is not None:
        raise UsageError(f"This lesson belongs to student {draft.student} already. Begin another lesson.")


def give_to_student(state: ServerState, draft: Draft, archive: Archive, number: int) -> Draft:
    """Make a guest's draft that of a student, and return it.

    Its result still counts where only the name is new, as nothing is measured from it; where height, hand, body table
    or wrist differs, the lesson has to be measured again.

    Parameters
    ----------
    state : ServerState
    draft : Draft
    archive : Archive
    number : int
        The student's.

    Raises
    ------
    NotInArchive
    UsageError
        If the draft is a student's already, or not here any more.
    """
    check_is_guests(draft)
    who = evolve(
        load_student(archive, number).student,
        putter_length_cm=draft.who.putter_length_cm,
        putter_lie_deg=draft.who.putter_lie_deg,
    )
    was = find_outcome(state, draft)
    given = state.drafts.change(draft.id, student=number, who=who)
    is_same = fill_student(evolve(who, name=None)) == fill_student(evolve(draft.who, name=None))
    if was.has_result and not was.is_stale and is_same:
        folder = state.drafts.result_folder(draft.id).parent
        _write(folder, evolve(_read(folder), input=_input_of(given)))
    return given


def _input_of(draft: Draft) -> str:
    """Return a digest of all that a result depends on."""
    said = {
        "who": cattrs.unstructure(draft.who),
        "interview": cattrs.unstructure(draft.interview),
        "clips": sorted((view, draft.about[view].sha256 if view in draft.about else name)
                        for view, name in draft.clips.items()),
        "without_putter": draft.without_putter,
        "step": draft.step,
    }  # fmt: skip
    return hashlib.sha256(json.dumps(said, sort_keys=True).encode()).hexdigest()


def _read(folder: Path) -> Outcome:
    with suppress(PuttPostureError, OSError, ValueError, cattrs.BaseValidationError):
        found = json.loads(read_inside(folder, _FILE, most_bytes=_MOST_BYTES, what="file"))
        return cattrs.structure(found, Outcome)
    return Outcome()


def _write(folder: Path, outcome: Outcome) -> None:
    with fresh_file(folder / _FILE, replace=True, what="lesson", private=True) as file:
        file.write(json.dumps(cattrs.unstructure(outcome)).encode())
