import pytest

from putt_posture.measures import MEASURES
from putt_posture.setup_arc import compare_setups
from putt_posture.values import Estimate, Fit, Posture, StandingFigure, Student, absent

STUDENT = Student(stature_cm=175.0, handed="right")


def cm(value, sigma=1.0):
    return Estimate(value=value, standard_uncertainty=sigma, unit="cm", frames=3)


def posture(**measures):
    return Posture(
        estimates={
            name: cm(measures[name]) if name in measures else absent("Not seen.", unit=measure.unit)
            for name, measure in MEASURES.items()
        }
    )


def wanted(*, offset=0.0):
    figure = StandingFigure(
        joints={"shoulder": (40.0, 125.0), "hands": (40.0 + offset, 70.0)}, butt=(37.0, 78.0), sole=(65.0, 0.0),
        ball=(65.0, 2.1), back_rounding_deg=20.0,
    )  # fmt: skip
    return Fit(
        putter_length=cm(84.0), stock_length_in=33.0,
        lie=Estimate(value=72.0, standard_uncertainty=1.0, unit="deg"),
        setup={"hand_offset": cm(offset, 0.5), "hand_height": cm(70.0)}, figure=figure,
    )  # fmt: skip


NOTHING = Fit(putter_length=absent("No.", unit="cm"), stock_length_in=None, lie=absent("No.", unit="deg"))


def test_hands_brought_under_the_shoulders_straighten_the_stroke():
    both = compare_setups(posture(hand_offset=12.0, hand_height=76.0), STUDENT, wanted())
    assert both.before.depth.low > 0
    assert both.after.depth.value == 0
    assert both.after.depth.standard_uncertainty > 0
    assert both.depth_change.high < 0


def test_the_wanted_arms_are_those_of_the_figure():
    both = compare_setups(posture(hand_offset=12.0, hand_height=76.0), STUDENT, wanted())
    # Shoulders straight above the hands: the radius is the height of the shoulders, 55 + 70 cm.
    assert both.after.radius.value == pytest.approx(125.0)


def test_without_a_film_there_is_only_the_wanted_arc():
    both = compare_setups(posture(), STUDENT, wanted())
    assert not both.before
    assert both.after


def test_without_either_there_is_no_comparison():
    assert compare_setups(posture(), STUDENT, NOTHING) is None


def test_without_a_wanted_setup_the_filmed_arc_stays():
    both = compare_setups(posture(hand_offset=12.0, hand_height=76.0), STUDENT, NOTHING)
    assert both.before
    assert both.after.depth.absent == "There is no wanted setup to work out an arc from."
