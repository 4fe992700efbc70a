"""The chart of a practice stroke is hatched, and is taken as the program's own; a fill that loads something is not."""

import sys
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parents[1] / "strokes"))
from made_up import make_stroke

from putt_posture.drawing.stroke_times import draw_time_bars, time_bar_of
from putt_posture.errors import UsageError
from putt_posture.records.html_files import check_drawing


@pytest.fixture(scope="module")
def hatched():
    bars = [time_bar_of(make_stroke("face_on", kind=kind), title=kind) for kind in ("putt", "practice")]
    return draw_time_bars(bars)


def test_a_hatched_chart_is_taken(hatched):
    assert "<pattern" in hatched
    check_drawing(hatched, name="stroke_times.svg", where="a lesson")


@pytest.mark.parametrize(
    ("own", "strange"),
    [
        ('fill="none"', 'fill="url(https://example.org/a)"'),
        ("fill: url(#", "fill: url(https://example.org/#"),
        ('fill="none"', 'fill="expression(1)"'),
    ],
)
def test_a_fill_that_the_program_does_not_write_is_refused(hatched, own, strange):
    assert own in hatched
    with pytest.raises(UsageError, match="not as this program writes it"):
        check_drawing(hatched.replace(own, strange, 1), name="stroke_times.svg", where="a lesson")
