"""A lesson as files, in memory or in a folder: report, stills, numbers and landmarks, whole or not at all."""

from collections.abc import Mapping, Sequence
from concurrent.futures import Future, ThreadPoolExecutor
from contextvars import copy_context
from datetime import date
from pathlib import Path
from typing import Final

from putt_posture.disk.folders import fresh_folder, write_files
from putt_posture.documents.stroke_series import STROKE_PARQUET, series_as_parquet
from putt_posture.drawing.step import draw_rebuild
from putt_posture.drawing.stills import AnnotatedStill, as_jpeg, as_png, draw_stills
from putt_posture.pages.club_spec import spec_sheet_as_html, spec_sheet_as_pdf, write_spec_sheet
from putt_posture.pages.measured_files import KeptStill, has_erased_stills, measured_as_files
from putt_posture.pages.report import Report, report_as_html, report_as_pdf, write_report
from putt_posture.pages.setting import Paper
from putt_posture.pages.stroke_section import clip_name, draw_stroke, write_stroke_section
from putt_posture.pages.to_send import TO_SEND, lesson_to_send
from putt_posture.pages.wanted_setup import draw_change
from putt_posture.values import Lesson, Progress, View, ignore_progress
from putt_posture.values.checks import check_path, check_type

__all__ = ["EMBEDDED_BYTES", "lesson_as_files", "store_lesson"]

EMBEDDED_BYTES: Final = 175_000
"""Most bytes of a picture inside the HTML and the PDF: three of them leave an e-mail of about a megabyte."""
STEP_BYTES: Final = 48_000
"""The same of the drawing of a step, of which there are some seven."""
STROKE_BYTES: Final = 36_000
"""The same of a still of the stroke, of which there are eight at most; two stand for clips too."""
GLANCE_BYTES: Final = 25_000
"""The same of the still without labels beside the findings, which is shown some 160 pixels wide."""


def lesson_as_files(
    lesson: Lesson,
    *,
    made_on: date | None = None,
    paper: Paper = "a4",
    overlays: Mapping[View, bytes] | None = None,
    kept: Mapping[str, KeptStill] | None = None,
    progress: Progress | None = None,
) -> dict[str, bytes]:
    """Return everything that a lesson gives as files in memory, by name with forward slashes.

    Parameters
    ----------
    lesson, made_on, paper, overlays
        As for `store_lesson`, which says which files these are; the picture to send is not among them. Where a picture
        was erased, there are no stills and no report.
    kept : mapping of str to KeptStill, optional
        As for `measured_as_files`.
    progress : callable, optional
    """
    tell = progress or ignore_progress
    if has_erased_stills(lesson):
        return measured_as_files(lesson, made_on=made_on) | _spec_pages(lesson, made_on, paper)
    tell("Drawing the stills", 0.0)
    stills = draw_stills(lesson)
    # What packs pictures and sets pages needs no Python for most of its time, so it goes on beside the drawing.
    with ThreadPoolExecutor() as pool:
        parts: dict[str, Future[bytes]] = {}
        small: dict[str, Future[bytes]] = {}
        measured = pool.submit(measured_as_files, lesson, made_on=made_on, kept=kept)
        for still in stills:
            small[still.view] = pool.submit(as_jpeg, still.annotated, most_bytes=EMBEDDED_BYTES)
            parts[f"stills/{still.view}.png"] = pool.submit(as_png, still.annotated)
        tell("Setting the report", 0.5)
        files = _spec_pages(lesson, made_on, paper)
        change, steps, stroke = draw_change(lesson), draw_rebuild(lesson), draw_stroke(lesson)
        moving = {clip_name(view): clip for view, clip in (overlays or {}).items()}
        section = write_stroke_section(lesson, pictures=stroke, clips=tuple(overlays or ()))
        report = write_report(
            lesson,
            stills=stills,
            steps=steps,
            change=change.section if change else None,
            stroke=section,
            made_on=made_on,
        )
        drawings = {**(change.charts if change else {}), **(stroke.charts if stroke else {})}
        charts = {name: chart.encode("utf-8") for name, chart in drawings.items()}
        for name, each in (stroke.stills if stroke else {}).items():
            small[name] = pool.submit(as_jpeg, each.picture, most_bytes=STROKE_BYTES)
        if change is not None and change.ghost is not None:
            small["ghost"] = pool.submit(as_jpeg, change.ghost, most_bytes=EMBEDDED_BYTES)
            parts["stills/ghost.png"] = pool.submit(as_png, change.ghost)
        pictures = {name: picture.result() for name, picture in small.items()} | charts
        files |= {f"stills/{name}.jpg": pictures[name] for name in (stroke.stills if stroke else {})} | moving
        drawn = {f"step_{name}": as_jpeg(each.picture, most_bytes=STEP_BYTES) for name, each in steps.items()}
        files |= {f"stills/{name}.jpg": picture for name, picture in drawn.items()}
        glance = as_jpeg(_first(stills, report).plain, most_bytes=GLANCE_BYTES)
        here = copy_context()  # the unit in which lengths are shown does not go to another thread by itself
        parts["report.pdf"] = pool.submit(
            here.run, report_as_pdf, report, pictures=pictures, made_on=made_on, paper=paper
        )
        files["report.html"] = report_as_html(report, pictures=pictures | drawn | {"glance": glance}).encode("utf-8")
        files |= {f"stills/{name}.svg": chart for name, chart in charts.items()}
        files |= {name: part.result() for name, part in parts.items()} | measured.result()
    tell("Writing the report", 1.0)
    return files


def store_lesson(
    lesson: Lesson,
    folder: Path | str,
    *,
    replace: bool = False,
    made_on: date | None = None,
    paper: Paper = "a4",
    overlays: Mapping[View, bytes] | None = None,
    progress: Progress | None = None,
) -> Path:
    """Write everything that a lesson gave into a folder.

    The folder then holds ``report.html``, ``report.pdf``, ``measures.json``, ``measures.csv``, ``landmarks.npz``
    and, in ``stills/``, for each view the annotated still as PNG and the same without marks as JPEG
    (``…_plain.jpg``), and ``to_send.jpg``, one portrait picture for a message. Where the lesson has them:
    ``stills/ghost.png``, ``stills/curves.svg``, ``stills/arc.svg``, a drawing of each step of the rebuild by its
    measure (``stills/step_….jpg``), the events and drawings of the stroke (``stills/stroke_…``), its paths
    (``strokes.csv``, and ``strokes.parquet`` where pyarrow is installed), its overlay clips
    (``stroke_down_the_line.mp4``, ``stroke_face_on.mp4``), and ``spec_sheet.html``, ``spec_sheet.pdf`` and
    ``spec_sheet.json``.

    Parameters
    ----------
    lesson : Lesson
    folder : Path or str
        Made with its parents where it does not exist.
    replace : bool
        Whether a folder that this program wrote, and that holds nothing else, may be replaced as a whole; it stays
        until the new one is complete.
    made_on : date, optional
        The day to print on the report.
    paper : {"a4", "letter"}
        What the PDFs are set for.
    overlays : mapping of View to bytes, optional
        The overlay clips of the stroke, MP4.
    progress : callable, optional
        Called with what is going on and the share done, 0 to 1.

    Returns
    -------
    Path
        The folder.

    Raises
    ------
    OutputError
        If the folder is in use or cannot be written. Nothing is left behind then, nor after Ctrl-C.
    ArgumentError
        If it is no lesson, or no path.
    """
    check_type(lesson, "lesson", Lesson, example="store_lesson(measure_lesson(…), folder)")
    check_path(folder, "folder")
    clips = [result.clip.path for result in lesson.views.values()]
    with fresh_folder(folder, replace=replace, keep=clips) as part:
        files = lesson_as_files(lesson, made_on=made_on, paper=paper, overlays=overlays, progress=progress)
        if (picture := lesson_to_send(lesson, made_on=made_on)) is not None:
            files[TO_SEND] = picture
        if lesson.strokes and (table := series_as_parquet(lesson.strokes)) is not None:
            files[STROKE_PARQUET] = table
        write_files(part, files)
    return Path(folder)


def _first(stills: Sequence[AnnotatedStill], report: Report) -> AnnotatedStill:
    """Return the still that stands beside the findings."""
    return next(each for each in stills if each.view == report.plates[0].file)


def _spec_pages(lesson: Lesson, made_on: date | None, paper: Paper) -> dict[str, bytes]:
    if lesson.spec is None:
        return {}
    sheet = write_spec_sheet(lesson.spec, lesson.student, made_on=made_on)
    return {
        "spec_sheet.html": spec_sheet_as_html(sheet).encode("utf-8"),
        "spec_sheet.pdf": spec_sheet_as_pdf(sheet, made_on=made_on, paper=paper),
    }
