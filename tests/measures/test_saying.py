"""A value is said in words for its side; the words of a left-hander are those of a right-hander."""

import re

import pytest
from attrs import asdict, evolve

from putt_posture.errors import AbsentNumber
from putt_posture.measures import MEASURES, say_band, say_number, say_value, split_band, split_value
from putt_posture.values import Estimate, absent

LONGEST = 17
"""Letters of a side on a still."""


def plain(text: str) -> str:
    return text.replace("\N{NO-BREAK SPACE}", " ")


def cm(value: float, sigma: float, **more: object) -> Estimate:
    return Estimate(value=value, standard_uncertainty=sigma, unit="cm", **more)


@pytest.mark.parametrize("record", MEASURES.values(), ids=list(MEASURES))
def test_every_measure_has_words_for_each_of_its_sides(record) -> None:
    said = record.words.said
    assert bool(said.minus) == bool(said.short_minus) == record.signed
    assert said.plus or record.name == "back_rounding"  # its plus is its name
    assert max(len(said.short_plus), len(said.short_minus)) <= LONGEST
    assert not record.signed or said.plus != said.minus


def test_no_word_of_a_measure_names_left_or_right_so_that_mirrored_lessons_read_the_same() -> None:
    texts = [text for each in MEASURES.values() for text in _texts(asdict(each.words))]
    assert len(texts) > 150
    assert not [text for text in texts if re.search(r"\b(left(?! out)|right)\b", text)]


def _texts(words: dict) -> list[str]:
    return [each for value in words.values() for each in (_texts(value) if isinstance(value, dict) else [value])]


@pytest.mark.parametrize(
    ("name", "value", "sentence", "still"),
    [("hand_offset", 9.12, "9.1 cm outside the shoulders", "9.1 cm outside"),
     ("hand_offset", -3.0, "3.0 cm inside the shoulders", "3.0 cm inside"),
     ("eye_offset", -15.2, "15.2 cm inside the ball", "15.2 cm inside the ball"),
     ("eye_offset", 4.0, "4.0 cm beyond the ball", "4.0 cm beyond the ball"),
     ("elbow_depth", -5.0, "5.0 cm behind the front of the ribs", "5.0 cm behind"),
     ("ball_position", 4.0, "4.0 cm ahead of the middle of the stance", "4.0 cm ahead of middle"),
     ("elbow_gap_lead", 3.3, "3.3 cm from the ribs", "3.3 cm")],
)  # fmt: skip
def test_a_sure_value_has_its_size_and_its_side(name, value, sentence, still) -> None:
    estimate = cm(value, 0.5)
    assert plain(say_value(MEASURES[name], estimate)) == sentence
    assert plain(say_value(MEASURES[name], estimate, short=True)) == still
    assert plain(say_number(MEASURES[name], value)) == sentence


def test_no_value_is_said_with_a_sign() -> None:
    for record in MEASURES.values():
        for value in (-7.0, 7.0):
            estimate = Estimate(value=value if record.signed else 7.0, standard_uncertainty=1.0, unit=record.unit)
            for short in (True, False):
                assert not re.search("[+−-]", say_value(record, estimate, short=short, margin=True))


def test_where_the_side_is_not_sure_the_margin_stands_beside_the_number() -> None:
    hands = MEASURES["hand_offset"]
    assert plain(say_value(hands, cm(-1.0, 1.4), short=True)) == "1.0 ± 2.7 cm inside"
    assert plain(say_value(hands, cm(9.0, 1.4), short=True)) == "9.0 cm outside"
    assert plain(say_value(hands, cm(9.0, 1.4), short=True, margin=True)) == "9.0 ± 2.7 cm outside"


def test_a_printed_zero_has_no_side() -> None:
    assert plain(say_value(MEASURES["hand_offset"], cm(0.04, 1.4))) == "0.0 ± 2.7 cm"
    assert plain(say_number(MEASURES["hand_offset"], -0.04)) == "0.0 cm"


def test_what_rests_on_something_by_hand_says_so_last() -> None:
    eyes = cm(-15.2, 1.4, by_hand=("ball",))
    assert plain(say_value(MEASURES["eye_offset"], eyes)) == "15.2 cm inside the ball (by hand)"
    assert split_value(MEASURES["elbow_gap_lead"], evolve(eyes, value=3.0), short=True)[1] == "(by hand)"


def test_an_absent_value_cannot_be_said() -> None:
    with pytest.raises(AbsentNumber):
        say_value(MEASURES["hand_offset"], absent("Hidden.", unit="cm"))


@pytest.mark.parametrize(
    ("name", "ends", "says"),
    [("hand_offset", (0.0, 2.0), "0.0 to 2.0 cm outside the shoulders"),
     ("hand_offset", (-2.0, 0.0), "0.0 to 2.0 cm inside the shoulders"),
     ("hand_offset", (-3.0, -1.0), "1.0 to 3.0 cm inside the shoulders"),
     ("hand_offset", (-1.0, 2.0), "1.0 cm inside the shoulders to 2.0 cm outside the shoulders"),
     ("elbow_depth", (-1.0, 1.0), "within 1.0 cm"),
     ("hand_offset", (1.0, 1.0), "1.0 cm outside the shoulders"),
     ("balance", (50.0, 65.0), "50 to 65 % of the way from heel to toe"),
     ("balance", (45.0, None), "at least 45 % of the way from heel to toe"),
     ("elbow_gap_lead", (None, 3.0), "up to 3.0 cm from the ribs"),
     ("hand_offset", (None, 3.0), "at most 3.0 cm outside the shoulders"),
     ("hand_offset", (-3.0, None), "at most 3.0 cm inside the shoulders"),
     ("hand_offset", (None, -1.0), "at least 1.0 cm inside the shoulders")],
)  # fmt: skip
def test_a_band_is_said_from_its_smaller_to_its_larger_size(name, ends, says) -> None:
    assert plain(say_band(MEASURES[name], *ends)) == says
    assert plain(" ".join(filter(None, split_band(MEASURES[name], *ends)))) == says
