"""What to do first: from the measures of a setup to findings in the coach's order."""

from collections.abc import Mapping, Sequence
from typing import Final

import numpy as np
from attrs import evolve
from scipy.special import ndtri

from putt_posture.figures import format_value
from putt_posture.findings.chain import find_change_on_repeat, find_faults
from putt_posture.findings.coach_file import CoachFile, Fault, load_coach_file
from putt_posture.findings.judging import CERTAIN, Judged, judge_all
from putt_posture.findings.quantities import PUTTER_IN_USE, title_of
from putt_posture.findings.said import compare_with_said, limits_of
from putt_posture.shown import begin_lower, join_words
from putt_posture.values import Certainty, Finding, Findings, Fit, Handed, Interview, Posture, Student, side_of

__all__ = ["MOST_SAID", "find_findings"]

MOST_SAID: Final = 3
"""So many findings are said; a student can work on few things (common practice)."""
_WORTH_SAYING: Final = 0.5
"""What is less likely than this to lie outside is not mentioned as uncertain (judged)."""
_FAR: Final = 40.0
"""Standard uncertainties; further than this makes no difference."""


def find_findings(
    posture: Posture,
    fit: Fit,
    student: Student,
    *,
    coach: CoachFile | None = None,
    interview: Interview | None = None,
) -> Findings:
    """Find what to do first.

    Parameters
    ----------
    posture : Posture
    fit : Fit
        For the suggested putter and the tilt that the wanted setup takes.
    student : Student
    coach : CoachFile, optional
        The shipped values where it is not given.
    interview : Interview, optional
        What the student said. Nothing is asked for that loads a part of the body with pain or a limit.

    Returns
    -------
    Findings
    """
    coach = coach or load_coach_file()
    limits = limits_of(interview)
    judged = judge_all(posture, fit, student, coach)
    names = list(judged)
    beyond = np.array([[_beyond(fault, judged[name]) for name in names] for fault in coach.faults])
    certain = np.array([_probability(fault, judged) for fault in coach.faults])
    counts = find_faults(certain, coach.faults)
    found = [
        _write(fault, judged, chance, "found" if chance >= CERTAIN else "likely", limits=limits, student=student)
        for fault, chance, is_found in zip(coach.faults, certain, counts, strict=True)
        if is_found
    ]
    found = _link(found, coach.faults)
    unsure = [
        _write(fault, judged, chance, "unsure", limits=limits, student=student)
        for fault, chance, is_found in zip(coach.faults, certain, counts, strict=True)
        if not is_found and chance >= _WORTH_SAYING
    ]
    own = np.array([_own_share(each) for each in judged.values()])
    return Findings(
        lead=_lead(found, unsure, judged),
        found=tuple(found),
        unsure=tuple(sorted(unsure, key=lambda each: -each.probability)),
        within=tuple(title_of(name) for name, each in judged.items() if each.lies == "within"),
        not_judged=tuple(
            (title_of(name), each.estimate.absent or "") for name, each in judged.items() if not each.estimate
        ),
        change_on_repeat=find_change_on_repeat(beyond, coach.faults, own=own),
        said=compare_with_said(found, coach.faults, interview, handed=student.handed),
        about=coach.about,
    )


def _probability(fault: Fault, judged: Mapping[str, Judged]) -> float:
    """Return the probability that the fault is there: of its bands the one that is left most surely."""
    chances = [_chance(fault, judged[band]) for band in fault.bands if judged[band].estimate]
    return max(chances, default=0.0)


def _chance(fault: Fault, judged: Judged) -> float:
    return judged.below if fault.side == "below" else judged.above


def _beyond(fault: Fault, judged: Judged) -> float:
    """Return how far a quantity lies beyond its band on the fault's side, in standard uncertainties."""
    if judged.quantity not in fault.bands or not judged.estimate:
        return -np.inf
    return float(np.clip(ndtri(_chance(fault, judged)), -_FAR, _FAR))


def _own_share(judged: Judged) -> float:
    if not judged.estimate or judged.sd == 0:
        return 0.0
    return judged.estimate.standard_uncertainty / judged.sd


def _write(
    fault: Fault,
    judged: Mapping[str, Judged],
    chance: float,
    certainty: Certainty,
    *,
    limits: Sequence[str],
    student: Student,
) -> Finding:
    shown = max((judged[band] for band in fault.bands if judged[band].estimate), key=lambda each: _chance(fault, each))
    places = _places(fault, shown, student.handed)
    forbidden = tuple(part for part in fault.loads if part in limits)
    return Finding(
        name=fault.name,
        short=fault.short,
        title=fault.title.format(**places),
        then=fault.then.format(**places),
        certainty=certainty,
        quantity=shown.quantity,
        estimate=shown.estimate,
        wanted=shown.wanted,
        low=shown.low,
        high=shown.high,
        band_source=shown.source,
        probability=float(chance),
        because=fault.because.format(**places),
        ball=fault.ball.format(**places),
        source=fault.source,
        change=(fault.instead if forbidden else fault.change).format(**places),
        limits=forbidden,
        feel=fault.feel.format(**places),
        would_tell=_would_tell(shown, student) if certainty == "unsure" else "",
    )


def _places(fault: Fault, judged: Judged, handed: Handed) -> dict[str, str]:
    unit = judged.estimate.unit
    wanted = judged.wanted
    near = wanted.value if wanted is not None else judged.low if fault.side == "below" else judged.high
    lead, trail = side_of("lead", handed), side_of("trail", handed)
    return {
        "value": format_value(abs(judged.estimate.value), unit),
        "wanted": "" if near is None else format_value(near, unit),
        "off": "" if near is None else format_value(abs(judged.estimate.value - near), unit),
        "pull": f"to the {lead}",
        "push": f"to the {trail}",
        "lead": lead,
        "trail": trail,
    }


def _link(found: Sequence[Finding], faults: Sequence[Fault]) -> list[Finding]:
    """Say of each finding which others lead to it, and which it leads to."""
    names = [each.name for each in found]
    leads = {fault.name: [name for name in fault.leads_to if name in names] for fault in faults if fault.name in names}
    return [
        evolve(
            each,
            causes=tuple(name for name in names if each.name in leads[name]),
            effects=tuple(leads[each.name]),
            because=each.because if leads[each.name] else "",
        )
        for each in found
    ]


def _lead(found: Sequence[Finding], unsure: Sequence[Finding], judged: Mapping[str, Judged]) -> str:
    if found:
        first = found[0]
        follow = [each.then for each in _effects_of(first, found)]
        if not follow:
            return f"Start here: {begin_lower(first.title)}."
        return f"Start here: {begin_lower(first.title)}. It may be why {join_words(follow)}."
    if not any(each.estimate for each in judged.values()):
        return "None of the numbers that have a band could be measured."
    if unsure:
        return (
            "Nothing lies certainly outside your bands. These clips cannot tell: "
            f"{join_words([each.short for each in unsure[:MOST_SAID]])}."
        )
    return "Nothing was found that lies outside your bands. Keep this setup, and look at aim, speed and the stroke."


def _effects_of(first: Finding, found: Sequence[Finding]) -> list[Finding]:
    """Return all findings that follow from one, in the coach's order."""
    reached = {first.name}
    for each in found:
        if reached & set(each.causes):
            reached.add(each.name)
    return [each for each in found if each.name in reached and each is not first]


def _would_tell(judged: Judged, student: Student) -> str:
    """Say what would make a number more certain: its largest cause of uncertainty, and how to look by eye."""
    if judged.quantity == PUTTER_IN_USE:
        return judged.by_eye if student.putter_length_cm is None else _MORE_OF_BODY
    budget = judged.estimate.budget
    largest = max(budget, key=lambda name: budget[name], default="")
    more = _MORE.get(largest, "")
    if not more and judged.estimate.unit == "cm" and student.putter_length_cm is None:
        more = _SCALE
    if not more and len(judged.estimate.repeats) < 3:
        more = _THREE
    return f"{more} {judged.by_eye}".strip()


_SCALE: Final = "Type the putter's length, or put a known length into the picture."
_THREE: Final = "Film three setups."
_MORE_OF_BODY: Final = "Measure from the floor to the wrist crease, standing barefoot: the suggested length gets surer."
_MORE: Final = {
    "scale": _SCALE,
    "camera roll": "Film with the phone upright, or give the camera's roll.",
    "scatter of the frames": _THREE,
    "scatter of the setups": _THREE,
    "camera off square": "Set the camera square to the student and film again.",
}
