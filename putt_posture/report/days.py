"""Days and counts as people read them."""

from datetime import date

__all__ = ["count_of", "format_day"]


def format_day(day: date, *, short: bool = False) -> str:
    """Write a day with the month in letters.

    Examples
    --------
    >>> format_day(date(2026, 11, 7)), format_day(date(2026, 11, 7), short=True)
    ('7 November 2026', '7 Nov 2026')
    """
    return f"{day.day} {day:%b %Y}" if short else f"{day.day} {day:%B %Y}"


def count_of(number: int, noun: str) -> str:
    """Write a number of things.

    Examples
    --------
    >>> count_of(1, "visit"), count_of(0, "visit")
    ('1 visit', '0 visits')
    """
    return f"{number} {noun}{'' if number == 1 else 's'}"
