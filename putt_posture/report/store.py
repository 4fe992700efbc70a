"""A lesson put into a folder: report, stills, numbers and landmarks, whole or not at all."""

from datetime import date
from pathlib import Path
from typing import Final

from putt_posture.folders import fresh_folder, open_new, write_new
from putt_posture.report.arrays import write_arrays
from putt_posture.report.change import Change, draw_change
from putt_posture.report.content import write_report
from putt_posture.report.csv_form import lesson_as_csv
from putt_posture.report.html import report_as_html
from putt_posture.report.json_form import lesson_as_json, validate
from putt_posture.report.json_text import document_as_text
from putt_posture.report.pdf import report_as_pdf
from putt_posture.report.schemas import check_document
from putt_posture.report.spec_content import write_spec_sheet
from putt_posture.report.spec_json import spec_as_json
from putt_posture.report.spec_pages import spec_sheet_as_html, spec_sheet_as_pdf
from putt_posture.report.stills import as_jpeg, as_png, draw_stills
from putt_posture.values import ClubSpec, Lesson, Progress, Student, tell_nobody

__all__ = ["EMBEDDED_BYTES", "PLAIN_BYTES", "store_lesson"]

EMBEDDED_BYTES: Final = 420_000
"""Most bytes of a picture inside the HTML and the PDF: two of them leave an e-mail of about a megabyte."""
PLAIN_BYTES: Final = 900_000
"""Most bytes of a still without marks."""


def store_lesson(
    lesson: Lesson,
    folder: Path | str,
    *,
    replace: bool = False,
    made_on: date | None = None,
    progress: Progress | None = None,
) -> Path:
    """Write everything that a lesson gave into a folder.

    The folder then holds ``report.html``, ``report.pdf``, ``measures.json``, ``measures.csv``, ``landmarks.npz``
    and, in ``stills/``, for each view the annotated still as PNG and the same without marks as JPEG
    (``…_plain.jpg``). Where the lesson has them: ``stills/ghost.png``, ``stills/curves.svg``, ``stills/arc.svg``, and
    ``spec_sheet.html``, ``spec_sheet.pdf`` and ``spec_sheet.json``.

    Parameters
    ----------
    lesson : Lesson
    folder : Path or str
        Made with its parents where it does not exist.
    replace : bool
        Whether a folder that holds something may be replaced as a whole; it stays until the new one is complete.
    made_on : date, optional
        The day to print on the report.
    progress : callable, optional
        Told what is going on and the share done, 0 to 1.

    Returns
    -------
    Path
        The folder.

    Raises
    ------
    OutputError
        If the folder is in use or cannot be written. Nothing is left behind then, nor after Ctrl-C.
    """
    tell = progress or tell_nobody
    clips = [result.clip.path for result in lesson.views.values()]
    with fresh_folder(folder, replace=replace, keep=clips) as part:
        tell("Drawing the stills", 0.0)
        stills = draw_stills(lesson)
        (part / "stills").mkdir()
        for still in stills:
            write_new(part / "stills" / f"{still.view}.png", as_png(still.annotated))
            write_new(part / "stills" / f"{still.view}_plain.jpg", as_jpeg(still.plain, most_bytes=PLAIN_BYTES))
        tell("Writing the numbers", 0.4)
        document = lesson_as_json(lesson, made_on=made_on)
        validate(document)
        write_new(part / "measures.json", document_as_text(document).encode("utf-8"))
        write_new(part / "measures.csv", lesson_as_csv(lesson).encode("utf-8"))
        with open_new(part / "landmarks.npz") as stream:
            write_arrays(lesson, stream)
        tell("Setting the report", 0.6)
        change = draw_change(lesson)
        report = write_report(lesson, stills=stills, change=change.section if change else None, made_on=made_on)
        pictures: dict[str, bytes] = {
            still.view: as_jpeg(still.annotated, most_bytes=EMBEDDED_BYTES) for still in stills
        }
        if change is not None:
            pictures |= _write_change(part / "stills", change)
        write_new(part / "report.html", report_as_html(report, pictures=pictures).encode("utf-8"))
        write_new(part / "report.pdf", report_as_pdf(report, pictures=pictures, made_on=made_on))
        if lesson.spec is not None:
            _write_spec(part, lesson.spec, lesson.student, made_on)
        tell("Writing the report", 1.0)
    return Path(folder)


def _write_change(place: Path, change: Change) -> dict[str, bytes]:
    """Write the pictures of the change and return those for the report."""
    pictures = {name: chart.encode("utf-8") for name, chart in change.charts.items()}
    for name, chart in pictures.items():
        write_new(place / f"{name}.svg", chart)
    if change.ghost is not None:
        write_new(place / "ghost.png", as_png(change.ghost))
        pictures["ghost"] = as_jpeg(change.ghost, most_bytes=EMBEDDED_BYTES)
    return pictures


def _write_spec(place: Path, spec: ClubSpec, student: Student, made_on: date | None) -> None:
    sheet = write_spec_sheet(spec, student, made_on=made_on)
    write_new(place / "spec_sheet.html", spec_sheet_as_html(sheet).encode("utf-8"))
    write_new(place / "spec_sheet.pdf", spec_sheet_as_pdf(sheet, made_on=made_on))
    document = spec_as_json(spec)
    check_document(document, "spec_sheet", what="The numbers of the spec sheet do")
    write_new(place / "spec_sheet.json", document_as_text(document).encode("utf-8"))
