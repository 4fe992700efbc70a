"""Every measure has its two sentences, they differ, and no word judges."""

import re

import pytest
from attrs import asdict

from putt_posture.documents import SHIFTS
from putt_posture.values import MEASURES

JUDGING = re.compile(
    r"\b(good|bad|poor|ideal|correct\w*|incorrect\w*|wrong\w*|faults?|perfect|optimal|proper\w*|should|must|normal|better"
    r"|worse|improv\w*)\b",
    re.IGNORECASE,
)
HEDGED = re.compile(r"\b(tends?|can|asks?|takes|adds|need|have)\b")


def test_every_measure_has_sentences_in_the_order_of_the_report() -> None:
    assert list(SHIFTS) == list(MEASURES)


@pytest.mark.parametrize("name", MEASURES)
def test_each_way_is_one_hedged_sentence_that_does_not_judge(name) -> None:
    more, less = asdict(SHIFTS[name]).values()
    assert more != less
    for sentence in (more, less):
        assert re.fullmatch(r"The [^.]+\.", sentence), sentence
        assert HEDGED.search(sentence), sentence
        assert not JUDGING.search(sentence), sentence
