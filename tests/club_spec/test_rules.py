"""The limits of the Equipment Rules, those that matter for long putters, and how a putter may be held."""

import pytest

from putt_posture.club_spec import MOST_LOFT_DEG, check_rules
from putt_posture.values import Estimate


def checks(length_in=33.0, *, lie=71.0, lie_sd=1.0, current_in=None):
    length = Estimate(value=length_in * 2.54, standard_uncertainty=1.0, unit="cm")
    found = check_rules(
        length,
        Estimate(value=lie, standard_uncertainty=lie_sd, unit="deg"),
        current_cm=None if current_in is None else current_in * 2.54,
    )
    return {check.name: check for check in found}


def test_a_usual_putter_keeps_length_and_shaft():
    found = checks()
    assert found["length"].keeps
    assert found["shaft_angle"].keeps
    assert found["shaft_angle"].says == "19.0° from the vertical. Kept."


@pytest.mark.parametrize(("length_in", "keeps"), [(17.9, False), (18.0, True), (60.0, True)])
def test_eighteen_inches_are_the_least_and_there_is_no_most(length_in, keeps):
    length = checks(length_in)["length"]
    assert length.keeps is keeps
    assert "no upper limit" in length.limit


@pytest.mark.parametrize(("lie", "keeps"), [(80.5, False), (80.0, True), (62.0, True)])
def test_ten_degrees_from_the_vertical_are_the_least(lie, keeps):
    assert checks(lie=lie)["shaft_angle"].keeps is keeps


def test_an_interval_beyond_the_limit_is_said():
    assert "interval reaches beyond" in checks(lie=79.0)["shaft_angle"].says


@pytest.mark.parametrize(
    ("current_in", "lie", "asks"),
    [(48.0, 79.0, True), (38.0, 71.0, True), (48.0, 64.0, False), (36.0, 79.0, False), (None, 79.0, False)],
)
def test_a_long_putter_that_may_be_used_upright_asks_the_ruling_body(current_in, lie, asks):
    found = checks(lie=lie, lie_sd=0.3, current_in=current_in)["shaft_angle"]
    assert ("ask the ruling body" in found.says) is asks
    assert "25°" in found.limit


@pytest.mark.parametrize(("length_in", "current_in", "named"), [(33, 34, False), (33, 48, True), (39, None, True)])
def test_two_grips_are_named_where_a_putter_is_long(length_in, current_in, named):
    found = checks(length_in, current_in=current_in)
    assert ("two_grips" in found) is named
    if named:
        for part in ("round", "1.5 in (3.8 cm) apart", "5 in (12.7 cm)"):
            assert part in found["two_grips"].limit


def test_the_shaft_along_the_line_has_its_two_limits():
    lean = checks()["shaft_lean"]
    assert lean.keeps is None
    assert "20° forward and 10° backward" in lean.limit


def test_anchoring_is_named_with_what_is_allowed():
    found = checks()["anchoring"]
    assert found.clause == "Rules of Golf of 2023, 10.1b"
    assert found.keeps is None
    assert "against a hand or forearm is allowed" in found.limit


def test_the_loft_is_named_and_left_to_be_measured():
    loft = checks()["loft"]
    assert MOST_LOFT_DEG == 10
    assert loft.keeps is None
    assert "10°" in loft.limit


def test_every_limit_names_its_clause_and_its_edition():
    for check in checks(current_in=48.0).values():
        assert check.clause.startswith(("Equipment Rules of 2019, Part 2, ", "Rules of Golf of 2023, ")), check.name
