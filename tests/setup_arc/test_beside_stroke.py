"""The measured arc beside that of the setup: the bow alone counts, and a path off to one side does not bend it."""

import numpy as np
import pytest
from attrs import evolve
from hypothesis import given
from hypothesis import strategies as st

from putt_posture.setup_arc import find_arc, measure_bow, set_beside
from putt_posture.setup_arc.arc import find_arc_depth
from putt_posture.values import Estimate, Pendulum, Strokes, absent

HALF = 25.0


def strokes_on(lean_deg=10.0, radius=135.0, *, back=24.0, through=29.0, off_deg=0.0, sd=0.3):
    """Return the numbers of a head that swings on a plane that leans, on a line that is turned."""
    turned = np.tan(np.radians(off_deg))
    sides = {
        "putter_sideways_back": -float(find_arc_depth(-back, radius, lean_deg)) - back * turned,
        "putter_sideways_through": -float(find_arc_depth(through, radius, lean_deg)) + through * turned,
    }
    values = {"putter_back": back, "putter_through": through} | sides
    numbers = {
        name: Estimate(
            value=value,
            standard_uncertainty=float(np.hypot(sd, 1.0)),
            unit="cm",
            frames=40,
            budget={"landmark noise": sd, "camera off square": 1.0},
        )
        for name, value in values.items()
    }
    return Strokes(of={"face_on": (), "down_the_line": ()}, numbers=numbers, counted=1)


def pendulum(offset):
    def known(value, unit):
        return Estimate(value=value, standard_uncertainty=0.5, unit=unit)

    return Pendulum(hand_offset=known(offset, "cm"), shoulder_drop=known(55.0, "cm"), hand_height=known(74.0, "cm"),
                    lie=known(71.0, "deg"))  # fmt: skip


@given(lean=st.floats(-15, 25), off=st.floats(-4, 4))
def test_the_bow_of_a_swing_on_a_plane_is_found_whichever_way_its_line_points(lean, off) -> None:
    found = measure_bow(strokes_on(lean, off_deg=off), half_stroke_cm=HALF)
    assert found.value == pytest.approx(float(find_arc_depth(HALF, 135.0, lean)), abs=0.05)


def test_the_uncertainty_of_a_camera_off_square_drops_out_of_the_bow() -> None:
    found = measure_bow(strokes_on(), half_stroke_cm=HALF)
    assert found.standard_uncertainty < 0.5
    assert found.standard_uncertainty == pytest.approx(np.hypot(*found.budget.values()))


def test_a_stroke_as_its_setup_predicts_differs_by_nothing_that_counts() -> None:
    arc = find_arc(pendulum(10.0))
    alike, difference = set_beside(strokes_on(arc.lean.value, arc.radius.value), arc)
    assert alike.low <= arc.depth.value <= alike.high
    assert difference.low <= 0 <= difference.high
    _, other = set_beside(strokes_on(40.0, arc.radius.value), find_arc(pendulum(0.0)))
    assert other.low > 0


def test_without_a_head_that_was_followed_the_reason_is_told() -> None:
    numbers = dict(strokes_on().numbers)
    numbers["putter_back"] = absent("The putter head was not followed through the stroke.", unit="cm")
    measured, difference = set_beside(evolve(strokes_on(), numbers=numbers), find_arc(pendulum(10.0)))
    assert measured.absent == difference.absent == "The putter head was not followed through the stroke."
    none = Strokes(of={}, numbers={}, why_none="The student stood still throughout.")
    assert measure_bow(none, half_stroke_cm=HALF).absent == "The student stood still throughout."
    short = measure_bow(strokes_on(back=3.0), half_stroke_cm=HALF)
    assert short.absent == "The stroke is too short for its arc to be measured."
