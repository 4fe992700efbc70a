"""A butt that no picture shows, judged from hands and grip."""

import pytest

from putt_posture.scene.grip import CHOKE_DOWN_CM, GRIP_LENGTH_CM, estimate_hidden_butt
from putt_posture.values import Estimate

USUAL = Estimate(value=8.0, standard_uncertainty=2.0, unit="cm", method="as an adult holds it")
PX_PER_CM = 5.0


def test_without_a_grip_end_the_hands_alone_tell():
    distance, sd = estimate_hidden_butt(None, USUAL, px_per_cm=PX_PER_CM)
    assert distance == pytest.approx(-(USUAL.value + CHOKE_DOWN_CM) * PX_PER_CM)
    assert sd > USUAL.standard_uncertainty


@pytest.mark.parametrize("above_cm", [8.0, 12.0, 16.0])
def test_the_grips_end_places_the_butt_a_grips_length_above_it(above_cm):
    distance, sd = estimate_hidden_butt((GRIP_LENGTH_CM - above_cm) * PX_PER_CM, USUAL, px_per_cm=PX_PER_CM)
    assert abs(-distance / PX_PER_CM - above_cm) < 1.96 * sd
    assert sd < estimate_hidden_butt(None, USUAL, px_per_cm=PX_PER_CM)[1]


def test_both_ways_are_drawn_together():
    hands = USUAL.value + CHOKE_DOWN_CM
    distance, _ = estimate_hidden_butt((GRIP_LENGTH_CM - hands - 4.0) * PX_PER_CM, USUAL, px_per_cm=PX_PER_CM)
    assert hands + 2.0 < -distance / PX_PER_CM < hands + 4.0


@pytest.mark.parametrize("end_cm", [2.0, 26.0])
def test_an_end_that_no_grip_in_these_hands_can_have_is_left_out(end_cm):
    assert estimate_hidden_butt(end_cm * PX_PER_CM, USUAL, px_per_cm=PX_PER_CM) == estimate_hidden_butt(
        None, USUAL, px_per_cm=PX_PER_CM
    )
