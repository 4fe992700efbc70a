"""Older documents are brought forward by registered steps; newer ones are refused in a sentence."""

import json
from pathlib import Path

import pytest

from putt_posture.documents.lesson_reading import read_document, read_record
from putt_posture.documents.schemas import load_schema
from putt_posture.documents.versions import _OLDEST, _STEPS, VERSIONS, bring_forward
from putt_posture.errors import UsageError
from putt_posture.values import Interview

RELEASED = sorted((Path(__file__).parents[1] / "records" / "released").glob("*/folder/measures.json"))


def test_there_is_a_step_to_every_version_after_the_oldest():
    steps = {(kind, to) for kind, newest in VERSIONS.items() for to in range(_OLDEST[kind] + 1, newest + 1)}
    assert set(_STEPS) == steps


@pytest.mark.parametrize("kind", list(VERSIONS))
def test_the_schema_says_the_version_that_is_written(kind):
    assert load_schema(kind)["properties"]["schema"]["const"] == VERSIONS[kind]


@pytest.mark.parametrize("path", RELEASED, ids=lambda path: path.parts[-3])
def test_a_document_of_a_released_version_opens_with_its_numbers(path):
    told = json.loads(path.read_text(encoding="utf-8"))
    assert told["schema"] < VERSIONS["measures"]
    record = read_record(path.read_bytes(), where="it")
    for name, entry in told["measures"].items():
        assert record.measures[name].value == entry["value"] or entry["value"] is None
    assert record.measures["spine_tilt"].by_hand == ()
    assert record.interview == Interview()
    assert read_document(path.read_bytes(), where="it")["schema"] == VERSIONS["measures"]


@pytest.mark.parametrize("kind", list(VERSIONS))
def test_a_document_of_a_newer_version_is_refused_and_says_what_to_do(kind):
    with pytest.raises(UsageError, match=r"newer than this program .*Install a newer putt_posture"):
        bring_forward({"schema": VERSIONS[kind] + 1}, kind, where="It")


@pytest.mark.parametrize("version", [0, -1, None, True, 1.5, "3", [3]])
def test_a_version_that_never_was_is_refused(version):
    with pytest.raises(UsageError, match="has schema"):
        bring_forward({"schema": version}, "measures", where="It")


@pytest.mark.parametrize("document", [{"schema": 2}, {"schema": 2, "fit": [], "measures": {}, "views": {}}])
def test_an_old_document_that_does_not_keep_its_schema_is_refused_in_a_sentence(document):
    with pytest.raises(UsageError, match="says schema 2 and does not match it"):
        bring_forward(document, "measures", where="It")


@pytest.mark.parametrize("path", RELEASED, ids=lambda path: path.parts[-3])
def test_the_arcs_of_an_older_document_are_called_arcs_and_no_stroke_was_looked_for(path):
    told = json.loads(path.read_text(encoding="utf-8"))
    read = read_document(path.read_bytes(), where="it")
    assert told["stroke"]["before"]["depth"]["value"] == read["arcs"]["before"]["depth"]["value"]
    assert "stroke" not in read
    assert read["strokes"] is None
