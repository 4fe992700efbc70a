"""Which step of the coach's list somebody means: "shoulders back", "elbows on the ribs", "knees"."""

from typing import Final

from putt_posture.errors import UsageError
from putt_posture.findings.coach_file import CoachFile, Step
from putt_posture.shown import join_words
from putt_posture.values.checks import check_text

__all__ = ["find_step_title"]

_SMALL: Final = frozenset({"a", "an", "and", "at", "of", "on", "the", "to", "from", "in"})
"""Words that do not tell one step from another."""


def find_step_title(said: str, coach: CoachFile) -> str:
    """Return the title of the step that is meant.

    A step is meant by its name, by its title, or by words that are in the name or the title of no other step.

    Parameters
    ----------
    said : str
    coach : CoachFile
        Of the steps that there are.

    Raises
    ------
    UsageError
        If no step is meant, or more than one.
    """
    check_text(said, "step")
    words = _words(said)
    for among in (_same, _in_name, _in_either):
        meant = [step for step in coach.steps if words and among(words, step)]
        if len(meant) == 1:
            return meant[0].title
        if meant:
            break
    names = join_words([step.name.replace("_", " ") for step in meant or coach.steps])
    if meant:
        raise UsageError(f"The step {said!r} can be {names}. Say which.")
    raise UsageError(f"There is no step {said!r} in the coach's list. It has: {names}.")


def _words(text: str) -> frozenset[str]:
    return frozenset(text.casefold().replace("_", " ").split()) - _SMALL


def _same(words: frozenset[str], step: Step) -> bool:
    return words in (_words(step.name), _words(step.title))


def _in_name(words: frozenset[str], step: Step) -> bool:
    return words <= _words(step.name)


def _in_either(words: frozenset[str], step: Step) -> bool:
    return words <= _words(step.name) | _words(step.title)
