"""Where practice tests agree or disagree with the findings and with what the student said.

A test shows which putts were missed, and not why. So nothing here changes a finding or its place.
"""

from collections.abc import Iterator, Sequence
from typing import Final

from putt_posture.figures import format_day, format_number, format_putt
from putt_posture.findings.coach_file import CoachFile, load_coach_file
from putt_posture.findings.said import DISTANCE, LOOK_ELSEWHERE
from putt_posture.shown import join_words
from putt_posture.values import Finding, Interview, Practised, PuttRange

__all__ = ["compare_with_practice"]

_NO_BREAK: Final = "\N{NO-BREAK SPACE}"
_NOT_WHY: Final = "A test shows which putts were missed, and not why; the professionals are there to compare with."
_LONG_TELL_LITTLE: Final = (
    "Few long putts are holed by any player, so write down how far from the hole each of them stopped, too."
)
_OTHER: Final = {"short": "long", "long": "short"}
_SHOWS_ON: Final = {"short": ("short",), "lag": ("long",), "both": ("short", "long")}
_SAID: Final = {"short": "short putts", "lag": "long putts", "both": "short and long putts"}


def compare_with_practice(
    found: Sequence[Finding],
    practised: Practised | None,
    *,
    coach: CoachFile | None = None,
    interview: Interview | None = None,
) -> tuple[str, ...]:
    """Say where practice tests agree or disagree with the findings and with what the student said.

    Parameters
    ----------
    found : sequence of Finding
        What was found in the lesson.
    practised : Practised or None
        The tests that count for it.
    coach : CoachFile, optional
        Says on which putts a fault shows; the shipped values where it is not given. A fault that is not in it counts
        as showing on all putts.
    interview : Interview, optional
        What the student said; which putts they find hardest.

    Returns
    -------
    tuple of str
        Sentences; empty without a test.
    """
    if practised is None:
        return ()
    coach = coach or load_coach_file()
    return tuple(_sentences(found, practised, coach, None if interview is None else interview.weak_putts))


def _sentences(found: Sequence[Finding], practised: Practised, coach: CoachFile, said: str | None) -> Iterator[str]:
    weak = [each.putts for each in practised.ranges if each.is_weak]
    tested = [each.putts for each in practised.ranges]
    yield f"{_day(practised)}: {'; '.join(map(_range, practised.ranges))}."
    yield _weakness(weak, tested)
    shows = {each.name: each.putts for each in coach.faults}
    yield _of_findings(weak, [putts for each in found for putts in _SHOWS_ON[shows.get(each.name, "both")]])
    if said is not None:
        yield from _of_said(weak, tested, said)
    if "long" in tested and "long" not in weak:
        yield _LONG_TELL_LITTLE
    yield _NOT_WHY


def _day(practised: Practised) -> str:
    last = format_day(practised.last)
    if practised.first == practised.last:
        return f"Practice test of {last}" if practised.tests == 1 else f"{practised.tests} practice tests of {last}"
    return f"{practised.tests} practice tests, {format_day(practised.first)} to {last}"


def _range(each: PuttRange) -> str:
    if each.least_cm == each.most_cm:
        where = f"of {format_putt(each.least_cm)}"
    elif each.putts == "short":
        where = f"up to {format_putt(each.most_cm)}"
    else:
        where = f"from {format_putt(each.least_cm)}"
    interval = f"{_percent(each.low)} to {_percent(each.high)}{_NO_BREAK}%"
    return (
        f"{each.holed} of {each.tried} {each.putts} putts ({where}) were holed, "
        f"{_percent(each.holed / each.tried)}{_NO_BREAK}% ({interval}), where professionals hole "
        f"{_percent(each.usual)}{_NO_BREAK}%"
    )


def _weakness(weak: Sequence[str], tested: Sequence[str]) -> str:
    if len(weak) == 2:
        return "Both lie below the professionals', by more than chance; which of the two is weaker is not certain."
    if not weak:
        which = "Neither of them is" if len(tested) == 2 else "That is not"
        return f"{which} certain to be below the professionals'."
    other = _OTHER[weak[0]]
    rest = f"for the {other} ones that is not certain" if other in tested else f"too few {other} ones were tried"
    return f"The {weak[0]} ones lie below the professionals', by more than chance; {rest}."


def _of_findings(weak: Sequence[str], shows: Sequence[str]) -> str:
    if not shows:
        if weak:
            return f"In the setup nothing was found that may be the reason. {LOOK_ELSEWHERE}"
        return "That fits the setup, in which nothing was found."
    may = f"What was found may show on {join_words([each for each in _OTHER if each in shows])} putts"
    missing = [each for each in weak if each not in shows]
    if not weak:
        return f"{may}. This test does not show it, but so few putts cannot rule it out."
    if not missing:
        return f"{may}, so the test fits it."
    fits = f", so the {_OTHER[missing[0]]} ones fit it" if len(weak) == 2 else ""
    distance = f" {DISTANCE}" if "long" in missing else ""
    return f"{may}{fits}. It may not be the reason for the {missing[0]} ones.{distance}"


def _of_said(weak: Sequence[str], tested: Sequence[str], said: str) -> Iterator[str]:
    student, hard = f"The student finds {_SAID[said]} hardest", _SHOWS_ON[said]
    untested = [each for each in hard if each not in tested]
    if untested:
        yield f"{student}. Too few {join_words(untested)} ones were tried to tell."
    elif set(hard) == set(weak):
        yield f"{student}, and the test agrees."
    elif set(hard) < set(weak):
        yield f"{student}. The test agrees, and the {_OTHER[hard[0]]} ones are below too."
    elif weak:
        yield f"{student}. In the test it is the {join_words(weak)} ones that are certain to be below."
    else:
        yield f"{student}. The test does not show it."


def _percent(share: float) -> str:
    return format_number(100 * share, decimals=0)
