"""What is typed stays, and each sentence stands beside the field that caused it."""

from putt_posture.server.bodies import read_consent, read_putter, read_student
from putt_posture.server.forms import Typed
from putt_posture.units import read_day, read_length_cm
from putt_posture.values import Student

TODAY = read_day("2026-11-27")


def say(text):
    return text


def test_a_field_that_cannot_be_read_keeps_its_text_and_has_a_sentence() -> None:
    typed = Typed.filled({"stature": " 178 "})
    assert typed.read("stature", read_length_cm) is None
    assert typed.shown("stature") == "178"
    assert "has no unit" in typed.errors["stature"]
    assert not typed


def test_an_empty_field_is_wrong_only_where_it_is_needed() -> None:
    typed = Typed.filled({"stature": "  "})
    assert typed.read("stature", read_length_cm) is None
    assert typed
    typed.read("stature", read_length_cm, needed="Type the height.")
    assert typed.errors == {"stature": "Type the height."}


def test_a_word_that_is_not_there_to_choose_counts_as_none() -> None:
    assert Typed.filled({"handed": "both'); DROP"}).choice("handed", ("right", "left")) is None


def test_a_wrist_that_does_not_fit_the_height_is_said_at_the_wrist() -> None:
    typed = Typed.filled({"handed": "right", "stature": "170cm", "wrist_floor": "120cm"})
    assert read_student(typed, say) is None
    assert set(typed.errors) == {"wrist_floor"}
    assert "wrist height" in typed.errors["wrist_floor"]


def test_a_putter_that_cannot_be_is_said_at_the_putter() -> None:
    typed = Typed.filled({"putter_length": "34cm", "putter_lie": "70"})
    assert read_putter(typed, Student(stature_cm=170, handed="right")) is None
    assert set(typed.errors) == {"putter_length"}
    typed = Typed.filled({"putter_length": "34in", "putter_lie": "-3"})
    assert read_putter(typed, Student(stature_cm=170, handed="right")) is None
    assert set(typed.errors) == {"putter_lie"}


def test_a_consent_is_of_today_where_no_day_is_typed_and_none_where_nothing_is() -> None:
    assert read_consent(Typed(), today=TODAY) is None
    found = read_consent(Typed.filled({"scopes": ["faces", "filming", "made up"], "given_by": "Ann"}), today=TODAY)
    assert found.scopes == ("filming", "faces")
    assert (found.given_on, found.relation) == (TODAY, "self")
