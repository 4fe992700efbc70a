"""The JSON document keeps its schema and every number of the lesson."""

import json
import math
from datetime import date
from pathlib import Path

import pytest
from attrs import evolve
from invented import make_fit, make_lesson
from jsonschema import Draft202012Validator

from putt_posture.documents import lesson_as_json, lesson_as_text, schema, validate
from putt_posture.documents.json_values import as_document, document_as_text, picked
from putt_posture.documents.lesson_reading import read_record
from putt_posture.errors import UsageError
from putt_posture.measures import MEASURES
from putt_posture.values import Estimate, Fit, Interview, absent


def strictly(text):
    """Read JSON as RFC 8259 defines it: no NaN and no infinity."""

    def refuse(word):
        raise ValueError(word)

    return json.loads(text, parse_constant=refuse)


def test_the_schema_is_itself_a_schema_of_draft_2020_12():
    # The meta-schema of JSON Schema draft 2020-12 is the judge, as the jsonschema library carries it.
    Draft202012Validator.check_schema(dict(schema()))


@pytest.mark.parametrize("views", [("down_the_line", "face_on"), ("down_the_line",), ("face_on",)])
def test_the_document_keeps_the_schema(views):
    document = strictly(lesson_as_text(make_lesson(views=views)))
    assert list(Draft202012Validator(dict(schema())).iter_errors(document)) == []
    validate(document)


def test_the_top_of_the_document_has_the_agreed_shape(lesson):
    document = lesson_as_json(lesson)
    assert document["schema"] == 4
    assert {"student", "views", "measures", "fit"} <= set(document)
    assert {"file", "sha256", "setup_times_s", "mirrored", "rotation_deg", "px_per_cm", "scale_source"} <= set(
        document["views"]["down_the_line"]
    )
    assert {
        "raw_value",
        "budget",
        "value",
        "standard_uncertainty",
        "low",
        "high",
        "unit",
        "view",
        "frames",
        "method",
        "absent",
        "floor",
        "repeats",
        "by_hand",
        "automatic",
    } == set(document["measures"]["spine_tilt"])
    assert set(document["measures"]) == set(MEASURES)
    assert {"putter_length", "stock_length_in", "lie", "evidence"} <= set(document["fit"])
    assert document["fit"]["putter_length"]["unit"] == "cm"


def test_every_number_of_the_measures_comes_back_bit_by_bit(lesson):
    measures = strictly(lesson_as_text(lesson))["measures"]
    for name, estimate in lesson.posture.estimates.items():
        entry = measures[name]
        assert entry["unit"] == estimate.unit
        if estimate:
            found = (entry["value"], entry["standard_uncertainty"], entry["low"], entry["high"])
            assert found == (estimate.value, estimate.standard_uncertainty, estimate.low, estimate.high)
            assert (entry["view"], entry["frames"], entry["absent"]) == (estimate.view, estimate.frames, None)
        else:
            assert (entry["value"], entry["low"], entry["high"]) == (None, None, None)
            assert entry["absent"] == estimate.absent


def test_the_interval_of_a_gap_ends_at_nought(lesson):
    assert lesson_as_json(lesson)["measures"]["elbow_gap_lead"]["low"] == 0.0


def test_the_fit_comes_back_with_inches(lesson):
    fit = strictly(lesson_as_text(lesson))["fit"]
    assert fit["putter_length"]["value"] == lesson.fit.putter_length.value
    assert fit["putter_length"]["inches"] * 2.54 == pytest.approx(lesson.fit.putter_length.value, rel=1e-12)
    assert fit["stock_length_in"] == lesson.fit.stock_length_in
    assert [each["name"] for each in fit["evidence"]] == [each.name for each in lesson.fit.evidence]


def test_an_absent_length_is_null_with_its_reason():
    fit = Fit(putter_length=absent("The hands were not seen.", unit="cm"), stock_length_in=None,
              lie=absent("No shaft was seen.", unit="deg"))  # fmt: skip
    document = strictly(lesson_as_text(make_lesson(views=("face_on",), fit=fit)))
    validate(document)
    length = document["fit"]["putter_length"]
    assert (length["value"], length["inches"], length["absent"]) == (None, None, "The hands were not seen.")
    assert document["fit"]["stock_length_in"] is None


def test_an_absent_scale_is_null_and_never_nan(one_view_lesson):
    result = one_view_lesson.views["face_on"]
    scene = evolve(result.scene, px_per_cm=absent("Nothing of known length was seen.", unit="px/cm"),
                   scale_source="none", roll=absent("No vertical was seen.", unit="deg"))  # fmt: skip
    document = strictly(lesson_as_text(evolve(one_view_lesson, views={"face_on": evolve(result, scene=scene)})))
    validate(document)
    assert document["views"]["face_on"]["px_per_cm"] is None
    assert document["views"]["face_on"]["scale_method"] == "Nothing of known length was seen."


def test_a_file_name_that_is_no_text_still_makes_valid_json(one_view_lesson):
    result = one_view_lesson.views["face_on"]
    odd = evolve(result, clip=evolve(result.clip, path=Path("/clips/f\udcffront.mov")))
    text = lesson_as_text(evolve(one_view_lesson, views={"face_on": odd}))
    assert strictly(text.encode("utf-8"))["views"]["face_on"]["file"] == "f?ront.mov"


def test_a_file_is_named_without_its_folders(lesson):
    assert lesson_as_json(lesson)["views"]["face_on"]["file"] == "front.mov"


@pytest.mark.parametrize(
    ("change", "place"),
    [
        (lambda document: document.pop("student"), "the top"),
        (lambda document: document["measures"].pop("spine_tilt"), "measures"),
        (lambda document: document["measures"]["spine_tilt"].update(value=None), "measures/spine_tilt"),
        (lambda document: document["measures"]["putter_length"].update(value=86.0), "measures/putter_length"),
        (lambda document: document["measures"]["hand_offset"].update(unit="in"), "measures/hand_offset/unit"),
        (lambda document: document["views"]["face_on"].update(rotation_deg=45), "views/face_on/rotation_deg"),
        (lambda document: document.update(schema=5), "schema"),
    ],
)
def test_a_document_that_differs_is_refused_with_the_place(lesson, change, place):
    document = strictly(lesson_as_text(lesson))
    change(document)
    with pytest.raises(UsageError, match=f"at {place}"):
        validate(document)


def test_very_wide_margins_keep_the_schema():
    validate(strictly(lesson_as_text(make_lesson(views=("face_on",), widen=1e6, fit=make_fit(1e6)))))


def test_numpy_numbers_become_plain_ones(lesson):
    import numpy as np

    estimates = dict(lesson.posture.estimates)
    estimates["spine_tilt"] = Estimate(
        value=np.float64(31.5), standard_uncertainty=np.float32(2.0), unit="deg", frames=np.int64(3)
    )
    document = strictly(lesson_as_text(evolve(lesson, posture=evolve(lesson.posture, estimates=estimates))))
    assert document["measures"]["spine_tilt"]["value"] == 31.5
    assert document["measures"]["spine_tilt"]["frames"] == 3


def test_the_doubt_of_a_setup_is_written_and_older_documents_without_it_are_read(lesson):
    side = lesson.views["down_the_line"]
    doubted = evolve(side, setups=tuple(evolve(setup, doubt="Another stroke follows it.") for setup in side.setups))
    document = lesson_as_json(evolve(lesson, views={**lesson.views, "down_the_line": doubted}))
    (setup,) = document["views"]["down_the_line"]["setups"]
    assert setup["doubt"] == "Another stroke follows it."
    assert setup["reason"] == side.setups[0].reason
    validate(document)
    for view in document["views"].values():
        for each in view["setups"]:
            del each["doubt"]
    validate(document)


def test_values_are_collected_as_they_are_and_a_document_converts_them_once():
    estimate = Estimate(value=30.0, standard_uncertainty=2.0, unit="deg")
    values = {"day": date(2026, 1, 2), "lengths": (1.5, math.nan), **picked(estimate, "unit"), "tilt": estimate}
    assert values["tilt"] is estimate
    document = as_document(values)
    assert document["day"] == "2026-01-02"
    assert document["lengths"] == [1.5, None]
    assert document["tilt"]["value"] == 30.0
    assert as_document(document) == document


def test_what_the_student_said_comes_back_word_for_word(lesson):
    said = Interview(misses="left", weak_putts="both", putter_story="a gift", limits="bad back\nknee", notes="λ 🏌")
    document = strictly(lesson_as_text(evolve(lesson, interview=said)))
    assert document["interview"]["weak_putts"] == "both"
    assert read_record(document_as_text(document), where="it").interview == said
