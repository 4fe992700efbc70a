"""Where the findings and what the student said agree or disagree."""

from collections.abc import Iterator, Mapping, Sequence
from typing import Final

from putt_posture.findings.coach_file import Fault
from putt_posture.findings.quantities import PUTTER_IN_USE
from putt_posture.shown import join_words
from putt_posture.values import Finding, Handed, Interview, Miss, side_of

__all__ = ["DISTANCE", "LOOK_ELSEWHERE", "compare_with_said", "limits_of"]

_WAYS: Final[Mapping[str, str]] = {
    "left": "to the left",
    "right": "to the right",
    "both": "on both sides",
    "short": "short of the hole",
    "long": "past the hole",
}
_SIDES: Final = frozenset({"left", "right", "both"})
LOOK_ELSEWHERE: Final = "Look at aim, speed and the stroke."
_ONE_SIDE: Final = (
    "Misses on one side alone may come from the aim or the face: check the aim with a line on the ball "
    "(common practice)."
)
_EASY_TILT: Final = (
    "The suggested putter is for the wanted tilt. Fit it to the tilt that is easy instead: set tilt_deg under [wanted] "
    "in the coach's file."
)
DISTANCE: Final = (
    "Setup changes little in how far putts roll: of the distance errors of good players, a third came from technique "
    "and most from reading the green (Karlsen and Nilsson 2008)."
)


def limits_of(interview: Interview | None) -> tuple[str, ...]:
    """Return the parts of the body that a student has pain in or a limit of, each once.

    Parameters
    ----------
    interview : Interview or None
    """
    return () if interview is None else tuple(dict.fromkeys(limit.part for limit in interview.body_limits))


def compare_with_said(
    found: Sequence[Finding], faults: Sequence[Fault], interview: Interview | None, *, handed: Handed
) -> tuple[str, ...]:
    """Say where findings and what the student said agree or disagree.

    Parameters
    ----------
    found : sequence of Finding
    faults : sequence of Fault
        Of the coach's file, for the misses that each tends to.
    interview : Interview or None
    handed : Handed

    Returns
    -------
    tuple of str
        Sentences; empty where nothing was said.
    """
    if interview is None:
        return ()
    return tuple(_sentences(found, faults, interview, handed))


def _sentences(
    found: Sequence[Finding], faults: Sequence[Fault], interview: Interview, handed: Handed
) -> Iterator[str]:
    names = {each.name for each in found}
    here = [fault for fault in faults if fault.name in names]
    yield from _of_misses(here, interview.read_misses(handed), handed)
    yield from _of_length(here, interview.weak_putts)
    if interview.putter_story and any(each.quantity == PUTTER_IN_USE for each in found):
        yield f"How the putter was chosen: {_quote(interview.putter_story)}. Its length does not fit this setup."
    if parts := limits_of(interview):
        yield f"The student has a limit: {join_words(parts)}. No change here asks more of it."
    if {"back", "hip"} & set(parts):
        yield _EASY_TILT
    for words in interview.unread_limits:
        yield (
            f"The student said of limits: {_quote(words)}. The program does not know which part of the body that is. "
            "Ask before you change the setup."
        )


def _of_misses(here: Sequence[Fault], misses: Sequence[Miss], handed: Handed) -> Iterator[str]:
    said = _ways(miss.side for miss in misses)
    if not said:
        return
    student = f"The student misses {join_words([_WAYS[way] for way in said])}"
    if not here:
        yield f"{student}, and nothing in the setup was found that explains it. {LOOK_ELSEWHERE}"
        return
    tends = _ways(_turned(way, handed) for fault in here for way in fault.misses)
    may = f"With what was found putts may miss {join_words([_WAYS[way] for way in tends], by='or')}."
    if set(said) & set(tends):
        yield f"{student}. That fits what was found."
    elif "both" in tends and set(said) <= {"left", "right"}:
        yield f"{student} only. {may} {_ONE_SIDE}"
    else:
        yield f"{student}. {may} {_ONE_SIDE if set(said) & _SIDES else DISTANCE}"


def _of_length(here: Sequence[Fault], weak: str | None) -> Iterator[str]:
    shows = {fault.putts for fault in here}
    if weak == "lag" and shows == {"short"}:
        yield f"The student finds long putts hardest. What was found shows most on short ones. {DISTANCE}"
    if weak == "short" and shows and shows <= {"short", "both"}:
        yield "The student finds short putts hardest. That fits what was found."


def _turned(way: str, handed: Handed) -> str:
    """Return the side of a pull or a push for this student."""
    return {"pull": side_of("lead", handed), "push": side_of("trail", handed)}.get(way, way)


def _ways(ways: Iterator[str]) -> list[str]:
    """Return ways to miss, each once; left and right together are both."""
    found = list(dict.fromkeys(ways))
    if {"left", "right"} <= set(found):
        found = ["both", *(way for way in found if way not in {"left", "right"})]
    return list(dict.fromkeys(found))


def _quote(text: str) -> str:
    words = " ".join(text.split()).rstrip(".")
    return f"\N{LEFT DOUBLE QUOTATION MARK}{words}\N{RIGHT DOUBLE QUOTATION MARK}"
