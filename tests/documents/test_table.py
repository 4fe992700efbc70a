"""The rows that HTML, PDF and terminal share."""

import pytest
from attrs import evolve
from invented import make_lesson

from putt_posture.documents import rows_of
from putt_posture.measures import MEASURES
from putt_posture.values import Estimate, Posture


def with_offset(lesson, value, sigma):
    estimates = dict(lesson.posture.estimates)
    estimates["hand_offset"] = Estimate(value=value, standard_uncertainty=sigma, unit="cm", view="down_the_line")
    return evolve(lesson, posture=Posture(estimates=estimates))


def row(lesson, name):
    return next(each for each in rows_of(lesson) if each.name == name)


def test_there_is_one_row_a_measure_in_the_order_of_the_report(lesson):
    assert [each.name for each in rows_of(lesson)] == list(MEASURES)


def test_an_absent_row_is_falsy_and_says_why(lesson):
    putter = row(lesson, "putter_length")
    assert not putter
    assert putter.absent == "The butt end of the grip is not seen."
    assert (putter.figure, putter.imperial, putter.interval, putter.reading) == ("", "", "", "")


def test_every_present_row_has_a_figure_and_every_length_has_inches(lesson):
    for each in rows_of(lesson):
        if each:
            assert each.figure
            assert bool(each.imperial) == (MEASURES[each.name].unit == "cm")


@pytest.mark.parametrize(
    ("value", "reading"),
    [(6.0, "outside the shoulders, toward the ball"), (-6.0, "inside the shoulders, toward the feet"),
     (1.0, "straight under the shoulders, within the margin")],
)  # fmt: skip
def test_a_side_is_named_only_where_the_interval_leaves_zero_out(lesson, value, reading):
    assert row(with_offset(lesson, value, 1.0), "hand_offset").reading == reading


def test_a_missing_view_makes_its_measures_absent_and_leaves_the_others():
    rows = rows_of(make_lesson(views=("face_on",)))
    present = {each.name for each in rows if each}
    assert "stance_width" in present
    assert "spine_tilt" not in present
