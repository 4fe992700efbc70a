"""The page of a student's history: what it says from top to bottom, set as HTML and as A4."""

from collections.abc import Mapping, Sequence
from datetime import date
from typing import Final

import attrs
from attrs import evolve, frozen

from putt_posture.drawing.colours import PART_COLOURS
from putt_posture.drawing.history_chart import MOMENT_WORDS, HistoryChart, write_putter_change
from putt_posture.figures import count_of, format_both, format_day, format_length
from putt_posture.history import Course, PutterChange
from putt_posture.measures.club import PUTTER_LENGTH
from putt_posture.pages.history_answer import Answer, write_answer
from putt_posture.pages.history_rows import CourseRow, course_rows
from putt_posture.pages.history_stroke import StrokeHistory
from putt_posture.pages.practice import PracticeSection
from putt_posture.pages.setting import NAMELESS, Fact, Paper, Plate, as_typed, as_uri, render_page, typeset
from putt_posture.values import History, MeasureName, Visit
from putt_posture.wording import CAUTIONS, NO_NORM, SHOWN_ON

__all__ = ["CourseRow", "HistoryPage", "VisitRow", "history_as_html", "history_as_pdf", "write_history_page"]

HOW_TO_READ: Final = (
    f"The number after ± is the 95 % margin of one measure by itself. {SHOWN_ON} Of many measures some pass it by "
    "chance, so all are tested together (Holm 1979): if nothing changed, a change is called real in at most 1 of 20 "
    "histories. A measure that passes only its own margin may have changed; about 1 in 20 of those that did not change "
    "passes it too."
)
CHARTS: Final = (
    "Bars are 95 % intervals. A solid line joins two visits between which the measure changed for real; of all solid "
    "lines about 1 in 20 is chance (Benjamini and Hochberg 1995). A dotted line joins visits where any change may be "
    "noise; several such steps may add up to a real change. Visits on one day are drawn side by side."
)
CAUTION: Final = (
    "It is not the student's fault when a setup goes back: bodies, putters and goals change. Do not hold a setup that "
    "hurts."
)


@frozen(kw_only=True)
class VisitRow:
    """One visit."""

    day: str
    moment: str
    where: str
    putter: str
    suggested: str


@frozen(kw_only=True)
class HistoryPage:
    """The text of the page, from top to bottom; the chart of `in_sight` is not folded away."""

    student: str
    facts: tuple[Fact, ...]
    answer: Answer
    how_to_read: str
    no_norm: str
    charts_say: str
    plates: tuple[Plate, ...]
    in_sight: str
    putters: tuple[Fact, ...]
    rows: tuple[CourseRow, ...]
    stroke: StrokeHistory | None
    visits: tuple[VisitRow, ...]
    practice: PracticeSection | None
    warnings: tuple[str, ...]
    cautions: tuple[str, ...]
    line: str


def write_history_page(
    history: History,
    courses: Mapping[MeasureName, Course],
    *,
    putters: Sequence[PutterChange] = (),
    charts: Sequence[HistoryChart] = (),
    stroke: StrokeHistory | None = None,
    practice: PracticeSection | None = None,
    warnings: Sequence[str] = (),
    made_on: date | None = None,
) -> HistoryPage:
    """Return the text of the page.

    Parameters
    ----------
    history : History
    courses : mapping of MeasureName to Course
        By measure.
    putters : sequence of PutterChange
        When the student's putter changed.
    charts : sequence of HistoryChart
        Of the setup, for their captions.
    stroke : StrokeHistory, optional
        The stroke over the visits; without it the page has no such part.
    practice : PracticeSection, optional
        Practice tests; without it the page has no such section.
    warnings : sequence of str
        Sentences on what makes visits hard to compare.
    made_on : date, optional
        The day to print; none is printed where it is not given.
    """
    answer, taken_up = write_answer(history, courses), history.taken_up
    return HistoryPage(
        student=as_typed(history.name or NAMELESS),
        facts=_facts(history, made_on),
        answer=evolve(answer, sentences=(*answer.sentences, *([taken_up.says] if taken_up else []))),
        how_to_read=HOW_TO_READ,
        no_norm=NO_NORM,
        charts_say=CHARTS,
        plates=tuple(
            Plate(file=each.file, aspect=1.0, title=each.title, caption=each.says, says=each.says) for each in charts
        ),
        in_sight=_in_sight(answer, charts),
        putters=_putters(history, putters),
        rows=course_rows(history, courses),
        stroke=stroke,
        visits=tuple(map(_visit, history.visits)),
        practice=practice,
        warnings=tuple(dict.fromkeys(warnings)),
        cautions=(*CAUTIONS, CAUTION),
        line=_say_in_a_line(history),
    )


def history_as_html(page: HistoryPage, *, charts: Mapping[str, str]) -> str:
    """Return the text of `history.html`.

    Parameters
    ----------
    page : HistoryPage
    charts : Mapping[str, str]
        SVG text by the name of its plate, without an ending.
    """
    pictures = {name: as_uri(svg.encode("utf-8")) for name, svg in charts.items()}
    return render_page("history.html.jinja", page=page, pictures=pictures)


def history_as_pdf(
    page: HistoryPage, *, charts: Mapping[str, str], made_on: date | None = None, paper: Paper = "a4"
) -> bytes:
    """Return the bytes of `history.pdf`, stamped with the day of creation where it is given.

    Parameters
    ----------
    page : HistoryPage
    charts : Mapping[str, str]
        SVG text by the name of its plate, without an ending.
    made_on : date or None
        Day that the document carries; none without.
    paper : {"a4", "letter"}
    """
    return typeset(
        "history.typ",
        {"page": attrs.asdict(page), "colours": dict(PART_COLOURS)},
        pictures={f"{name}.svg": svg.encode("utf-8") for name, svg in charts.items()},
        made_on=made_on,
        paper=paper,
    )


def _in_sight(answer: Answer, charts: Sequence[HistoryChart]) -> str:
    """Return the file of the chart with the measure that the answer names first, or of the first chart."""
    parts = [row.part for group in answer.groups for row in group.rows]
    named = [each.file for each in charts if parts and each.file == parts[0]]
    return next(iter((*named, *(each.file for each in charts))), "")


def _say_in_a_line(history: History) -> str:
    visits = history.visits
    parts = [count_of(len(visits), "visit")]
    if visits:
        days = dict.fromkeys(format_day(each.day) for each in (visits[0], visits[-1]))
        parts.append(" to ".join(days))
    return ", ".join(parts)


def _facts(history: History, made_on: date | None) -> tuple[Fact, ...]:
    visits = history.visits
    facts = [Fact(name="Visits", says=str(len(visits)))]
    if visits:
        facts.append(Fact(name="First", says=format_day(visits[0].day)))
    if len(visits) > 1:
        facts.append(Fact(name="Latest", says=format_day(visits[-1].day)))
    if history.practice:
        facts.append(Fact(name="Practice tests", says=str(len(history.practice))))
    putters = [putter for visit in visits if (putter := _putter(visit))]
    if putters:
        facts.append(Fact(name="Putter in use", says=putters[-1]))
    suggested = [visit.suggested for visit in visits if visit.suggested]
    if suggested:
        facts.append(Fact(name="Suggested", says=f"{format_length(suggested[-1].value)}, at the latest visit with one"))
    if made_on is not None:
        facts.append(Fact(name="Page made", says=format_day(made_on)))
    return tuple(facts)


def _putters(history: History, changes: Sequence[PutterChange]) -> tuple[Fact, ...]:
    """Return one fact for each line on the axis of the charts, with its number there."""
    by_visit: dict[int, list[str]] = {}
    for change in changes:
        by_visit.setdefault(change.visit, []).append(write_putter_change(change))
    return tuple(
        Fact(name=f"{number}: {format_day(history.visits[visit].day)}", says="; ".join(says))
        for number, (visit, says) in enumerate(by_visit.items(), 1)
    )


def _visit(visit: Visit) -> VisitRow:
    return VisitRow(
        day=format_day(visit.day),
        moment=MOMENT_WORDS[visit.moment],
        where=as_typed(", ".join(each for each in (visit.place, visit.coach) if each)),
        putter=_putter(visit),
        suggested=format_length(visit.suggested.value) if visit.suggested else "",
    )


def _putter(visit: Visit) -> str:
    """Return the one length of a visit's putter: as typed, or else as read from the picture; empty for neither."""
    if visit.putter_in_use_cm is not None:
        return format_length(visit.putter_in_use_cm)
    read = visit.measured.measures.get(PUTTER_LENGTH.name)
    return f"{format_both(read)}, read from the picture" if read else ""
