"""What the student said, as pages and terminal show it: the answers by title, and what was understood of them.

Pain and limits are health data. So the words stand in a folded part of the coach's page, and neither in the PDF nor on
the pages that compare lessons. A finding that a limit changes names the part of the body and no more.
"""

from collections.abc import Mapping
from typing import Final

from attrs import fields

from putt_posture.figures import format_putt
from putt_posture.pages.setting import Fact, as_typed
from putt_posture.shown import begin_upper, join_words
from putt_posture.values import BodyPart, Handed, Interview, Miss, MissSide, WeakPutts

__all__ = ["answers_of", "say_understood"]

_TITLES: Final = {
    "misses": "Misses",
    "weak_putts": "Weak putts",
    "putter_story": "How the putter was chosen",
    "limits": "Pain and limits",
    "notes": "Notes",
}
_WEAK: Final[Mapping[WeakPutts, str]] = {
    "short": "short putts",
    "lag": "lag putts",
    "both": "short and lag putts",
}
_SIDES: Final[Mapping[MissSide, str]] = {
    "left": "to the left",
    "right": "to the right",
    "both": "to both sides",
    "short": "short of the hole",
    "long": "past the hole",
}
_PARTS: Final[Mapping[BodyPart, str]] = {"wrist": "wrist or hand", "hip": "hip or thigh", "ankle": "ankle or foot"}
"""Parts that stand for more than their name."""


def answers_of(interview: Interview) -> tuple[Fact, ...]:
    """Return the answers that were given, word for word, each with its title.

    Parameters
    ----------
    interview : Interview
    """
    said = {each.name: getattr(interview, each.name) for each in fields(Interview)}
    if interview.weak_putts is not None:
        said["weak_putts"] = _WEAK[interview.weak_putts].capitalize()
    return tuple(Fact(name=title, says=as_typed(said[name])) for name, title in _TITLES.items() if said[name])


def say_understood(interview: Interview, *, handed: Handed) -> tuple[str, ...]:
    """Say what was understood of the answers, and which words were not read.

    Parameters
    ----------
    interview : Interview
    handed : Handed
        Which way the student putts.

    Returns
    -------
    tuple of str
        One sentence or two, so that the coach sees a slip; none where nothing was said that is read.

    Examples
    --------
    >>> say_understood(Interview(misses="left and right under 2 m", limits="bad back"), handed="right")
    ('Understood: misses to both sides, under 2 m (6.6 ft). Limits: back.',)
    >>> say_understood(Interview(misses="depends", limits="none"), handed="right")
    ('Understood: no limits.', 'Not understood, and kept as words: "depends".')
    """
    misses, limits = interview.read_misses(handed), interview.body_limits
    unread_misses, unread_limits = interview.unread_misses(handed), interview.unread_limits
    parts = []
    if misses:
        parts.append(f"misses {'; '.join(map(_say_miss, misses))}")
    elif interview.misses.strip() and not unread_misses:
        parts.append("no misses")
    if interview.weak_putts is not None:
        parts.append(f"weak: {_WEAK[interview.weak_putts]}")
    if limits:
        parts.append(f"limits: {', '.join(_PARTS.get(each.part, each.part) for each in limits)}")
    elif interview.limits.strip() and not unread_limits:
        parts.append("no limits")
    first, *others = parts or [""]
    said = [f"Understood: {'. '.join([first, *(begin_upper(each) for each in others)])}."] if first else []
    if unread := (*unread_misses, *unread_limits):
        quoted = [f'"{each}"' for each in unread]
        said.append(f"Not understood, and kept as words: {join_words(quoted)}.")
    return tuple(said)


def _say_miss(miss: Miss) -> str:
    said = _SIDES[miss.side]
    if miss.putts is not None:
        said += f" on {miss.putts} putts"
    under, over = miss.under_cm, miss.over_cm
    if under is not None and over is not None:
        length = f"from {format_putt(over)}" + ("" if under == over else f" to {format_putt(under)}")
    elif under is not None:
        length = f"under {format_putt(under)}"
    elif over is not None:
        length = f"over {format_putt(over)}"
    else:
        return said
    return f"{said}, {length}"
