"""Where visits stand on a chart's axis of time: never on top of each other, and with few, plain dates."""

from collections.abc import Sequence
from datetime import date, timedelta
from typing import Final

from matplotlib.axes import Axes
from matplotlib.ticker import FixedLocator, FuncFormatter, NullLocator

__all__ = ["TimeAxis"]

_GAP: Final = 0.035
"""Least distance of two marks, as a share of the axis: about one mark."""
_MOST_SHIFT: Final = 0.6
"""Of the axis may be taken up by such distances, however many marks there are."""
_ROOM: Final = 0.06
_FEW_DAYS: Final = 10
_TWO_MONTHS: Final = 62
_FOUR_YEARS: Final = 1461
_MONTH_STEPS: Final = (1, 2, 3, 6, 12, 24, 36, 60, 120)
_MOST_TICKS: Final = 4


class TimeAxis:
    """The axis of time for marks on certain days.

    Parameters
    ----------
    days : sequence of date
        In the order of time, at least one.

    Attributes
    ----------
    places : tuple of float
        Where each mark stands. Marks of one day stand side by side, in their order.
    gap : float
        The least distance of two marks.
    """

    def __init__(self, days: Sequence[date]) -> None:
        self._days = tuple(days)
        true = [float(day.toordinal()) for day in days]
        self._span = true[-1] - true[0]
        share = min(_GAP, _MOST_SHIFT / len(true))
        self.gap = (self._span or 1.0) * share if self._span else 1.0
        places = [true[0]]
        for each in true[1:]:
            places.append(max(each, places[-1] + self.gap))
        self.places = tuple(places)

    def dress(self, panel: Axes) -> None:
        """Set limits, ticks and their dates."""
        wide = self.places[-1] - self.places[0]
        room = _ROOM * wide if self._span else max(_ROOM * wide, 1.5)
        panel.set_xlim(self.places[0] - room, self.places[-1] + room)
        panel.xaxis.set_minor_locator(NullLocator())
        if self._span == 0:
            middle = (self.places[0] + self.places[-1]) / 2
            panel.xaxis.set_major_locator(FixedLocator([middle]))
            day = self._days[0]
            panel.xaxis.set_major_formatter(FuncFormatter(lambda _value, _place: f"{day.day} {day:%B %Y}"))
            return
        panel.xaxis.set_major_locator(FixedLocator([float(day.toordinal()) for day in self._ticks()]))
        panel.xaxis.set_major_formatter(FuncFormatter(lambda value, _place: self._write(date.fromordinal(int(value)))))

    def _ticks(self) -> list[date]:
        """Choose round days: the ends of a few days, days of some weeks, or the first of every so many months."""
        first, last = self._days[0], self._days[-1]
        if self._span <= _FEW_DAYS:
            return [first, last]
        if self._span <= _TWO_MONTHS:
            step = max(int(self._span) // 3, 1)
            return [first + timedelta(days=step * number) for number in range(4)]
        start, months = 12 * first.year + first.month, 12 * (last.year - first.year) + last.month - first.month
        step = next((each for each in _MONTH_STEPS if months / each <= _MOST_TICKS), _MONTH_STEPS[-1])
        found = range(-(-start // step) * step, start + months, step)
        return [date(number // 12, number % 12 + 1, 1) for number in found]

    def _write(self, day: date) -> str:
        if self._span <= _FEW_DAYS:
            return f"{day.day} {day:%b %Y}"
        if self._span <= _TWO_MONTHS:
            return f"{day.day} {day:%b}"
        return f"{day:%b %Y}" if self._span <= _FOUR_YEARS else f"{day:%Y}"
