"""What the student said, as a value."""

import pytest

from putt_posture.errors import ArgumentError, UsageError
from putt_posture.values import Interview


def test_nothing_said_is_false_and_any_answer_is_true() -> None:
    assert not Interview()
    for answer in (
        {"misses": "left"},
        {"weak_putts": "lag"},
        {"putter_story": "a gift"},
        {"limits": "no"},
        {"notes": "x"},
    ):
        assert Interview(**answer)


def test_missing_answers_are_filled_and_what_is_said_stays() -> None:
    here = Interview(misses="right", limits="knee")
    there = Interview(misses="left", weak_putts="short", notes="long day")
    assert here.filled_from(there) == Interview(misses="right", weak_putts="short", limits="knee", notes="long day")


def test_weak_putts_are_of_three_words() -> None:
    with pytest.raises(UsageError, match="'short', 'lag' or 'both' is needed"):
        Interview(weak_putts="long")


def test_an_answer_is_text_of_a_length_that_the_document_takes() -> None:
    with pytest.raises(ArgumentError, match="a text is needed"):
        Interview(misses=3)
    with pytest.raises(UsageError, match="has 100001 letters, and at most 100000 are kept"):
        Interview(notes="x" * 100_001)
