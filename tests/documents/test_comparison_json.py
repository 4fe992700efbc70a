"""The numbers of a comparison as programs read them."""

import copy
import io
import json
import math

import pandas as pd
import pytest
from jsonschema import Draft202012Validator

from putt_posture.documents import comparison_as_json
from putt_posture.documents.comparison_json import comparison_as_csv
from putt_posture.documents.json_values import document_as_text
from putt_posture.documents.schemas import check_document, load_schema
from putt_posture.errors import UsageError
from putt_posture.measures import MEASURES


@pytest.fixture(scope="module")
def document(comparison):
    return comparison_as_json(comparison)


def test_the_schema_is_a_schema_and_names_every_measure() -> None:
    schema = load_schema("comparison")
    Draft202012Validator.check_schema(dict(schema))
    measures = schema["properties"]["measures"]
    assert list(measures["properties"]) == list(MEASURES)
    assert measures["required"] == list(MEASURES)


def test_the_document_keeps_the_schema(document) -> None:
    check_document(document, "comparison", what="The changes do")


@pytest.mark.parametrize(
    ("spoil", "place"),
    [
        (lambda found: found["measures"].pop("spine_tilt"), "at measures"),
        (lambda found: found["measures"]["spine_tilt"].update(verdict="perhaps"), "at measures/spine_tilt/verdict"),
        (lambda found: found["measures"]["spine_tilt"]["change"].update(value=None), "at measures/spine_tilt/change"),
        (lambda found: found["before"]["student"].update(handed="both"), "at before/student/handed"),
        (lambda found: found.update(mood="sunny"), "at the top"),
    ],
)
def test_a_document_that_does_not_keep_it_is_refused_by_the_place(document, spoil, place) -> None:
    spoilt = copy.deepcopy(document)
    spoil(spoilt)
    with pytest.raises(UsageError, match=f"The changes do not match schema 3 {place}"):
        check_document(spoilt, "comparison", what="The changes do")


def test_numbers_are_those_of_the_changes(comparison, document) -> None:
    for name, found in comparison.changes.measures.items():
        entry = document["measures"][name]
        assert entry["verdict"] == (
            "absent" if not found.change else "change" if found.real else "maybe" if found.maybe else "no_change"
        )
        if found.change:
            assert entry["change"]["value"] == found.after.value - found.before.value
            assert entry["smallest_alone"] == found.smallest_alone
            assert math.hypot(*entry["change"]["budget"].values()) == pytest.approx(
                entry["change"]["standard_uncertainty"]
            )
        else:
            assert entry["smallest_alone"] is None


def test_text_is_the_document_without_a_nan(comparison, document) -> None:
    text = document_as_text(comparison_as_json(comparison))
    assert json.loads(text, parse_constant=pytest.fail) == document
    assert text.endswith("}\n")


def test_table_has_one_row_a_measure_with_the_same_numbers(comparison, document) -> None:
    table = pd.read_csv(io.StringIO(comparison_as_csv(comparison))).set_index("measure")
    assert list(table.index) == list(MEASURES)
    tilt = document["measures"]["spine_tilt"]
    assert table.loc["spine_tilt", "change"] == pytest.approx(tilt["change"]["value"])
    assert table.loc["spine_tilt", "low"] == pytest.approx(tilt["change"]["low"])
    assert table.loc["spine_tilt", "verdict"] == "change"
    assert table.loc["shaft_lie", ["change", "smallest_alone"]].isna().all()
