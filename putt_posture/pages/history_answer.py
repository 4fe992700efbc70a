"""Did it stick? The answer of a student's history in plain words, and the measures behind it."""

from collections.abc import Mapping
from typing import Final

from attrs import frozen

from putt_posture import figures
from putt_posture.documents.json_values import plain
from putt_posture.figures import count_of, format_day, format_margin
from putt_posture.history import Course, Verdict
from putt_posture.measures import MEASURES, Part
from putt_posture.shown import join_words
from putt_posture.values import Estimate, History, MeasureChange, MeasureName

__all__ = ["CHANCE_OF_BACK", "Answer", "AnswerGroup", "AnswerRow", "format_change", "write_answer"]

_MADE: Final[tuple[Verdict, ...]] = ("back", "held", "further", "unsure")
"""Verdicts of measures that the rebuild changed."""
_GROUPS: Final[tuple[tuple[Verdict, str, str], ...]] = (
    ("back", "Went back since the rebuild", "By more than the noise, toward the setup of the first visit."),
    (
        "held",
        "Held since the rebuild",
        "Changed by the rebuild, and the 95 % interval excludes that half of it or more is gone; less may be.",
    ),
    (
        "unsure",
        "Not certain yet",
        "Changed by the rebuild; it is not certain whether it went back or whether at least half of it is still there. "
        "Three setups or more in each clip, and the same camera place, make it certain sooner.",
    ),
    ("further", "Went on the same way", "Changed by the rebuild, and changed further since."),
    ("moved", "Moved since, though the rebuild had left it", "By more than the noise."),
    ("open", "Rebuilt, not looked at since", "A later look will tell whether it holds."),
)
_SHOWN_OPEN: Final = "open"
ALL_OR_PART: Final = " (part of the way or all of it)"
CHANCE_OF_BACK: Final = (
    "Where all that was rebuilt held, chance alone lists any measure as gone back in at most 1 of 20 histories."
)
CHANCE_OF_HELD: Final = "Where half of a change is gone, chance alone lists it as held in at most 1 of 20."
"""Shown by tests/changes/claims_study.py."""


@frozen(kw_only=True)
class AnswerRow:
    """One measure: its title, its part of the body, and what became of it."""

    title: str
    part: Part
    says: str


@frozen(kw_only=True)
class AnswerGroup:
    """Measures of which the same can be said."""

    title: str
    says: str
    rows: tuple[AnswerRow, ...]


@frozen(kw_only=True)
class Answer:
    """The answer, from top to bottom.

    Attributes
    ----------
    headline : str
        A few words.
    sentences : tuple of str
    groups : tuple of AnswerGroup
        Those with measures in them, only.
    untold : AnswerGroup
        What is not certain, and why; it may be empty.
    """

    headline: str
    sentences: tuple[str, ...]
    groups: tuple[AnswerGroup, ...]
    untold: AnswerGroup


def write_answer(history: History, courses: Mapping[MeasureName, Course]) -> Answer:
    """Return the answer for a history and its courses.

    Parameters
    ----------
    history : History
    courses : Mapping[MeasureName, Course]
        By measure.
    """
    headline, sentences = _headline(history, courses)
    groups = []
    for verdict, title, says in _GROUPS:
        found = [course for course in courses.values() if course.verdict == verdict and _worth_a_row(course)]
        if found:
            rows = tuple(_row(course, _what_became(history, course)) for course in found)
            groups.append(AnswerGroup(title=title, says=says, rows=rows))
    untold = [(course, reason) for course in courses.values() if (reason := _why_untold(history, course, courses))]
    return Answer(
        headline=headline,
        sentences=sentences,
        groups=tuple(groups),
        untold=AnswerGroup(
            title="Not certain",
            says="These measures are missing where they would be needed.",
            rows=tuple(_row(course, reason) for course, reason in untold),
        )
        if len(history.visits) > 1
        else AnswerGroup(title="Not certain", says="", rows=()),
    )


def format_change(change: MeasureChange) -> str:
    """Write a present change with its margin and sign.

    Parameters
    ----------
    change : MeasureChange
    """
    before, after = change.before.value, change.after.value
    return _unbroken(figures.format_change(before, after, margin=change.change.margin, unit=change.change.unit))


def _headline(history: History, courses: Mapping[MeasureName, Course]) -> tuple[str, tuple[str, ...]]:
    visits = history.visits
    if not visits:
        return "No lesson yet", ("There is nothing to compare.",)
    if len(visits) == 1:
        return "One visit so far", ("There is nothing to compare it with yet. The next visit will tell.",)
    rebuilt = [visit for visit in visits if visit.moment == "after"]
    since_first = _say_since_first(courses)
    if not rebuilt:
        return "No rebuilt setup yet", (
            "No visit shows a setup that was rebuilt, so it is not known whether it held.", since_first,
        )  # fmt: skip
    if rebuilt[-1] is visits[-1]:
        return "Not measured again yet", (
            f"The latest visit, {format_day(visits[-1].day)}, shows the setup as it was rebuilt. A later visit will "
            "tell whether it sticks.",
            since_first,
        )
    headline, sentences = _say_whether_it_stuck(courses, since=format_day(rebuilt[-1].day))
    return headline, (*sentences, since_first)


def _say_whether_it_stuck(courses: Mapping[MeasureName, Course], *, since: str) -> tuple[str, tuple[str, ...]]:
    """Return the headline and its sentences; both follow the counts."""
    by = {verdict: sum(course.verdict == verdict for course in courses.values()) for verdict in _MADE}
    made, back, unsure = sum(by.values()), by["back"], by["unsure"]
    if made == 0:
        return "Nothing to hold", (
            f"The rebuild of {since} changed nothing by more than the noise that was looked at again.",
        )
    kept = made - back - unsure
    counts = [(back, f"went back by more than the noise{ALL_OR_PART if back else ''}"), (kept, "held")]
    said = [f"{count} {what}" for count, what in counts if count]
    if unsure:
        said.append("none is certain yet" if unsure == made else f"of {unsure} it is not certain yet")
    sentences = (
        f"Of the {count_of(made, 'measure')} that the rebuild of {since} changed against the first visit and that were "
        f"seen again, {join_words(said)}.",
        CHANCE_OF_BACK,
        *([CHANCE_OF_HELD] if kept else []),
    )
    return _name_outcome(made=made, back=back, kept=kept), sentences


def _name_outcome(*, made: int, back: int, kept: int) -> str:
    if back == made:
        return "It went back"
    if back:
        return "Most of it went back" if 2 * back > made else "Part of it went back"
    if kept == made:
        return "So far it stuck"
    return f"Held so far in {kept} of {made}" if kept else "Not certain yet"


def _say_since_first(courses: Mapping[MeasureName, Course]) -> str:
    posture = (course for course in courses.values() if course.verdict != "club")
    told = [course for course in posture if course.since_first is not None and course.since_first.change]
    real = [MEASURES[course.name].title for course in told if course.since_first and course.since_first.real]
    if not told:
        return "No measure was taken at two visits."
    if not real:
        return f"Since the first visit none of {count_of(len(told), 'measure')} changed by more than the noise."
    listed = ", ".join(title[:1].lower() + title[1:] for title in real)
    return (
        f"Since the first visit {len(real)} of {count_of(len(told), 'measure')} changed for real: {listed}. "
        "Chance alone names any of them in at most 1 of 20 histories."
    )


def _worth_a_row(course: Course) -> bool:
    """Whether the rebuild changed a measure, where that is all that can be said of it."""
    return course.verdict != _SHOWN_OPEN or bool(course.by_rebuild and course.by_rebuild.real)


def _row(course: Course, says: str) -> AnswerRow:
    measure = MEASURES[course.name]
    return AnswerRow(title=measure.title, part=measure.part, says=says)


def _what_became(history: History, course: Course) -> str:
    parts = []
    if course.by_rebuild is not None and course.by_rebuild.change:
        parts.append(f"Rebuild: {format_change(course.by_rebuild)}.")
    if course.since_rebuilt is not None and course.since_rebuilt.change:
        since = course.since_rebuilt
        until = "" if course.latest == len(history.visits) - 1 else f" until {_day(history, course.latest)}"
        parts.append(
            f"Since then{until}: {format_change(since)} (from {_figure(since.before)} to {_figure(since.after)})."
        )
    return " ".join(parts)


def _why_untold(history: History, course: Course, courses: Mapping[MeasureName, Course]) -> str:
    verdicts = {each.verdict for each in courses.values()}
    if course.verdict == "untold":
        last = history.visits[-1].measured.measures.get(course.name) if history.visits else None
        reason = plain(last.absent or "") if last is not None else ""
        taken = "at one visit only" if course.first is not None else "at no visit"
        return f"Measured {taken}.{' Latest visit: ' + reason if reason else ''}"
    if course.verdict == "unrebuilt" and any(visit.moment == "after" for visit in history.visits):
        return "Not measured at a visit that shows the rebuilt setup."
    if course.verdict == "open" and verdicts & {*_MADE, "moved", "steady"}:
        return f"Not measured since the rebuild of {_day(history, course.rebuilt)}."
    since = course.since_rebuilt or course.since_first
    return plain(since.change.absent or "") if since is not None and not since.change else ""


def _day(history: History, place: int | None) -> str:
    return "" if place is None else format_day(history.visits[place].day)


def _figure(estimate: Estimate) -> str:
    return _unbroken(format_margin(estimate))


def _unbroken(figure: str) -> str:
    """Keep a number and its margin on one line."""
    return figure.replace(" ", "\N{NO-BREAK SPACE}")
