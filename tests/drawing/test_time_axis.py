"""Marks on the axis of time never hide each other, and the dates are few and round."""

from datetime import date, timedelta
from itertools import pairwise

from hypothesis import given
from hypothesis import strategies as st

from putt_posture.drawing.charts import TimeAxis, new_chart, styled

MARK_SHARE = 0.01
"""Of the axis, that two marks are apart at least, up to 40 of them: 3 points of 330."""

DAY = date(2025, 11, 3)


def ticks_of(days):
    with styled():
        _figure, (panel,) = new_chart(rows=1, height=100)
        TimeAxis(days).dress(panel)
        places = list(panel.get_xticks())
        low, high = panel.get_xlim()
        format_tick = panel.xaxis.get_major_formatter()
        return [format_tick(place) for place in places if low <= place <= high]


@given(st.lists(st.integers(0, 4000), min_size=1, max_size=40))
def test_marks_keep_their_order_and_their_distance(offsets):
    days = [DAY + timedelta(days=each) for each in sorted(offsets)]
    places = TimeAxis(days).places
    steps = [two - one for one, two in pairwise(places)]
    assert len(places) == len(days)
    if steps:
        assert min(steps) >= MARK_SHARE * (places[-1] - places[0])


def test_a_lonely_day_keeps_its_true_place():
    days = [DAY, DAY + timedelta(days=100), DAY + timedelta(days=365)]
    assert TimeAxis(days).places == tuple(float(day.toordinal()) for day in days)


@given(st.integers(0, 12_000))
def test_there_are_one_to_five_dates(long):
    assert 1 <= len(ticks_of([DAY, DAY + timedelta(days=long)])) <= 5


def test_dates_are_as_fine_as_the_time_between():
    assert ticks_of([DAY]) == ["3 November 2025"]
    assert ticks_of([DAY, DAY + timedelta(days=5)]) == ["3 Nov 2025", "8 Nov 2025"]
    assert ticks_of([DAY, DAY + timedelta(days=40)]) == ["3 Nov", "16 Nov", "29 Nov", "12 Dec"]
    assert ticks_of([DAY, DAY + timedelta(days=365)]) == ["Jan 2026", "Apr 2026", "Jul 2026", "Oct 2026"]
    assert ticks_of([DAY, DAY + timedelta(days=2500)]) == ["2026", "2028", "2030", "2032"]
