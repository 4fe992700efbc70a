"""The overview of the academy: last visits, students who are due, setups that drifted back."""

from collections.abc import Sequence
from datetime import date, timedelta
from typing import Any, cast

from attrs import frozen
from sqlalchemy import Select, func, literal_column, select
from sqlalchemy.orm import Session

from putt_posture.archive.archive import Archive
from putt_posture.archive.db.tables import StudentRow, SummaryRow
from putt_posture.archive.people.consents import permission_of, permissions_of
from putt_posture.archive.settings import settings_of
from putt_posture.values import MeasureName

__all__ = ["Overview", "OverviewLine", "load_overview", "load_overview_line"]


@frozen(kw_only=True)
class OverviewLine:
    """One student of the overview.

    Attributes
    ----------
    number, name
    lessons : int
    last_day, due_on : date
    drifts : tuple of MeasureName
        The measures that went back by more than the noise, by the rule of the student's history; none if the measures
        may not be shown.
    """

    number: int
    name: str
    lessons: int
    last_day: date
    due_on: date
    drifts: tuple[MeasureName, ...]


@frozen(kw_only=True)
class Overview:
    """Three lists, each cut at the same length; a student may be in all of them.

    Attributes
    ----------
    today : date
    revisit_weeks : int
        After how many weeks a student is due.
    seen : tuple of OverviewLine
        The latest first.
    due : tuple of OverviewLine
        Due today or earlier, the longest overdue first.
    drifted : tuple of OverviewLine
        The last seen first.
    students, students_due : int
        How many students have lessons, and how many of them are due, listed or not.
    """

    today: date
    revisit_weeks: int
    seen: tuple[OverviewLine, ...]
    due: tuple[OverviewLine, ...]
    drifted: tuple[OverviewLine, ...]
    students: int
    students_due: int


def load_overview(archive: Archive, *, today: date, most: int = 25, within_days: int = 0) -> Overview:
    """Load the overview.

    Parameters
    ----------
    archive : Archive
    today : date
        The day by which consent and ages are judged.
    most : int
        The most lines in each list.
    within_days : int
        Students who are due within so many days count as due.
    """
    with archive.read() as session:
        revisit = timedelta(weeks=settings_of(session).revisit_weeks)
        last_due = today + timedelta(days=within_days) - revisit

        def lines(query: Select[SummaryRow, str], *, drifted: bool = False) -> tuple[OverviewLine, ...]:
            return _find_lines(session, query, most=most, revisit=revisit, today=today, drifted=drifted)

        counted = select(func.count(SummaryRow.last_day))
        is_due = SummaryRow.last_day <= last_due
        everyone = select(SummaryRow, StudentRow.name).join(StudentRow, StudentRow.id == SummaryRow.student_id)
        latest_first = (SummaryRow.last_day.desc(), SummaryRow.student_id.desc())
        drifted = SummaryRow.drifted > literal_column("0")  # spelt as in the index, not sent as a parameter
        return Overview(
            today=today,
            revisit_weeks=revisit.days // 7,
            seen=lines(everyone.order_by(*latest_first)),
            due=lines(everyone.where(is_due).order_by(SummaryRow.last_day, SummaryRow.student_id)),
            drifted=lines(everyone.where(drifted).order_by(*latest_first), drifted=True),
            students=session.scalar(counted) or 0,
            students_due=session.scalar(counted.where(is_due)) or 0,
        )


def load_overview_line(archive: Archive, number: int, *, today: date) -> OverviewLine | None:
    """Load one student's line of the overview; None if there is no lesson yet. Raises NotInArchive.

    Parameters
    ----------
    archive : Archive
    number : int
        Number of the student.
    today : date
        The day by which consent and ages are judged.
    """
    with archive.read() as session:
        permission = permission_of(session, number)
        summary = session.get(SummaryRow, number)
        revisit = timedelta(weeks=settings_of(session).revisit_weeks)
        shown = permission.showing(today) != "nothing"
        return None if summary is None else _line(summary, permission.person.name, revisit, shown=shown)


def _find_lines(
    session: Session, query: Select[SummaryRow, str], *, most: int, revisit: timedelta, today: date, drifted: bool
) -> tuple[OverviewLine, ...]:
    """Find lines page by page until there are `most`; with `drifted`, only those that may be shown."""
    found: list[OverviewLine] = []
    rows: Sequence[Any] = [None] * most
    start = 0
    while len(rows) == most and len(found) < most:
        rows = session.execute(query.limit(most).offset(start)).all()
        known = permissions_of(session, [summary.student_id for summary, _ in rows])
        for summary, name in rows:
            shown = known[summary.student_id].showing(today) != "nothing"
            found += [_line(summary, name, revisit, shown=shown)] if shown or not drifted else []
        start += most
    return tuple(found[:most])


def _line(summary: SummaryRow, name: str, revisit: timedelta, *, shown: bool) -> OverviewLine:
    return OverviewLine(
        number=summary.student_id,
        name=name,
        lessons=summary.lessons,
        last_day=summary.last_day,
        due_on=summary.last_day + revisit,
        drifts=tuple(cast(MeasureName, each) for each in summary.drifts) if shown else (),
    )
