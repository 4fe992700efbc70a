"""Which putts are missed and which way, out of plain words; what is not clear stays words."""

import re

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from putt_posture.errors import UsageError
from putt_posture.values import Miss, read_misses

FOOT_CM = 30.48
SIX_FEET_CM = 182.88


def miss(side, under=None, over=None, putts=None):
    return Miss(side=side, under_cm=under, over_cm=over, putts=putts)


CLEAR = {
    "left": [miss("left")],
    "left and right under 2 m": [miss("both", under=200)],
    "left, mostly inside 6 feet": [miss("left", under=SIX_FEET_CM)],
    "both ways inside 6 feet": [miss("both", under=SIX_FEET_CM)],
    "under 2 m, left and right": [miss("both", under=200)],
    "under 2 m left and over 3 m right": [miss("left", under=200), miss("right", over=300)],
    "left under 2 m and right over 3 m": [miss("left", under=200), miss("right", over=300)],
    "left over 1 m and under 2 m": [miss("left", under=200, over=100)],
    "left between 1 and 2 m": [miss("left", under=200, over=100)],
    "1-2 m left": [miss("left", under=200, over=100)],
    "left under 2 m and over 5 m": [miss("left", under=200), miss("left", over=500)],
    "either side from 3 feet": [miss("both", under=3 * FOOT_CM, over=3 * FOOT_CM)],
    "misses three-footers to the right": [miss("right", under=3 * FOOT_CM, over=3 * FOOT_CM)],
    "left inside 5ft10in": [miss("left", under=177.8)],
    "left within 1,5 m": [miss("left", under=150)],
    "left under 6′": [miss("left", under=SIX_FEET_CM)],
    "left 10+ feet": [miss("left", over=10 * FOOT_CM)],
    "left at 2 m or less": [miss("left", under=200)],
    "short and left from 2 m": [miss("short", under=200, over=200), miss("left", under=200, over=200)],
    "misses short putts right": [miss("right", putts="short")],
    "left on short ones, right on long ones": [miss("left", putts="short"), miss("right", putts="long")],
    "misses both ways, short putts": [miss("both", putts="short")],
    "left on long putts": [miss("left", putts="long")],
    "leaves long putts short": [miss("short", putts="long")],
    "long putts are always short": [miss("short", putts="long")],
    "left the long ones short": [miss("short", putts="long")],
    "left three putts short": [miss("short")],
    "Lag putts come up short, short putts miss left and right": [
        miss("short", putts="long"),
        miss("both", putts="short"),
    ],
    "runs long putts past the hole": [miss("long", putts="long")],
    "misses short": [miss("short")],
    "comes up short left": [miss("short"), miss("left")],
    "too long": [miss("long")],
    "more left than right": [miss("both")],
    "mostly left. Sometimes right": [miss("both")],
    "LEFT AND RIGHT, UNDER 2M": [miss("both", under=200)],
    "left under pressure": [miss("left")],
    "often left on breaking putts": [miss("left")],
    "right-hander who misses to the right": [miss("right")],
    "none": [],
    "": [],
}
PARTLY = {
    "never left, always right": ([miss("right")], ["never left"]),
    "left, not right": ([miss("left")], ["not right"]),
    "left not right": ([miss("left")], ["not right"]),
    "aims left, misses right": ([miss("right")], ["aims left"]),
    "if I rush, I miss left": ([miss("left")], ["if I rush"]),
    "misses left when the hole is on the right": ([miss("left")], ["when the hole is on the right"]),
    "left-hand low, misses right": ([miss("right")], ["left-hand low"]),
    "no problem with short putts, but long ones come up short": (
        [miss("short", putts="long")],
        ["no problem with short putts"],
    ),
    "under 2 m. Both ways.": ([miss("both")], ["under 2 m"]),
}
UNCLEAR = [
    "short putts",
    "does not miss left",
    "left isn't a problem",
    "used to miss left",
    "aims left",
    "right-to-left putts",
    "left short",
    "left under 2",
    "misses 3 of 5 left",
    "left under half a metre",
    "left inside a putter length",
    "short and long putts right",
    "the right line",
    "pulls the putter inside",
    "pushes it past the hole",
    "cannot stop pulling",
    "depends on the day",
]


SIDELESS_LEFT = re.compile(r"left (?:it|the|three)|left-hand low")
"""Where "left" is no side, so that its mirror image says something else."""
VOCABULARY = (
    *("left", "right", "short", "long", "putts", "ones", "under", "over", "between", "to", "the", "and", "or", "but"),
    *("2", "m", "6", "feet", "1/2", "0", "5ft", "not", "never", "when", "pulls", "pushes", ",", ".", "(", ")", "-"),
    *("+", "'", '"'),
)


@pytest.mark.parametrize("text", CLEAR)
def test_clear_words_are_read_whole(text) -> None:
    assert read_misses(text, handed="right") == (tuple(CLEAR[text]), ())


@pytest.mark.parametrize("text", PARTLY)
def test_what_is_clear_is_read_and_the_rest_handed_back(text) -> None:
    found, unread = PARTLY[text]
    assert read_misses(text, handed="right") == (tuple(found), tuple(unread))


@pytest.mark.parametrize("text", UNCLEAR)
def test_what_is_not_clear_is_not_guessed(text) -> None:
    assert read_misses(text, handed="right") == ((), (text,))


def test_a_not_reaches_all_that_is_listed_after_it() -> None:
    found, unread = read_misses("does not miss left, right or short", handed="right")
    assert not found
    assert len(unread) == 3


@pytest.mark.parametrize(
    ("text", "handed", "side"),
    [
        ("pulls", "right", "left"),
        ("pulled", "left", "right"),
        ("pushes", "right", "right"),
        ("pushing", "left", "left"),
        ("pushes and pulls", "left", "both"),
    ],
)
def test_a_push_or_a_pull_goes_by_the_hand(text, handed, side) -> None:
    assert read_misses(text, handed=handed) == ((miss(side),), ())


@pytest.mark.parametrize("text", [text for text in (*CLEAR, *PARTLY) if not SIDELESS_LEFT.search(text)])
def test_mirrored_words_give_mirrored_misses(text) -> None:
    """Left for right, right for left, and the other hand."""
    names = {"left": "right", "right": "left"}
    turned = "".join(names.get(part.lower(), part) for part in _words(text))
    expected = {(names.get(each.side, each.side), each.under_cm, each.over_cm, each.putts) for each in _read(text)}
    found = read_misses(turned, handed="left")[0]
    assert {(each.side, each.under_cm, each.over_cm, each.putts) for each in found} == expected


def _words(text):
    return re.split(r"(\W+)", text)


def _read(text):
    return read_misses(text, handed="right")[0]


def test_a_story_is_not_read() -> None:
    story = "The ball goes left " + "and further on " * 40
    assert read_misses(story, handed="right")[0] == ()


@given(st.lists(st.sampled_from(VOCABULARY), max_size=25))
@example(["left", "under", "0", "m"])
@settings(max_examples=300)
def test_any_words_are_read_or_handed_back(words) -> None:
    found, unread = read_misses(" ".join(words), handed="right")
    assert len(set(found)) == len(found)
    for each in found:
        assert (each.over_cm or 0) <= (each.under_cm or float("inf"))
    assert all(part.strip() for part in unread)


def test_a_hand_that_there_is_not_is_refused() -> None:
    with pytest.raises(UsageError, match="'right' or 'left' is needed"):
        read_misses("left", handed="both")
