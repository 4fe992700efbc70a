"""Every way in which two lessons were filmed or described differently has its sentence."""

from datetime import date

import pytest
from attrs import evolve
from measured_twice import STUDENT, record, view_record

from putt_posture.changes import warn_filming
from putt_posture.values import Estimate

BEFORE = record()


def side(**changes):
    """Return the lesson of another day with something different down the line."""
    return record(
        views={
            "down_the_line": view_record(sha256="12" * 32, **changes),
            "face_on": view_record("face_on", sha256="34" * 32),
        }
    )


def reading(value, sd, unit="deg"):
    return Estimate(value=value, standard_uncertainty=sd, unit=unit, view="down_the_line")


def test_two_lessons_filmed_alike_raise_no_warning() -> None:
    assert warn_filming(BEFORE, side()) == ()


@pytest.mark.parametrize(
    ("after", "says"),
    [
        (evolve(side(), student=evolve(STUDENT, name="Bo Invented")), "have two names, Ada Invented and Bo Invented"),
        (evolve(side(), student=evolve(STUDENT, stature_cm=180.0)), "was 173 cm (5 ft 8 in) before and 180 cm"),
        (evolve(side(), student=evolve(STUDENT, sex=None)), "Different body tables"),
        (evolve(side(), made_on=date(2026, 5, 1)), "is the older one"),
        (evolve(side(), views=BEFORE.views), "A clip is the same in both"),
        (evolve(side(), versions={"putt_posture": "0.2.0"}), "versions of the program (0.1.0 and 0.2.0)"),
        (side(landmark_model="another"), "two different landmark models"),
        (side(kind="still"), "a video before and a still picture after"),
        (side(scale_source="putter"), "from the student's height before and from the putter's length after"),
        (side(forward=-1), "stood on the other side"),
        (side(roll=reading(1.5, 0.25)), "Down the line the camera was turned by 0.0° before and by 1.5° after"),
        (side(yaw=reading(-8.0, 2.0)), "stood off square by 1.0° before and by −8.0° after"),
        (side(distance_cm=reading(600.0, 20.0, "cm")), "stood away by 4.0\xa0m before and by 6.0\xa0m after"),
    ],
)  # fmt: skip
def test_each_difference_is_one_sentence(after, says) -> None:
    (warning,) = warn_filming(BEFORE, after)
    assert says in warning


def test_cameras_within_what_is_known_of_them_raise_no_warning() -> None:
    assert warn_filming(BEFORE, side(roll=reading(0.6, 0.25), yaw=reading(5.0, 2.0))) == ()


def test_a_view_that_one_lesson_lacks_is_named() -> None:
    alone = record(views={"down_the_line": view_record(sha256="12" * 32)})
    (warning,) = warn_filming(BEFORE, alone)
    assert warning.startswith("Face on there is no clip after")
    (warning,) = warn_filming(alone, BEFORE)
    assert warning.startswith("Face on there is no clip before")


def test_with_one_setup_each_the_scatter_of_the_student_is_judged_and_that_is_said() -> None:
    lessons = [
        record(views={"down_the_line": view_record(sha256=digest * 32, setups=1)}) for digest in ("12", "34")
    ]  # fmt: skip
    (warning,) = warn_filming(*lessons)
    assert "is judged and not measured (each point comes back to within about 1 cm)" in warning


def test_a_different_number_of_setups_is_said() -> None:
    lessons = [
        record(views={"down_the_line": view_record(sha256=digest * 32, setups=setups)})
        for digest, setups in (("12", 1), ("34", 3))
    ]
    (warning,) = warn_filming(*lessons)
    assert "was 1 before and 3 after" in warning
