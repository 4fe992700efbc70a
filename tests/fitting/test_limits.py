import pytest
from attrs import evolve, fields

from putt_posture.errors import UsageError
from putt_posture.fitting import check_putter_lie, check_wanted_setup
from putt_posture.fitting.limits import WANTED_SETUP_RANGES
from putt_posture.values import WantedSetup


def test_what_is_usual_may_be_wanted():
    assert check_wanted_setup(WantedSetup()) == WantedSetup()


def test_every_wish_has_a_range_that_holds_its_default():
    for wish in fields(WantedSetup):
        low, high = WANTED_SETUP_RANGES[wish.name]
        assert wish.default is None or low <= wish.default <= high


@pytest.mark.parametrize("wish", [one.name for one in fields(WantedSetup)])
@pytest.mark.parametrize("value", [-400.0, 400.0, float("nan")])
def test_an_impossible_wish_is_refused_in_one_sentence_that_names_it(wish, value):
    with pytest.raises(UsageError) as caught:
        check_wanted_setup(evolve(WantedSetup(), **{wish: value}))
    assert wish.rpartition("_")[0].replace("_", " ") in str(caught.value).replace("_", " ")
    assert "\n" not in str(caught.value)


@pytest.mark.parametrize("lie", [95.0, 85.0, 20.0])
def test_an_impossible_lie_of_the_putter_in_use_is_refused(lie):
    # The R&A and USGA, Equipment Rules, Part 2, 1d(i): the shaft diverges from the vertical by at least 10°.
    with pytest.raises(UsageError, match="putter lie"):
        check_putter_lie(lie)
    assert check_putter_lie(71.0) == 71.0
