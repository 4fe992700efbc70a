"""A student's history laid out as a page with charts, and put into a folder, whole or not at all."""

from collections.abc import Iterable, Mapping
from datetime import date
from pathlib import Path

from attrs import field, frozen

from putt_posture.changes import find_repeats
from putt_posture.disk.folders import fresh_folder, write_new
from putt_posture.documents.history_json import check_history, history_as_csv, history_as_json
from putt_posture.documents.json_values import document_as_text
from putt_posture.drawing.history_chart import HistoryChart, draw_history_charts, draw_stroke_history_charts
from putt_posture.history import (
    Course,
    FindChanges,
    PutterChange,
    find_courses,
    find_putter_changes,
    find_stroke_courses,
)
from putt_posture.pages.history import HistoryPage, history_as_html, history_as_pdf, write_history_page
from putt_posture.pages.history_stroke import write_stroke_history
from putt_posture.pages.practice import draw_practice
from putt_posture.pages.setting import Paper
from putt_posture.values import History, MeasureName, Progress, ignore_progress, part_of_progress

__all__ = ["HistoryLayout", "lay_out_history", "store_history"]


@frozen(kw_only=True)
class HistoryLayout:
    """A history as it is shown.

    Attributes
    ----------
    page : HistoryPage
    charts : mapping of str to str
        SVG by the name of its plate, without an ending.
    drawn : tuple of HistoryChart
        Those of the measures, with the points that can be read off.
    courses, stroke_courses : mapping of MeasureName to Course
        Of the setup and of the stroke.
    putters : tuple of PutterChange
    warnings : tuple of str
    """

    page: HistoryPage
    charts: Mapping[str, str] = field(repr=False)
    drawn: tuple[HistoryChart, ...]
    courses: Mapping[MeasureName, Course] = field(repr=False)
    stroke_courses: Mapping[MeasureName, Course] = field(repr=False)
    putters: tuple[PutterChange, ...]
    warnings: tuple[str, ...]


def lay_out_history(
    history: History, *, find_changes: FindChanges, made_on: date | None = None, progress: Progress | None = None
) -> HistoryLayout:
    """Compare the visits of a history, draw its charts and write its page.

    Parameters
    ----------
    history : History
    find_changes : callable
        Finds what changed between two visits.
    made_on : date, optional
        The day to print on the page.
    progress : callable, optional
        Called with what is going on and the share done, 0 to 1.

    Raises
    ------
    UsageError
        If a practice test has counts that cannot be.
    """
    tell = progress or ignore_progress
    tell("Comparing the visits", 0.0)
    courses = find_courses(history, find_changes=find_changes)
    stroke_courses = find_stroke_courses(history, find_changes=find_changes)
    putters = tuple(find_putter_changes(history))
    warnings = _warnings(history, list(courses.values()), find_changes)
    tell("Drawing the charts", 0.2)
    drawn = draw_history_charts(history, courses, putters=putters)
    strokes_drawn = draw_stroke_history_charts(history, stroke_courses, putters=putters)
    practice = draw_practice(history)
    page = write_history_page(
        history,
        courses,
        putters=putters,
        charts=drawn,
        stroke=write_stroke_history(history, stroke_courses, charts=strokes_drawn),
        practice=practice.section if practice else None,
        warnings=warnings,
        made_on=made_on,
    )
    return HistoryLayout(
        page=page,
        charts={chart.file: chart.svg for chart in (*drawn, *strokes_drawn)} | (practice.charts if practice else {}),
        drawn=(*drawn, *strokes_drawn),
        courses=courses,
        stroke_courses=stroke_courses,
        putters=putters,
        warnings=warnings,
    )


def store_history(
    history: History,
    folder: Path | str,
    *,
    find_changes: FindChanges,
    replace: bool = False,
    made_on: date | None = None,
    paper: Paper = "a4",
    keep: Iterable[Path] = (),
    private: bool = False,
    progress: Progress | None = None,
) -> Path:
    """Write a student's history into a folder.

    The folder then holds ``history.html``, ``history.pdf``, ``history.json``, ``history.csv`` and, in ``charts/``, one
    SVG for each part of the body, for the stroke and for the practice tests.

    Parameters
    ----------
    history : History
    folder : Path or str
        Made with its parents where it does not exist.
    find_changes : callable
        Finds what changed between two visits.
    replace : bool
        Whether a folder that this program wrote, and that holds nothing else, may be replaced as a whole; it stays
        until the new one is complete.
    made_on : date, optional
        The day to print on the pages.
    paper : {"a4", "letter"}
        What the PDF is set for.
    keep : iterable of Path
        Files that must not be deleted: those of the archive.
    private : bool
        Whether only the owner can read the folder.
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
    UsageError
        If a practice test has counts that cannot be.
    """
    tell = progress or ignore_progress
    with fresh_folder(folder, replace=replace, keep=keep, what="history", private=private) as part:
        laid = lay_out_history(
            history, find_changes=find_changes, made_on=made_on, progress=part_of_progress(progress, 0.0, 0.7)
        )
        tell("Setting the pages", 0.7)
        document = history_as_json(
            history,
            laid.courses,
            stroke_courses=laid.stroke_courses,
            putters=laid.putters,
            warnings=laid.warnings,
            made_on=made_on,
        )
        check_history(document)
        write_new(part / "history.json", document_as_text(document).encode("utf-8"))
        write_new(part / "history.csv", history_as_csv(history).encode("utf-8"))
        if laid.charts:
            (part / "charts").mkdir()
        for name, svg in laid.charts.items():
            write_new(part / "charts" / f"{name}.svg", svg.encode("utf-8"))
        write_new(part / "history.html", history_as_html(laid.page, charts=laid.charts).encode("utf-8"))
        write_new(part / "history.pdf", history_as_pdf(laid.page, charts=laid.charts, made_on=made_on, paper=paper))
        tell("Writing the pages", 1.0)
    return Path(folder)


def _warnings(history: History, courses: list[Course], find_changes: FindChanges) -> tuple[str, ...]:
    """Collect what makes the visits of the answer hard to compare: those of the first, the rebuilt and the latest."""
    pairs = {(course.first, course.latest) for course in courses} | {
        (course.rebuilt, course.latest) for course in courses
    }
    found: list[str] = []
    everything = [visit.measured for visit in history.visits]
    repeats = find_repeats(everything)
    for start, end in sorted((one, two) for one, two in pairs if one is not None and two is not None and one < two):
        found += find_changes(everything[start], everything[end], repeats=repeats).warnings
    return tuple(dict.fromkeys(found))
