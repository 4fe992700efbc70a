import pytest

from putt_posture.spec import MOST_LOFT_DEG, check_rules
from putt_posture.values import Estimate


def checks(length_in=33.0, *, lie=71.0, lie_sd=1.0):
    length = Estimate(value=length_in * 2.54, standard_uncertainty=1.0, unit="cm")
    found = check_rules(length, Estimate(value=lie, standard_uncertainty=lie_sd, unit="deg"))
    return {check.name: check for check in found}


def test_a_usual_putter_keeps_length_and_shaft():
    found = checks()
    assert found["length"].keeps
    assert found["shaft_angle"].keeps
    assert found["shaft_angle"].says == "19° from the vertical. Kept."


@pytest.mark.parametrize(("length_in", "keeps"), [(17.9, False), (18.0, True), (60.0, True)])
def test_eighteen_inches_are_the_least(length_in, keeps):
    assert checks(length_in)["length"].keeps is keeps


@pytest.mark.parametrize(("lie", "keeps"), [(80.5, False), (80.0, True), (62.0, True)])
def test_ten_degrees_from_the_vertical_are_the_least(lie, keeps):
    assert checks(lie=lie)["shaft_angle"].keeps is keeps


def test_an_interval_beyond_the_limit_is_said():
    assert "interval reaches beyond" in checks(lie=79.0)["shaft_angle"].says


def test_the_loft_is_named_and_left_to_be_measured():
    loft = checks()["loft"]
    assert MOST_LOFT_DEG == 10
    assert loft.keeps is None
    assert "10°" in loft.limit


def test_every_limit_names_its_clause():
    assert all(check.clause.startswith("Equipment Rules, Part 2") for check in checks().values())
