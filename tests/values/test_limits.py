"""Pain and limits by part of the body, out of plain words; an unclear "not" counts as a limit."""

import pytest

from putt_posture.values import read_limits

NO_LIMITS = [
    "",
    "-",
    "none",
    "None.",
    "no",
    "n/a",
    "no pain",
    "No pain, no limits",
    "no pain or limits",
    "no pain at all",
    "pain-free",
    "healthy",
    "no known injuries",
    "no back pain",
    "no back or knee pain",
    "no pain in the back or knees",
    "no pain in back, neck or hips",
]
LIMITS = {
    "bad back, cannot bend knees far": {"back": "bad back", "knee": "cannot bend knees far"},
    "lower back tightens": {"back": "lower back tightens"},
    "left knee, cannot bend it far": {"knee": "left knee; cannot bend it far"},
    "came back from knee surgery": {"knee": "came back from knee surgery"},
    "no pain. Bad knee last year": {"knee": "Bad knee last year"},
    "no problem but the back": {"back": "the back"},
    "No pain, back": {"back": "back"},
    "no problems with back, knees bad": {"knee": "knees bad"},
    "stiff neck and shoulders": {"neck": "stiff neck and shoulders", "shoulder": "stiff neck and shoulders"},
    "tennis elbow": {"elbow": "tennis elbow"},
    "arthritis in the hands": {"wrist": "arthritis in the hands"},
    "tight hamstrings": {"hip": "tight hamstrings"},
    "heel pain": {"ankle": "heel pain"},
    "gets dizzy looking down": {"balance": "gets dizzy looking down"},
    "wears varifocals": {"eyes": "wears varifocals"},
    "BACK": {"back": "BACK"},
}
UNCLEAR_NOT = {
    "no bending of the back": ["back"],
    "back not bad": ["back"],
    "no longer bends the knee": ["knee"],
    "no pain if I keep the knee straight": ["knee"],
    "no, my back hurts": ["back"],
}
UNKNOWN = ["gets tired soon", "cannot stand long", "can walk 500 feet", "cannot bend it", "not really"]


@pytest.mark.parametrize("text", NO_LIMITS)
def test_a_plain_no_is_no_limit(text) -> None:
    assert read_limits(text) == ((), ())


@pytest.mark.parametrize("text", LIMITS)
def test_a_part_that_is_named_is_a_limit_in_the_words_that_were_said(text) -> None:
    found, unread = read_limits(text)
    assert {each.part: each.words for each in found} == LIMITS[text]
    assert unread == ()


@pytest.mark.parametrize("text", UNCLEAR_NOT)
def test_a_not_that_is_not_clear_counts_as_a_limit(text) -> None:
    assert [each.part for each in read_limits(text)[0]] == UNCLEAR_NOT[text]


@pytest.mark.parametrize("text", UNKNOWN)
def test_what_names_no_part_is_handed_back(text) -> None:
    assert read_limits(text) == ((), (text,))


def test_a_long_no_is_not_taken_for_a_plain_one() -> None:
    assert read_limits("no pain in " + ", ".join(["back"] * 60))[0] != ()
