"""Each value shows itself in one line, whatever it holds, and as a page in a notebook."""

import subprocess
import sys
from collections.abc import Mapping

import attrs
import numpy as np
import pytest
from changed_lesson import make_changed_lesson
from invented_history import drift

from putt_posture.errors import AbsentNumber, UnknownName
from putt_posture.measures import MEASURES
from putt_posture.records import read_result_folder
from putt_posture.values import Estimate, Lesson, Posture, Student, absent

LONGEST = 100


def values_in(held, seen):
    """Go through a value and all that it holds; each once."""
    if id(held) in seen:
        return
    seen[id(held)] = held
    if attrs.has(type(held)):
        yield held
        for each in attrs.fields(type(held)):
            yield from values_in(getattr(held, each.name), seen)
    elif isinstance(held, Mapping):
        for each in held.values():
            yield from values_in(each, seen)
    elif isinstance(held, tuple | list):
        for each in held:
            yield from values_in(each, seen)


@pytest.fixture(scope="module")
def all_values(folder, comparison):
    """Every value of the project that a lesson, a stored one, a comparison and a history hold."""
    seen, found = {}, []
    for start in (make_changed_lesson(), read_result_folder(folder), comparison, drift()):
        found += [each for each in values_in(start, seen) if type(each).__module__.startswith("putt_posture")]
    return found


def test_every_value_of_a_lesson_is_shown_in_one_short_line(all_values):
    kinds = {type(each).__name__ for each in all_values}
    assert {"Lesson", "Posture", "Estimate", "Fit", "Landmarks", "KeptLesson", "Comparison", "History"} <= kinds
    for each in all_values:
        line = repr(each)
        assert len(line) <= LONGEST, line
        assert "\n" not in line
        assert line.startswith(f"{type(each).__name__}(")
        assert line.endswith(")")


def test_arrays_are_shown_by_their_shape(lesson):
    still = lesson.views["face_on"].still
    assert f"uint8 {still.picture.shape}" in repr(still)
    assert "view='face_on'" in repr(lesson.views["face_on"].landmarks)


def test_a_field_that_is_as_usual_takes_no_room():
    assert repr(Student(stature_cm=178.0, handed="right")) == "Student(stature_cm=178, handed='right')"


def test_an_estimate_shows_number_margin_unit_and_view_or_why_there_is_none():
    gap = Estimate(value=2.345, standard_uncertainty=0.2, unit="cm", view="face_on")
    assert repr(gap) == "Estimate(2.35 ± 0.39 cm, face_on)"
    long = absent(
        "It is hidden behind something that is far too long to say in so little room as there is here.", unit="cm"
    )
    assert repr(long).startswith("Estimate(absent: It is hidden behind")
    assert repr(long).endswith("…)")


def test_an_estimate_is_a_number_where_there_is_one():
    tilt = Estimate(value=np.float64(30.26), standard_uncertainty=2, unit="deg")
    assert float(tilt) == 30.26
    assert type(float(tilt)) is float
    assert (f"{tilt:.1f}", f"{tilt:8.2f}", f"{tilt}") == ("30.3", "   30.26", repr(tilt))
    np.testing.assert_allclose(np.array([tilt, tilt], dtype=float), 30.26)


def test_an_absent_estimate_is_never_a_number():
    hidden = absent("The near hip is hidden.", unit="deg")
    with pytest.raises(AbsentNumber, match="The near hip is hidden"):
        float(hidden)
    with pytest.raises(ValueError, match="There is no number, in deg"):
        np.array([hidden], dtype=float)
    assert (f"{hidden:.1f}", f"{hidden:9.1f}") == ("absent", "   absent")
    assert f"{hidden}" == "Estimate(absent: The near hip is hidden.)"


def test_a_posture_is_a_mapping_of_every_measure(lesson):
    posture = lesson.posture
    assert isinstance(posture, Mapping)
    assert len(posture) == len(MEASURES) == 23
    assert list(posture) == list(MEASURES)
    assert dict(posture.items()) == dict(posture.estimates)
    assert "spine_tilt" in posture
    assert "swing_speed" not in posture
    assert posture.get("swing_speed") is None
    assert not posture["putter_length"]  # absent, and there all the same
    assert posture.get("putter_length") is posture["putter_length"]


def test_a_name_that_is_no_measure_is_refused_with_those_that_come_close(lesson):
    with pytest.raises(UnknownName) as caught:
        lesson.posture["Spine-Tilt"]
    assert str(caught.value) == "There is no measure 'Spine-Tilt' in the posture. Did you mean 'spine_tilt'?"
    assert isinstance(caught.value, KeyError)
    with pytest.raises(UnknownName, match="Did you mean 'elbow_gap_lead'"):
        lesson.posture["elbow_gap_leed"]
    with pytest.raises(UnknownName, match="There are: spine_tilt, back_rounding"):
        lesson.posture["xyz"]
    with pytest.raises(UnknownName, match="There is no measure 3 in"):
        lesson.posture[3]


def test_a_posture_shows_how_many_measures_it_has(lesson):
    assert repr(lesson.posture).startswith("Posture(22 of 23 measures: spine_tilt, back_rounding, ")
    assert repr(Posture(estimates={})) == "Posture(0 of 0 measures)"


def test_showing_a_value_in_a_line_loads_no_pictures_and_no_tables():
    script = (
        "import sys; from putt_posture.values import Student; repr(Student(stature_cm=178, handed='right'));"
        "sys.exit(any(name in sys.modules for name in ('pandas', 'matplotlib', 'cv2', 'jinja2')))"
    )
    assert subprocess.run([sys.executable, "-c", script], check=False).returncode == 0


def test_a_lesson_stays_equal_to_itself_alone(lesson):
    assert isinstance(lesson, Lesson)
    assert lesson == lesson
    assert lesson != make_changed_lesson()
