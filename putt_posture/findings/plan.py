"""The plan to take home: one finding, its feel, two or three drills, a practice test, and when to film again.

Nothing here promises an effect or a dose: how much practice a changed setup takes is not known. A longer focus on one
thing is common practice; of drills no trial was found that ranks them.
"""

from collections.abc import Sequence
from typing import Final

from attrs import evolve

from putt_posture.findings.coach_file import CoachFile, Fault, load_coach_file
from putt_posture.findings.said import limits_of
from putt_posture.findings.words import say_band_of, say_quantity
from putt_posture.values import Drill, Findings, Interview, Plan
from putt_posture.wording import BACK_CAUTIONS

__all__ = ["make_plan"]

MOST_DRILLS: Final = 3
_TEST: Final = (
    "36 putts, six each from 0.9, 1.5, 3.0, 4.6, 6.1 and 7.6 m (3, 5, 10, 15, 20 and 25 ft). Write down how many were "
    "holed, and for the long ones how far the ball stopped from the hole. Do it today and again at the next lesson. "
    "One test alone says little: of 20 putts, 10 holed may mean anything from 30 to 70 %."
)
"""Robertson and others 2015, Eur. J. Sport Sci. 15:123; the interval is Wilson's for 10 of 20."""
_FILM_AGAIN: Final = (
    "Film the setup again on another day, about a week from now, before any practice on that day. How long a change "
    "takes to stay is not known and differs between people."
)
_STAND_UP: Final = "Stand up and walk a few steps after every three balls. Stop at pain."
"""Physiotherapists of a professional tour, after a newspaper."""
_KEEP: Final = "Keep this setup"
_KEEP_CHANGE: Final = "Nothing in the setup needs a change by these bands. Look at aim, speed and the stroke."
_KEEP_FEEL: Final = "The same setup, every time."
_KEEP_DRILLS: Final = ("mirror_side", "mirror_down")
_ASK: Final = "Find out more first"


def make_plan(findings: Findings, *, coach: CoachFile | None = None, interview: Interview | None = None) -> Plan:
    """Make the plan for the first finding; to find out more where nothing is certain; or to keep the setup.

    Parameters
    ----------
    findings : Findings
    coach : CoachFile, optional
        The shipped values where it is not given.
    interview : Interview, optional
        What the student said: drills that load a part of the body with pain or a limit are left out.

    Returns
    -------
    Plan
    """
    coach = coach or load_coach_file()
    limits = limits_of(interview)
    first = findings.first
    about = first or (findings.unsure[0] if findings.unsure else None)
    fault = next((each for each in coach.faults if about is not None and each.name == about.name), None)
    keep = Plan(
        works_on=None,
        title=_KEEP,
        change=_KEEP_CHANGE,
        feel=_KEEP_FEEL,
        quantity="",
        now="",
        goal="",
        drills=_drills(_names(fault, coach), coach, limits),
        test=_TEST,
        film_again=_FILM_AGAIN,
        cautions=(_STAND_UP, *BACK_CAUTIONS, *_of_limits(limits)),
    )
    if about is None:
        return keep
    return evolve(
        keep,
        works_on=None if first is None else first.name,
        title=_ASK if first is None else first.title,
        change=f"These clips cannot tell: {about.short}. {about.would_tell}" if first is None else first.change,
        feel=about.feel,
        quantity=about.quantity,
        now=say_quantity(about.quantity, about.estimate),
        goal=say_band_of(about),
    )


def _names(fault: Fault | None, coach: CoachFile) -> tuple[str, ...]:
    if fault is not None:
        return fault.drills
    return tuple(name for name in _KEEP_DRILLS if name in coach.drills)


def _drills(names: Sequence[str], coach: CoachFile, limits: Sequence[str]) -> tuple[Drill, ...]:
    held = (coach.drills[name] for name in names)
    return tuple(drill for drill, loads in held if not set(loads) & set(limits))[:MOST_DRILLS]


def _of_limits(limits: Sequence[str]) -> tuple[str, ...]:
    if not limits:
        return ()
    return ("Ask the doctor or therapist who knows the pain or the limit before you practise a changed setup.",)
