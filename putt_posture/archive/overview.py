"""The whole academy at a glance: who was seen when, who is due, whose setup drifted back."""

from datetime import date, timedelta

from attrs import frozen
from sqlalchemy import Select, literal_column, select

from putt_posture.archive.archive import Archive
from putt_posture.archive.settings import settings_of
from putt_posture.archive.tables import Standing, StudentRow

__all__ = ["Overview", "OverviewLine", "load_overview"]


@frozen(kw_only=True)
class OverviewLine:
    """One student of the overview.

    Attributes
    ----------
    number, name
    lessons : int
    last_day, due_on : date
    drifts : tuple of str
        Names of the measures that went back by more than the noise.
    """

    number: int
    name: str
    lessons: int
    last_day: date
    due_on: date
    drifts: tuple[str, ...]


@frozen(kw_only=True)
class Overview:
    """Three lists, each cut at the same length; a student may be in all of them.

    Attributes
    ----------
    today : date
    revisit_weeks : int
        After how many weeks a student is due.
    seen : tuple of OverviewLine
        The last seen first.
    due : tuple of OverviewLine
        Due today or earlier, the longest due first.
    drifted : tuple of OverviewLine
        The last seen first.
    """

    today: date
    revisit_weeks: int
    seen: tuple[OverviewLine, ...]
    due: tuple[OverviewLine, ...]
    drifted: tuple[OverviewLine, ...]


def load_overview(archive: Archive, *, today: date, most: int = 25, within_days: int = 0) -> Overview:
    """Load the overview.

    Parameters
    ----------
    archive : Archive
    today : date
    most : int
        Length of each list at most.
    within_days : int
        Who falls due within so many days counts as due.
    """
    with archive.read() as session:
        revisit = timedelta(weeks=settings_of(session).revisit_weeks)
        last_due = today + timedelta(days=within_days) - revisit

        def lines(query: Select[Standing, str]) -> tuple[OverviewLine, ...]:
            return tuple(_line(standing, name, revisit) for standing, name in session.execute(query.limit(most)))

        everyone = select(Standing, StudentRow.name).join(StudentRow, StudentRow.id == Standing.student_id)
        latest_first = (Standing.last_day.desc(), Standing.student_id.desc())
        drifted = Standing.drifted > literal_column("0")  # spelt as in the index, not sent as a parameter
        return Overview(
            today=today,
            revisit_weeks=revisit.days // 7,
            seen=lines(everyone.order_by(*latest_first)),
            due=lines(everyone.where(Standing.last_day <= last_due).order_by(Standing.last_day, Standing.student_id)),
            drifted=lines(everyone.where(drifted).order_by(*latest_first)),
        )


def _line(standing: Standing, name: str, revisit: timedelta) -> OverviewLine:
    return OverviewLine(
        number=standing.student_id,
        name=name,
        lessons=standing.lessons,
        last_day=standing.last_day,
        due_on=standing.last_day + revisit,
        drifts=tuple(standing.drifts),
    )
