"""Who is a minor on which day."""

from datetime import date

__all__ = ["age_on", "grown_up_on", "is_minor"]


def age_on(day: date, *, born: date) -> int:
    """Return the age in whole years.

    Examples
    --------
    >>> age_on(date(2026, 5, 16), born=date(2008, 5, 17)), age_on(date(2026, 5, 17), born=date(2008, 5, 17))
    (17, 18)
    """
    return day.year - born.year - ((day.month, day.day) < (born.month, born.day))


def grown_up_on(*, born: date, grown_at: int) -> date:
    """Return the first day on which somebody is so many years old; the last day of the calendar where it ends before.

    Examples
    --------
    >>> grown_up_on(born=date(2008, 2, 29), grown_at=18)
    datetime.date(2026, 3, 1)
    """
    year = born.year + grown_at
    if year > date.max.year:
        return date.max
    try:
        return born.replace(year=year)
    except ValueError:  # the 29th of February in a year that has none
        return date(year, 3, 1)


def is_minor(day: date, *, born: date | None, adult: bool, grown_at: int) -> bool:
    """Tell whether somebody counts as a minor: by the day of birth, or where that is not known by what was said."""
    return not adult if born is None else age_on(day, born=born) < grown_at
