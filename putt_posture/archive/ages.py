"""Who is a minor on which day."""

from datetime import date

__all__ = ["age_on", "is_minor"]


def age_on(day: date, *, born: date) -> int:
    """Return the age in whole years.

    Examples
    --------
    >>> age_on(date(2026, 5, 16), born=date(2008, 5, 17)), age_on(date(2026, 5, 17), born=date(2008, 5, 17))
    (17, 18)
    """
    return day.year - born.year - ((day.month, day.day) < (born.month, born.day))


def is_minor(day: date, *, born: date | None, adult: bool, grown_at: int) -> bool:
    """Tell whether somebody counts as a minor: by the day of birth, or where that is not known by what was said."""
    return not adult if born is None else age_on(day, born=born) < grown_at
