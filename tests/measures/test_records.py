"""Every record is complete, no two are confused, and no word of one judges."""

import re
from pathlib import Path

import pytest
from attrs import asdict, evolve

from putt_posture.drawing.sketches import MOST_LABELS
from putt_posture.measures import MEASURES, RECORDS, STROKE_MEASURES
from putt_posture.measures.registry import Measures
from putt_posture.measures.trunk import SPINE_TILT
from putt_posture.values import VIEWS

FOLDER = Path(__file__).parents[2] / "putt_posture" / "measures"
SIGNED = {
    "back_rounding", "head_drop", "hand_offset", "elbow_depth", "eye_offset", "ball_position", "shoulder_level",
    "side_bend", "head_position", "shaft_lean",
}  # fmt: skip
"""Measures of a setup with two directions, by their definitions."""
ONE_WAY_IN_A_STROKE = {
    "backswing_time", "through_time", "follow_time", "tempo_ratio", "hands_back", "hands_through", "hands_straightness",
    "putter_back", "putter_through",
}  # fmt: skip
"""Measures of a stroke with one direction, by their definitions."""
JUDGING = re.compile(
    r"\b(good|bad|poor|ideal|correct\w*|incorrect\w*|wrong\w*|faults?|perfect|optimal|proper\w*|should|must|normal|better"
    r"|worse|improv\w*|best posture)\b",
    re.IGNORECASE,
)
HEDGED = re.compile(r"\b(tends?|can|asks?|takes|adds|need|have)\b")


@pytest.mark.parametrize("record", RECORDS.values(), ids=list(RECORDS))
def test_a_record_is_complete(record) -> None:
    assert record.title
    assert record.axes
    assert re.fullmatch(r"[A-Z0-9].{10,}\.", record.definition, re.DOTALL)
    for sentence in (record.words.what, record.words.direction, record.words.stroke):
        assert re.fullmatch(r"[A-Z0-9].{10,}\.", sentence), sentence
    stroke = record.words.stroke
    assert "tend" in stroke or re.search(r"\b(can|asks? for|takes?|lowers|decides)\b", stroke), stroke
    assert record.model_sd > 0
    assert record.scatter_sd is not None or not record.of_setup
    assert set(record.views) <= set(VIEWS)


@pytest.mark.parametrize("record", RECORDS.values(), ids=list(RECORDS))
def test_a_change_is_one_careful_sentence_for_either_way(record) -> None:
    more, less = record.shift.more, record.shift.less
    assert more != less
    for sentence in (more, less):
        assert re.fullmatch(r"The [^.]+\.", sentence), sentence
        assert HEDGED.search(sentence), sentence


@pytest.mark.parametrize("record", RECORDS.values(), ids=list(RECORDS))
def test_no_word_of_a_record_judges(record) -> None:
    words = asdict(record.words)
    said = words.pop("said")
    texts = [record.title, record.definition, *words.values(), *said.values(), *asdict(record.shift).values()]
    assert not [text for text in texts if JUDGING.search(text)]


@pytest.mark.parametrize("record", RECORDS.values(), ids=list(RECORDS))
def test_a_measure_with_two_directions_and_only_such_a_one_names_both(record) -> None:
    words = record.words
    assert [bool(text) for text in (words.plus, words.minus, words.zero)] == [_is_signed(record)] * 3
    assert record.signed == _is_signed(record)


def _is_signed(record) -> bool:
    if record.name in STROKE_MEASURES:
        return record.name not in ONE_WAY_IN_A_STROKE
    return record.name in SIGNED


def test_no_two_records_share_a_name_a_title_or_a_place() -> None:
    for what in ("name", "title", "order"):
        found = [getattr(each, what) for each in RECORDS.values()]
        assert len(set(found)) == len(found)
    for view in VIEWS:
        ranks = [each.sketches[view].rank for each in MEASURES.values() if view in each.sketches]
        assert len(set(ranks)) == len(ranks) >= MOST_LABELS


def test_the_order_of_the_report_is_that_of_the_records() -> None:
    assert list(MEASURES)[:3] == ["spine_tilt", "back_rounding", "head_drop"]
    assert list(MEASURES)[-1] == "sideways_balance"
    assert [each.order for each in MEASURES.values()] == sorted(each.order for each in MEASURES.values())


def test_a_record_and_its_formula_stand_in_the_file_of_its_part() -> None:
    for record in MEASURES.values():
        assert f'name="{record.name}"' in (FOLDER / f"{record.part}.py").read_text(encoding="utf-8")
    assert "def spine_tilt(plane: Plane)" in (FOLDER / "trunk.py").read_text(encoding="utf-8")


def test_a_second_record_of_one_name_or_at_one_place_is_refused() -> None:
    with pytest.raises(ValueError, match="Two measures are named spine_tilt"):
        Measures([SPINE_TILT, evolve(SPINE_TILT, order=11)])
    with pytest.raises(ValueError, match="both have the order 10"):
        Measures([SPINE_TILT, evolve(SPINE_TILT, name="lean")])
    with pytest.raises(ValueError, match="Two measures"), MEASURES.trying(SPINE_TILT):
        pass
    assert len(MEASURES) == 23


@pytest.mark.parametrize(
    ("change", "says"),
    [({"name": "Spine Tilt"}, "small letters"), ({"unit": "rad"}, "deg"), ({"views": ()}, "views"),
     ({"model_sd": -1.0}, "model_sd"), ({"views": VIEWS, "needs": "ball"}, "in one view")],
)  # fmt: skip
def test_a_record_that_cannot_be_is_refused(change, says) -> None:
    with pytest.raises(ValueError, match=says):
        evolve(SPINE_TILT, **change)


def test_the_records_of_setup_and_stroke_are_one_set_with_the_setup_first() -> None:
    assert list(RECORDS) == [*MEASURES, *STROKE_MEASURES]
    assert [each.order for each in RECORDS.values()] == sorted(each.order for each in RECORDS.values())
    assert RECORDS["hands_back"] is STROKE_MEASURES["hands_back"]
    assert "hands_back" not in MEASURES
    with pytest.raises(KeyError):
        RECORDS["face_angle"]


def test_a_version_before_strokes_knew_the_setup_alone() -> None:
    assert RECORDS.known_to("0.1.0") == frozenset(MEASURES)
    assert RECORDS.known_to("0.2.0") == RECORDS.known_to("") == frozenset(RECORDS)


def test_nothing_of_a_stroke_belongs_to_the_setup() -> None:
    assert not any(each.of_setup for each in STROKE_MEASURES.values())
    assert {each.part for each in STROKE_MEASURES.values()} == {"stroke"}


def test_a_record_that_is_tried_is_among_all_of_them() -> None:
    with MEASURES.trying(evolve(SPINE_TILT, name="lean", order=11)):
        assert "lean" in RECORDS
    assert "lean" not in RECORDS
