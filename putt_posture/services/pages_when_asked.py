"""The pages of a lesson that was filed without them, as a batch files what it measures again: made when asked for.

They are made from what was kept, as it may be shown, and are never stored. So no page can be older than its numbers.
Whether pages belong to the numbers is decided here and nowhere else: what was seen is measured once more, and the
document must come out as it is kept, to the last byte. Where this version of the program measures otherwise, there are
no pages of those numbers; the lesson is measured again then.
"""

from collections.abc import Mapping
from datetime import date
from typing import Final

from attrs import evolve

from putt_posture.archive import Archive, load_newest_results, open_lesson
from putt_posture.archive.lessons.measured_again import MEASURED_AGAIN
from putt_posture.detection.loading import load_detections
from putt_posture.documents import ARRAYS, DOCUMENT, read_record
from putt_posture.documents.json_values import document_as_text
from putt_posture.pages import Paper, lesson_as_document, lesson_as_files
from putt_posture.records import KeptLesson
from putt_posture.services.measuring_again import MeasuredAgain, measure_again, measure_stored
from putt_posture.values import Lesson

__all__ = ["add_pages", "lacks_pages", "make_pages", "measure_where_pages_cannot_be_made", "with_pages"]

_REPORT: Final = "report.html"
_OTHERWISE: Final = (
    "Its report was not made yet, and this version of the program measures otherwise. Measure it again, and there is a "
    "report of the new numbers."
)


def lacks_pages(kept: KeptLesson) -> bool:
    """Tell whether a stored lesson was filed without its pages, and all is there to make them.

    Parameters
    ----------
    kept : KeptLesson
        As far as it may be shown.
    """
    needed = {ARRAYS, *(f"stills/{view}_plain.jpg" for view in kept.record.views)}
    return MEASURED_AGAIN in kept.record.versions and _REPORT not in kept.names and needed <= kept.names


def make_pages(kept: KeptLesson, *, paper: Paper = "a4") -> Mapping[str, bytes]:
    """Make the pages and drawings of a stored lesson that `lacks_pages`.

    Parameters
    ----------
    kept : KeptLesson
        As far as it may be shown.
    paper : {"a4", "letter"}
        What the PDFs are set for.

    Returns
    -------
    mapping of str to bytes
        The files that were not kept, by name; empty where this version of the program measures otherwise.

    Raises
    ------
    UsageError
        If what is kept is damaged.
    """
    lesson, made_on = _measure_as_kept(kept)
    if not _gives_the_same(lesson, made_on, kept):
        return {}
    files = lesson_as_files(lesson, made_on=made_on, paper=paper)
    return {name: data for name, data in files.items() if name not in kept.names}


def add_pages(kept: KeptLesson, pages: Mapping[str, bytes]) -> KeptLesson:
    """Return a stored lesson with the pages that `make_pages` made; without any, it says why there are none.

    Parameters
    ----------
    kept : KeptLesson
    pages : mapping of str to bytes
    """
    if not pages:
        return evolve(kept, says=(*kept.says, _OTHERWISE))

    def read(name: str) -> bytes:
        return pages[name] if name in pages else kept.read(name)

    return evolve(kept, names=kept.names | pages.keys(), read=read)


def with_pages(kept: KeptLesson, *, paper: Paper = "a4") -> KeptLesson:
    """Return a stored lesson with its pages, which are made now where it was filed without them.

    Parameters
    ----------
    kept : KeptLesson
        As far as it may be shown, such as `open_lesson` returns it.
    paper : {"a4", "letter"}
        What the PDFs are set for.

    Raises
    ------
    UsageError
        If what is kept is damaged.
    """
    return add_pages(kept, make_pages(kept, paper=paper)) if lacks_pages(kept) else kept


def measure_where_pages_cannot_be_made(
    archive: Archive, student: int, *, today: date, paper: Paper = "a4"
) -> tuple[MeasuredAgain, ...]:
    """Measure a student's lessons again whose pages this version of the program cannot make, so that none lacks them.

    Parameters
    ----------
    archive : Archive
    student : int
        Number of the student.
    today : date
        The day by which consent and ages are judged.
    paper : {"a4", "letter"}
        What the PDFs are set for.

    Returns
    -------
    tuple of MeasuredAgain
        What came of each of them.

    Raises
    ------
    NotInArchive, NotAllowed, UsageError, ArchiveError
        As `measure_again` does.
    """
    found = []
    for each in load_newest_results(archive, student=student):
        kept = open_lesson(archive, each.lesson, today=today)
        if lacks_pages(kept) and not _gives_the_same(*_measure_as_kept(kept), kept):
            found.append(measure_again(archive, each.lesson, today=today, paper=paper))
    return tuple(found)


def _measure_as_kept(kept: KeptLesson) -> tuple[Lesson, date | None]:
    """Measure a lesson as when it was filed; return it, and the day that its document says."""
    record = read_record(kept.read(DOCUMENT), where=f"{DOCUMENT} of {kept.title}")
    lesson = measure_stored(load_detections(kept), record, where=kept.title)
    return evolve(lesson, versions=record.versions), record.made_on


def _gives_the_same(lesson: Lesson, made_on: date | None, kept: KeptLesson) -> bool:
    return document_as_text(lesson_as_document(lesson, made_on=made_on)).encode("utf-8") == kept.read(DOCUMENT)
