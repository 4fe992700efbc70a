"""The settings of an archive, each with its default.

None of the times is law: local rules say how long data may be kept, and at what age a person is an adult.
"""

from datetime import date
from typing import Final

from attrs import field, fields, frozen
from dateutil.relativedelta import relativedelta
from sqlalchemy import select
from sqlalchemy.orm import Session

from putt_posture.archive.archive import Archive
from putt_posture.archive.db.tables import Setting
from putt_posture.errors import UsageError

__all__ = ["Settings", "change_settings", "read_settings", "settings_of"]

_MOST: Final = 1200


@frozen(kw_only=True)
class Settings:
    """The settings.

    Attributes
    ----------
    revisit_weeks : int
        After how many weeks a student is due again.
    keep_pictures_months : int
        How long clips, stills and outlines are kept after a lesson.
    keep_students_months : int
        How long a student is kept after the last lesson.
    grown_at_years : int
        From which age students consent for themselves.
    """

    revisit_weeks: int = field(default=8)
    keep_pictures_months: int = field(default=24)
    keep_students_months: int = field(default=60)
    grown_at_years: int = field(default=18)

    def pictures_until(self, day: date) -> date:
        """Return the last day on which pictures of a lesson are kept.

        Parameters
        ----------
        day : date
            Day of the lesson.
        """
        return day + relativedelta(months=self.keep_pictures_months)

    def student_until(self, last_day: date) -> date:
        """Return the last day on which a student is kept.

        Parameters
        ----------
        last_day : date
            Last day on which the student was seen.
        """
        return last_day + relativedelta(months=self.keep_students_months)


def settings_of(session: Session) -> Settings:
    """Read the settings in a transaction that is open.

    Parameters
    ----------
    session : Session
        Open transaction.
    """
    known = {each.name for each in fields(Settings)}
    rows = session.execute(select(Setting.name, Setting.value).where(Setting.name.in_(known)))
    return Settings(**{name: int(value) for name, value in rows})


def read_settings(archive: Archive) -> Settings:
    """Read the settings.

    Parameters
    ----------
    archive : Archive
    """
    with archive.read() as session:
        return settings_of(session)


def change_settings(archive: Archive, **changes: int) -> Settings:
    """Change settings by name and return all of them.

    Parameters
    ----------
    archive : Archive
    **changes : int

    Raises
    ------
    UsageError
        If a value is no whole number from 1 to 1200.
    """
    known = [each.name for each in fields(Settings)]
    for name, value in changes.items():
        if name not in known:
            raise UsageError(f"There is no setting {name!r}; known are {', '.join(known)}.")
        if type(value) is not int or not 1 <= value <= _MOST:
            raise UsageError(f"The setting {name} was given as {value!r}; a whole number from 1 to {_MOST} is needed.")
    with archive.write() as session:
        for name, value in changes.items():
            session.merge(Setting(name=name, value=str(value)))
        session.flush()
        return settings_of(session)
