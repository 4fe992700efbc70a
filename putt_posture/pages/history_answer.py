"""Did it stick? The answer of a student's history in plain words, and the measures behind it."""

from collections.abc import Mapping
from typing import Final

from attrs import frozen

from putt_posture import figures
from putt_posture.figures import count_of, format_day, format_margin
from putt_posture.history import Course, Verdict
from putt_posture.measures import MEASURES, Part
from putt_posture.shown import begin_lower, join_words
from putt_posture.shown_units import change_in_shown_unit
from putt_posture.values import Estimate, History, MeasureChange, MeasureName

__all__ = ["CHANCE_OF_BACK", "Answer", "AnswerGroup", "AnswerRow", "format_change", "write_answer"]

_MADE: Final[tuple[Verdict, ...]] = ("back", "held", "further", "unsure")
"""Verdicts of measures that the rebuild changed."""
_GROUPS: Final[tuple[tuple[Verdict, str, str], ...]] = (
    ("back", "Went back since the rebuild", "By more than the noise, toward the setup of the first visit."),
    (
        "held",
        "Held since the rebuild",
        "Changed by the rebuild. The 95 % interval excludes a loss of half or more; a smaller loss is possible.",
    ),
    (
        "unsure",
        "Not certain yet",
        "Changed by the rebuild. It may have gone back, or at least half of the change may still be there. Three or "
        "more setups in each clip, filmed from the same place, give a certain answer sooner.",
    ),
    ("further", "Went further the same way", "Changed by the rebuild, and changed further since."),
    ("moved", "Changed since, but not by the rebuild", "By more than the noise."),
    ("open", "Rebuilt, not measured since", "A later visit will show whether it holds."),
)
_SHOWN_OPEN: Final = "open"
ALL_OR_PART: Final = " (part of the way or all of it)"
CHANCE_OF_BACK: Final = (
    "If everything held, a measure would be listed as gone back by chance in at most 1 of 20 histories."
)
CHANCE_OF_HELD: Final = "If half of a change is lost, it is listed as held by chance in at most 1 of 20."
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
        Measures that are not certain, and why; it may be empty.
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
            says="These measures are missing at a visit where they are needed.",
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
    shown = change_in_shown_unit(change)
    before, after, size = shown.before.value, shown.after.value, shown.change
    return _unbroken(figures.format_change(before, after, margin=size.margin, unit=size.unit))


def _headline(history: History, courses: Mapping[MeasureName, Course]) -> tuple[str, tuple[str, ...]]:
    visits = history.visits
    if not visits:
        return "No lesson yet", ("There is nothing to compare.",)
    if len(visits) == 1:
        return "One visit so far", ("There is nothing to compare it with yet. The next visit will show what changed.",)
    rebuilt = [visit for visit in visits if visit.moment == "after"]
    since_first = _say_since_first(courses)
    if not rebuilt:
        return "No rebuilt setup yet", (
            "No visit shows a rebuilt setup, so it is not known whether one held.", since_first,
        )  # fmt: skip
    if rebuilt[-1] is visits[-1]:
        return "Not measured again yet", (
            f"The latest visit, {format_day(visits[-1].day)}, shows the rebuilt setup. A later visit will show whether "
            "it sticks.",
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
            f"Of the measures that were measured again, the rebuild of {since} changed none by more than the noise.",
        )
    kept = made - back - unsure
    counts = [(back, f"went back by more than the noise{ALL_OR_PART if back else ''}"), (kept, "held")]
    said = [f"{count} {what}" for count, what in counts if count]
    if unsure:
        verb = "is" if unsure == 1 else "are"
        said.append("none is certain yet" if unsure == made else f"{unsure} {verb} not certain yet")
    sentences = (
        f"Of the measures that the rebuild of {since} changed since the first visit, {made} "
        f"{'was' if made == 1 else 'were'} measured again: {join_words(said)}.",
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
    known = [course for course in posture if course.since_first is not None and course.since_first.change]
    real = [MEASURES[course.name].title for course in known if course.since_first and course.since_first.real]
    if not known:
        return "No measure was taken at two visits."
    if not real:
        return f"Since the first visit none of {count_of(len(known), 'measure')} changed by more than the noise."
    listed = ", ".join(begin_lower(title) for title in real)
    return (
        f"Since the first visit {len(real)} of {count_of(len(known), 'measure')} changed for real: {listed}. "
        "If nothing had changed, one would be named by chance in at most 1 of 20 histories."
    )


def _worth_a_row(course: Course) -> bool:
    """Whether a measure gets a row: one that was not measured since only if the rebuild changed it."""
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
        reason = (last.absent or "") if last is not None else ""
        taken = "at one visit only" if course.first is not None else "at no visit"
        return f"Measured {taken}.{' Latest visit: ' + reason if reason else ''}"
    if course.verdict == "unrebuilt" and any(visit.moment == "after" for visit in history.visits):
        return "Not measured at a visit that shows the rebuilt setup."
    if course.verdict == "open" and verdicts & {*_MADE, "moved", "steady"}:
        return f"Not measured since the rebuild of {_day(history, course.rebuilt)}."
    since = course.since_rebuilt or course.since_first
    return (since.change.absent or "") if since is not None and not since.change else ""


def _day(history: History, place: int | None) -> str:
    return "" if place is None else format_day(history.visits[place].day)


def _figure(estimate: Estimate) -> str:
    return _unbroken(format_margin(estimate))


def _unbroken(figure: str) -> str:
    """Keep a number and its margin on one line."""
    return figure.replace(" ", "\N{NO-BREAK SPACE}")
