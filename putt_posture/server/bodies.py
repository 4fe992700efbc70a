"""The parts of a form that are asked for in several places: who the student is, the putter, consent, what was said.

Each field is read by the library's own readers and checks, so that a sentence stands beside the field that caused it.
"""

from collections.abc import Callable
from datetime import date
from typing import Any, Final, cast

from attrs import evolve

from putt_posture.archive import SCOPES
from putt_posture.body import check_student
from putt_posture.errors import UsageError
from putt_posture.server.forms import Typed
from putt_posture.services import GivenConsent
from putt_posture.units import read_day, read_degrees, read_length_cm
from putt_posture.values import Handed, Interview, Sex, Student
from putt_posture.values.interview import WEAK_PUTTS, WeakPutts

__all__ = [
    "fill_interview",
    "fill_student",
    "read_consent",
    "read_interview",
    "read_number",
    "read_putter",
    "read_student",
]

_ANSWERS: Final = ("misses", "putter_story", "limits", "notes")


def read_student(typed: Typed, say: Callable[[str], str]) -> Student | None:
    """Read who the student is, without the putter; None where something is wrong.

    Parameters
    ----------
    typed : Typed
    say : callable
        Puts a text into the language of the page.
    """
    handed = typed.choice("handed", ("right", "left"), needed=say("Say which way the student putts."))
    stature = typed.read("stature", read_length_cm, needed=say("Type the height with its unit, like 178cm or 5ft10in."))
    wrist = typed.read("wrist_floor", read_length_cm)
    if handed is None or stature is None:
        return None
    student = typed.check(
        "stature",
        _check,
        stature_cm=stature,
        handed=cast(Handed, handed),
        name=typed.text("name") or None,
        sex=cast(Sex | None, typed.choice("sex", ("female", "male"))),
    )
    if student is not None and wrist is not None:
        student = typed.check("wrist_floor", _check_with, student, wrist_floor_cm=wrist)
    return student if typed else None


def read_number(text: str) -> int:
    """Read the number of a student of the archive.

    Parameters
    ----------
    text : str

    Raises
    ------
    UsageError
    """
    if not text.isascii() or not text.isdecimal() or len(text) > 18:
        raise UsageError(f"{text!r} is no number of a student. Choose the student from the list.")
    return int(text)


def read_putter(typed: Typed, student: Student) -> Student | None:
    """Read the putter in use; None where something is wrong.

    Parameters
    ----------
    typed : Typed
    student : Student
    """
    length = typed.read("putter_length", read_length_cm)
    lie = typed.read("putter_lie", read_degrees)
    with_putter = typed.check("putter_length", _check_with, student, putter_length_cm=length)
    if with_putter is not None:
        with_putter = typed.check("putter_lie", _check_with, with_putter, putter_lie_deg=lie)
    return with_putter if typed else None


def read_consent(typed: Typed, *, today: date) -> GivenConsent | None:
    """Read a consent that was given; None where none was typed, or something is wrong with its day.

    Parameters
    ----------
    typed : Typed
    today : date
        Taken where no day was typed.
    """
    scopes = tuple(each for each in SCOPES if each in typed.chosen("scopes"))
    given_by = typed.text("given_by")
    if not scopes and not given_by:
        return None
    given_on = typed.read("given_on", read_day)
    return GivenConsent(
        scopes=scopes,
        given_on=given_on or today,
        given_by=given_by,
        relation="guardian" if typed.ticked("guardian") else "self",
        note=typed.text("consent_note"),
    )


def read_interview(typed: Typed) -> Interview:
    """Read what the student said.

    Parameters
    ----------
    typed : Typed
    """
    return Interview(
        **{name: typed.text(name) for name in _ANSWERS},
        weak_putts=cast(WeakPutts | None, typed.choice("weak_putts", WEAK_PUTTS)),
    )


def fill_student(student: Student) -> dict[str, str]:
    """Return what is known of a student as it would be typed.

    Parameters
    ----------
    student : Student
    """
    lengths = {
        "stature": student.stature_cm,
        "wrist_floor": student.wrist_floor_cm,
        "putter_length": student.putter_length_cm,
    }
    known = {
        name: f"{value:.2f}".rstrip("0").rstrip(".") + "cm" for name, value in lengths.items() if value is not None
    }
    if student.putter_lie_deg is not None:
        known["putter_lie"] = f"{student.putter_lie_deg:g}"
    return {"name": student.name or "", "handed": student.handed, "sex": student.sex or "", **known}


def fill_interview(interview: Interview) -> dict[str, str]:
    """Return what was said as it would be typed.

    Parameters
    ----------
    interview : Interview
    """
    return {**{name: getattr(interview, name) for name in _ANSWERS}, "weak_putts": interview.weak_putts or ""}


def _check(**known: object) -> Student:
    return check_student(Student(**known))  # type: ignore[arg-type]


def _check_with(student: Student, **more: Any) -> Student:
    return check_student(evolve(student, **more))
