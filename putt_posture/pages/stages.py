"""The page of several lessons side by side: the way from the first setup to the last, as HTML and as A4."""

from collections.abc import Iterator, Mapping, Sequence
from datetime import date
from typing import Final

import attrs
from attrs import field, frozen

from putt_posture.documents.comparison_json import ChangeRow, change_rows
from putt_posture.drawing.colours import PART_COLOURS
from putt_posture.drawing.side_by_side import cut_alike
from putt_posture.figures import format_day, format_stature
from putt_posture.measures import MEASURES
from putt_posture.measures.saying import say_value
from putt_posture.pages.change_counts import say_counts
from putt_posture.pages.comparison import HOW, NEITHER_GOOD_NOR_BAD, ComparedSource, source_of
from putt_posture.pages.setting import NAMELESS, Fact, Paper, Plate, as_typed, as_uri, ending_of, render_page, typeset
from putt_posture.shown import join_words
from putt_posture.values import VIEW_TITLES, VIEWS, LessonRecord, MeasureName, Picture, Stage, Stages, View
from putt_posture.wording import CAUTIONS, FACES, FACES_HIDDEN

__all__ = [
    "FIRST_AND_LAST",
    "StageText",
    "StagesPictures",
    "StagesReport",
    "describe_stages",
    "draw_stages",
    "stages_as_html",
    "stages_as_pdf",
    "write_stages",
]

MOST_SHOWN: Final = 3
"""Numbers under a still."""
WIDE_PX: Final = 560
"""Width of each still: sharp where two stand side by side on a phone, and on paper."""
EACH_ALONE: Final = (
    "Each step is compared with the one before it, and the last with the first, each by the same rule as any two "
    "lessons. The more steps there are, the more often one of them names a change by chance."
)
FIRST_AND_LAST: Final = "in the first and in the last"
ONE_DAY: Final = "A setup that is held for a moment in a lesson is not yet a habit: film again on another day."


@frozen(kw_only=True)
class ShownNumber:
    """A number under a still: its name, what it was, and the views that show it."""

    name: str
    says: str
    views: tuple[View, ...]


@frozen(kw_only=True)
class StageText:
    """One of the lessons.

    Attributes
    ----------
    number : int
        Its place, from 1.
    title : str
        The step of the rebuild, or what else there is to call it.
    how : str
        When and how it was filmed.
    numbers : tuple of ShownNumber
        What moved on the whole way, as it was here; three at most.
    says : str
        What moved since the one before; empty for the first.
    """

    number: int
    title: str
    how: str
    numbers: tuple[ShownNumber, ...]
    says: str


@frozen(kw_only=True)
class StagePlate(Plate):
    """A still with its numbers."""

    numbers: tuple[ShownNumber, ...]


@frozen(kw_only=True)
class ViewRow:
    """The stills of one view in order."""

    title: str
    caption: str
    plates: tuple[StagePlate, ...]


@frozen(kw_only=True, eq=False)
class StagesPictures:
    """What is drawn.

    Attributes
    ----------
    stills : mapping of file name without ending to (H, W, 3) uint8
        RGB, all of one view at one scale, the ground and the feet at the same place.
    rows : tuple of ViewRow
    missing : tuple of str
        Sentences on what could not be drawn.
    """

    stills: dict[str, Picture] = field(repr=False)
    rows: tuple[ViewRow, ...]
    missing: tuple[str, ...]


@frozen(kw_only=True)
class StagesReport:
    """The text of the page, from top to bottom.

    Attributes
    ----------
    student : str
    line : str
        How many steps, and when, in one line.
    facts : tuple of Fact
    summary : str
        How many measures changed from the first to the last.
    changed, maybe : tuple of ChangeRow
        From the first to the last.
    stages : tuple of StageText
    rows : tuple of ViewRow
    missing : tuple of str
    one_day, neither : str
    how, warnings, cautions : tuple of str
    sources : tuple of ComparedSource
    """

    student: str
    line: str
    facts: tuple[Fact, ...]
    summary: str
    changed: tuple[ChangeRow, ...]
    maybe: tuple[ChangeRow, ...]
    stages: tuple[StageText, ...]
    rows: tuple[ViewRow, ...]
    missing: tuple[str, ...]
    one_day: str
    neither: str
    how: tuple[str, ...]
    warnings: tuple[str, ...]
    cautions: tuple[str, ...]
    sources: tuple[ComparedSource, ...]


def describe_stages(stages: Stages) -> list[StageText]:
    """Return the words for each lesson: its title, what moved most on the whole way, what moved since the one before.

    Parameters
    ----------
    stages : Stages
    """
    shown = _choose_shown(stages)
    texts = []
    for number, stage in enumerate(stages.stages, start=1):
        record = stage.lesson.record
        day = format_day(record.made_on) if record.made_on else ""
        putter = "without a putter" if record.without_putter else ""
        texts.append(
            StageText(
                number=number,
                title=as_typed(record.step) if record.step else _call(record),
                how=", ".join(each for each in (day, putter) if each),
                numbers=tuple(_numbers(stage, shown)),
                says="" if stage.moved is None else _say_moved(change_rows(stage.moved)),
            )
        )
    return texts


def draw_stages(stages: Stages) -> StagesPictures:
    """Draw the stills of each view at one scale, as far as the lessons were kept with pictures.

    Parameters
    ----------
    stages : Stages
    """
    stills: dict[str, Picture] = {}
    rows, missing = [], list(stages.says)
    texts = describe_stages(stages)
    for view in VIEWS:
        places = [place for place, stage in enumerate(stages.stages) if view in stage.lesson.views]
        missing += _say_missing(stages, view)
        if len(places) < 2:
            continue
        cut = cut_alike([stages.stages[place].lesson.views[view] for place in places], wide_px=WIDE_PX)
        if cut is None:
            missing.append(f"{VIEW_TITLES[view]} scale, ground or feet are not known, so nothing is laid together.")
            continue
        named = [(f"{view}_{place + 1}", texts[place]) for place in places]
        stills |= {name: picture for (name, _), picture in zip(named, cut.with_ground(), strict=True)}
        high, wide = cut.pictures[0].shape[:2]
        plates = tuple(_plate(name, text, view, aspect=wide / high) for name, text in named)
        rows.append(ViewRow(title=VIEW_TITLES[view], caption=_CAPTION, plates=plates))
    return StagesPictures(stills=stills, rows=tuple(rows), missing=tuple(dict.fromkeys(missing)))


def write_stages(stages: Stages, *, pictures: StagesPictures, made_on: date | None = None) -> StagesReport:
    """Return the text of the page.

    Parameters
    ----------
    stages : Stages
    pictures : StagesPictures
    made_on : date, optional
        The day to print; none is printed where it is not given.
    """
    rows = change_rows(stages.whole)
    records = [stage.lesson.record for stage in stages.stages]
    names = [each.student.name for each in records if each.student.name]
    days = {each.made_on for each in records}
    texts = describe_stages(stages)
    return StagesReport(
        student=as_typed(names[-1] if names else NAMELESS),
        line=_say_in_a_line(stages),
        facts=_facts(stages, made_on),
        summary=say_counts(rows, taken=FIRST_AND_LAST),
        changed=tuple(row for row in rows if row.real),
        maybe=tuple(row for row in rows if row.maybe),
        stages=tuple(texts),
        rows=pictures.rows,
        missing=pictures.missing,
        one_day=ONE_DAY if len(days) == 1 else "",
        neither=NEITHER_GOOD_NOR_BAD,
        how=(EACH_ALONE, *HOW),
        warnings=tuple(stages.whole.warnings),
        cautions=CAUTIONS,
        sources=tuple(
            source_of(f"{text.number} {text.title}", stage.lesson)
            for text, stage in zip(texts, stages.stages, strict=True)
        ),
    )


def stages_as_html(report: StagesReport, *, pictures: Mapping[str, bytes]) -> str:
    """Return the text of `steps.html`.

    Parameters
    ----------
    report : StagesReport
    pictures : mapping of plate name to the bytes of a JPEG
        Embedded as data URIs.
    """
    uris = {name: as_uri(picture) for name, picture in pictures.items()}
    return render_page("stages.html.jinja", report=report, pictures=uris)


def stages_as_pdf(
    report: StagesReport, *, pictures: Mapping[str, bytes], made_on: date | None = None, paper: Paper = "a4"
) -> bytes:
    """Return the bytes of `steps.pdf`, stamped with the day of creation where it is given.

    Parameters
    ----------
    report : StagesReport
    pictures : mapping of plate name to the bytes of a JPEG
    made_on : date, optional
        Day that the document carries; none without.
    paper : {"a4", "letter"}
    """
    data = {"report": attrs.asdict(report), "colours": dict(PART_COLOURS)}
    files = {f"{name}.{ending_of(picture)}": picture for name, picture in pictures.items()}
    return typeset("stages.typ", data, pictures=files, made_on=made_on, paper=paper)


_CAPTION: Final = (
    "All at the same scale, upright, the middle of the feet at the same place. The dashed line is the ground."
)
_NO_CHANGE: Final = "Nothing moved by more than the noise."


def _call(record: LessonRecord) -> str:
    """Return what to call a lesson that no step was named for."""
    return "Without a putter" if record.without_putter else "With the putter"


def _choose_shown(stages: Stages) -> list[MeasureName]:
    """Return the measures that moved from the first to the last, the surest of them, in the order of the measures."""
    rows = {row.name: row for row in change_rows(stages.whole)}
    moved = [each for name, each in stages.whole.measures.items() if rows[name].real or rows[name].maybe]
    shown = sorted(moved, key=lambda each: each.chance)[:MOST_SHOWN]
    return sorted((each.name for each in shown), key=lambda name: MEASURES[name].order)


def _numbers(stage: Stage, shown: Sequence[MeasureName]) -> Iterator[ShownNumber]:
    for name in shown:
        estimate = stage.lesson.record.measures[name]
        measure = MEASURES[name]
        says = say_value(measure, estimate, short=True) if estimate else "not measured"
        yield ShownNumber(name=measure.title, says=says, views=measure.views)


def _say_moved(rows: Sequence[ChangeRow]) -> str:
    real = [f"{row.title if not place else row.title.lower()} {row.from_to} (by {row.change})" for place, row in
            enumerate([row for row in rows if row.real][:MOST_SHOWN])]  # fmt: skip
    if real:
        return f"{join_words(real)}."
    if not any(rows):
        return "No measure was taken in both, so nothing can be compared."
    maybe = [row.title for row in rows if row.maybe][:MOST_SHOWN]
    if maybe:
        titles = join_words([maybe[0], *(each.lower() for each in maybe[1:])])
        return f"{titles} may have moved; nothing else did by more than the noise."
    return _NO_CHANGE


def _plate(name: str, text: StageText, view: View, *, aspect: float) -> StagePlate:
    told = "; ".join(f"{each.name.lower()} {each.says}" for each in text.numbers)
    says = f"{VIEW_TITLES[view]}, {text.number} {text.title}{f': {told}' if told else ''}."
    numbers = tuple(each for each in text.numbers if view in each.views)
    return StagePlate(
        file=name, aspect=aspect, title=f"{text.number} {text.title}", caption=told, says=says, numbers=numbers
    )


def _say_missing(stages: Stages, view: View) -> Iterator[str]:
    """Say of each lesson that has the view why there is no picture of it, and of which lessons have it not."""
    bare = [
        str(place)
        for place, stage in enumerate(stages.stages, start=1)
        if view in stage.lesson.record.views and view not in stage.lesson.views and not stage.lesson.says
    ]
    if bare:
        yield f"{VIEW_TITLES[view]} there is no picture of {join_words(bare)}: kept without pictures."
    has = [view in stage.lesson.record.views for stage in stages.stages]
    if any(has) and not all(has):
        lacking = join_words([str(place) for place, there in enumerate(has, start=1) if not there])
        yield f"{lacking} {'was' if has.count(False) == 1 else 'were'} not filmed {VIEW_TITLES[view].lower()}."


def _say_in_a_line(stages: Stages) -> str:
    records = [stage.lesson.record for stage in stages.stages]
    days = list(dict.fromkeys(format_day(each.made_on) for each in records if each.made_on))
    when = "" if not days else f", {days[0]}" if len(days) == 1 else f", {days[0]} to {days[-1]}"
    return f"{len(records)} steps{when}, {records[-1].student.handed}-handed"


def _facts(stages: Stages, made_on: date | None) -> tuple[Fact, ...]:
    records = [stage.lesson.record for stage in stages.stages]
    facts = [Fact(name="Putts", says=f"{records[-1].student.handed}-handed")]
    statures = dict.fromkeys(each.student.stature_cm for each in records)
    facts.append(Fact(name="Height", says=", then ".join(map(format_stature, statures))))
    hidden = [each.faces_hidden for each in records]
    if any(hidden):
        facts.append(Fact(name=FACES, says=FACES_HIDDEN if all(hidden) else "hidden in some of the pictures"))
    if made_on is not None:
        facts.append(Fact(name="Laid side by side", says=format_day(made_on)))
    return tuple(facts)
