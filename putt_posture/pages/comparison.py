"""The page of a comparison: its pictures view by view, what it says in order, set as HTML and as A4."""

from collections.abc import Collection, Mapping, Sequence
from datetime import date
from typing import Final, Literal

import attrs
from attrs import field, frozen
from markupsafe import Markup

from putt_posture.documents.comparison_json import ChangeRow, change_rows
from putt_posture.drawing.colours import PART_COLOURS
from putt_posture.drawing.outlines import bar_length, draw_outlines
from putt_posture.drawing.setup_charts import ArcNames, draw_arc_chart
from putt_posture.drawing.side_by_side import cut_halves, draw_side_by_side
from putt_posture.figures import format_day, format_stature
from putt_posture.measures.club import SHAFT_LIE
from putt_posture.measures.trunk import SPINE_TILT
from putt_posture.pages.change_counts import say_counts
from putt_posture.pages.setting import (
    CLIP_SOURCE,
    NAMELESS,
    POLICY,
    SLIDER_POLICY,
    SLIDER_SCRIPT,
    Fact,
    Paper,
    Plate,
    as_typed,
    as_uri,
    ending_of,
    render_page,
    typeset,
)
from putt_posture.pages.stroke_comparison import StrokesTogether, draw_strokes_together, write_strokes_together
from putt_posture.pages.wanted_setup import ArcSection, write_arc_section
from putt_posture.values import VIEW_TITLES, VIEWS, ComparedLesson, Comparison, Picture, View
from putt_posture.wording import CAUTIONS, FACES, FACES_HIDDEN, SCALE_SOURCES, SHOWN_ON

__all__ = [
    "NAMES",
    "ComparedSource",
    "ComparedView",
    "ComparisonReport",
    "Pictures",
    "comparison_as_html",
    "comparison_as_pdf",
    "draw_pictures",
    "source_of",
    "write_comparison",
]

NAMES: Final = ArcNames(before="before", after="after")


@frozen(kw_only=True)
class ComparedView:
    """The plates of one view: both stills in one picture, each by itself at the same scale, and the outlines."""

    title: str
    stills: Plate
    before: Plate
    after: Plate
    outlines: Plate


@frozen(kw_only=True, eq=False)
class Pictures:
    """What is drawn.

    Attributes
    ----------
    stills : mapping of file name without ending to (H, W, 3) uint8
        RGB; both stills of a view in one picture.
    halves : mapping of file name without ending to (H, W, 3) uint8
        RGB; each of them by itself, at the same scale, to lay one over the other.
    charts : mapping of file name without ending to str
        SVG.
    views : tuple of ComparedView
    missing : tuple of str
        Sentences on what could not be drawn.
    """

    stills: dict[str, Picture] = field(repr=False)
    halves: dict[str, Picture] = field(repr=False)
    charts: dict[str, str] = field(repr=False)
    views: tuple[ComparedView, ...]
    missing: tuple[str, ...]


_NO_BREAK: Final = "\N{NO-BREAK SPACE}"
_MOST_NAMED: Final = 3
"""Measures that the words for a picture name."""
NEITHER_GOOD_NOR_BAD: Final = (
    "A change is neither good nor bad by itself. What is said about the stroke is common practice among coaches. There "
    "is no published norm for posture at a putting address."
)
HOW: Final[tuple[str, ...]] = (
    "A change is after minus before. The number after ± is its 95 % margin, for this measure alone: k·√(u₁² + u₂²). "
    "Here u₁ and u₂ are the standard uncertainties before and after, without the errors that the landmarks have in "
    "common on all people. The factor k is from Student's t: 1.96, or a little more where the scatter comes from few "
    "setups. This margin is the minimal difference of reliability studies (Weir 2005).",
    "Of many measures that did not change, some pass their own margin by chance. So all measures are tested together "
    "(Holm 1979): if nothing changed, the page names a change in at most 1 of 20 comparisons. A measure that passes "
    "only its own margin may have changed; about 1 in 20 of those that did not change passes it too.",
    "Where the lessons have several setups, the differences between them are part of the margins. They are combined "
    "with a scatter from one setup to the next that is judged, not measured: each point comes back to within about "
    f"1{_NO_BREAK}cm, which is {SPINE_TILT.scatter_sd:g}° of spine tilt and {SHAFT_LIE.scatter_sd:g}° of the shaft's "
    "lie, one sigma. With one setup in each lesson only the judged scatter is used; a student who scatters more will "
    "seem to change more often than this page says.",
    f"The number after ± of one measure in one lesson is its 95 % margin. {SHOWN_ON} How often a sentence about a "
    "change is wrong was tested on simulated students.",
)


@frozen(kw_only=True)
class ComparedSource:
    """Where the numbers of one lesson come from."""

    title: str
    facts: tuple[Fact, ...]


@frozen(kw_only=True)
class ComparisonReport:
    """The text of a comparison, from top to bottom.

    Attributes
    ----------
    student : str
    facts : tuple of Fact
    summary : str
        How many changes there are, and how many are expected by chance.
    taken_up : str
        What became of the plan of the earlier lesson; empty where it had none.
    changed, maybe, unchanged, absent_rows : tuple of ChangeRow
        Each measure is in one of them.
    before, after : str
        The days as column headings; empty where they are not known.
    views : tuple of ComparedView
    missing : tuple of str
        Why there are no pictures.
    arcs : ArcSection or None
    neither : str
    how, warnings, cautions : tuple of str
    sources : tuple of ComparedSource
    line : str
        Both days and the hand in one line.
    strokes : StrokesTogether or None
    """

    student: str
    facts: tuple[Fact, ...]
    summary: str
    taken_up: str
    changed: tuple[ChangeRow, ...]
    maybe: tuple[ChangeRow, ...]
    unchanged: tuple[ChangeRow, ...]
    absent_rows: tuple[ChangeRow, ...]
    before: str
    after: str
    views: tuple[ComparedView, ...]
    missing: tuple[str, ...]
    arcs: ArcSection | None
    neither: str
    how: tuple[str, ...]
    warnings: tuple[str, ...]
    cautions: tuple[str, ...]
    sources: tuple[ComparedSource, ...]
    line: str
    strokes: StrokesTogether | None = None


def draw_pictures(comparison: Comparison) -> Pictures:
    """Draw the stills side by side, the outlines over each other, and the arcs, as far as both lessons allow.

    Parameters
    ----------
    comparison : Comparison
    """
    stills, halves, charts, views, missing = {}, {}, {}, [], list(comparison.says)
    moved = [row for row in change_rows(comparison.changes) if row.real or row.maybe][:_MOST_NAMED]
    for view in VIEWS:
        before, after = (each.views.get(view) for each in (comparison.before, comparison.after))
        if before is None or after is None:
            missing += _say_missing(comparison, view)
            continue
        days = comparison.before.record.made_on, comparison.after.record.made_on
        cut = cut_halves(before, after)
        over = draw_outlines(before, after)
        if cut is None or over is None:
            missing.append(f"{VIEW_TITLES[view]} scale, ground or feet are not known, so nothing is laid together.")
            continue
        both = draw_side_by_side(cut, days=days)
        stills[f"side_by_side_{view}"], charts[f"outlines_{view}"] = both, over.svg
        halves[f"before_{view}"], halves[f"after_{view}"] = cut.with_ground()
        mirrored = before.record.forward != after.record.forward
        views.append(_describe(view, both, over.aspect, moved=moved, mirrored=mirrored))
    if comparison.arcs is not None and (chart := draw_arc_chart(comparison.arcs, names=NAMES)):
        charts["arc"] = chart
    charts |= draw_strokes_together(comparison)
    return Pictures(
        stills=stills, halves=halves, charts=charts, views=tuple(views), missing=tuple(dict.fromkeys(missing))
    )  # fmt: skip


def write_comparison(
    comparison: Comparison, *, pictures: Pictures, clips: Collection[View] | None = None, made_on: date | None = None
) -> ComparisonReport:
    """Return the text of a comparison.

    Parameters
    ----------
    comparison : Comparison
    pictures : Pictures
        For the captions.
    clips : collection of View
        Of which there is a clip of both strokes beside the page.
    made_on : date, optional
        The day to print; none is printed where it is not given.
    """
    rows = change_rows(comparison.changes)
    changed = tuple(row for row in rows if row.real)
    maybe = tuple(row for row in rows if row.maybe)
    unchanged = tuple(row for row in rows if row and not row.real and not row.maybe)
    student = comparison.after.record.student
    return ComparisonReport(
        student=as_typed(student.name or comparison.before.record.student.name or NAMELESS),
        facts=_facts(comparison, made_on),
        summary=say_counts(rows),
        taken_up="" if comparison.taken_up is None else comparison.taken_up.says,
        changed=changed,
        maybe=maybe,
        unchanged=unchanged,
        absent_rows=tuple(row for row in rows if not row),
        before=_day(comparison.before),
        after=_day(comparison.after),
        views=pictures.views,
        missing=pictures.missing,
        arcs=write_arc_section(comparison.arcs, names=NAMES) if comparison.arcs is not None else None,
        neither=NEITHER_GOOD_NOR_BAD,
        how=HOW,
        warnings=tuple(comparison.changes.warnings),
        cautions=CAUTIONS,
        sources=tuple(
            source_of(when, each) for when, each in (("Before", comparison.before), ("After", comparison.after))
        ),
        line=_say_in_a_line(comparison),
        strokes=write_strokes_together(comparison, charts=pictures.charts, clips=clips),
    )


def comparison_as_html(report: ComparisonReport, *, pictures: Mapping[str, bytes]) -> str:
    """Return the text of `comparison.html`.

    Parameters
    ----------
    report : ComparisonReport
    pictures : mapping of plate name to the bytes of a JPEG or SVG
        Embedded as data URIs.
    """
    uris = {name: as_uri(picture) for name, picture in pictures.items()}
    given: dict[str, str] = {"policy": SLIDER_POLICY, "script": Markup(SLIDER_SCRIPT)} if report.views else {}
    if report.strokes is not None and report.strokes.clips:
        given["policy"] = f"{given.get('policy', POLICY)}; {CLIP_SOURCE}"
    return render_page("comparison.html.jinja", report=report, pictures=uris, **given)


def comparison_as_pdf(
    report: ComparisonReport, *, pictures: Mapping[str, bytes], made_on: date | None = None, paper: Paper = "a4"
) -> bytes:
    """Return the bytes of `comparison.pdf`, stamped with the day of creation where it is given.

    Parameters
    ----------
    report : ComparisonReport
    pictures : Mapping[str, bytes]
        Bytes of each JPEG or SVG by its name without an ending.
    made_on : date or None
        Day that the document carries; none without.
    paper : {"a4", "letter"}
    """
    data = {"report": attrs.asdict(report), "colours": dict(PART_COLOURS)}
    files = {f"{name}.{ending_of(picture)}": picture for name, picture in pictures.items()}
    return typeset("comparison.typ", data, pictures=files, made_on=made_on, paper=paper)


def _describe(view: View, both: Picture, aspect: float, *, moved: Sequence[ChangeRow], mirrored: bool) -> ComparedView:
    high, wide = both.shape[:2]
    title = VIEW_TITLES[view]

    def half(when: Literal["before", "after"]) -> Plate:
        told = "; ".join(f"{row.title.lower()} {row.before if when == 'before' else row.after}" for row in moved)
        says = f"{title}, {when}: {told or 'no change beyond the noise'}."
        return Plate(file=f"{when}_{view}", aspect=wide / 2 / high, title=title, caption=says, says=says)

    stills = (
        f"{title}: both at the same scale, upright, the middle of the feet at the same place. The dashed line is the "
        "ground under it."
    )
    turned = " The camera stood on the other side before, so that outline is mirrored." if mirrored else ""
    outlines = (
        f"{title}: both outlines in the same footprints at the same scale, before dashed, after solid, with lines "
        f"through the joints. The bar is {bar_length()[1]} long.{turned}"
    )
    return ComparedView(
        title=title,
        stills=Plate(file=f"side_by_side_{view}", aspect=wide / high, title=title, caption=stills, says=stills),
        before=half("before"),
        after=half("after"),
        outlines=Plate(file=f"outlines_{view}", aspect=aspect, title=title, caption=outlines, says=outlines),
    )


def _say_missing(comparison: Comparison, view: View) -> list[str]:
    """Say why a view that both lessons have has no picture; a missing view has a warning of its own."""
    sides = (comparison.before, comparison.after)
    if not all(view in each.record.views for each in sides):
        return []
    bare = [
        when for when, each in zip(("before", "after"), sides, strict=True) if view not in each.views and not each.says
    ]
    if not bare:
        return []
    lessons = "Both lessons were" if len(bare) == 2 else f"The lesson {bare[0]} was"
    return [f"{lessons} kept without pictures, so the pictures cannot be put side by side."]


def _say_in_a_line(comparison: Comparison) -> str:
    sides = (("before", comparison.before), ("after", comparison.after))
    days = [f"{when} {day}" for when, each in sides if (day := _day(each))]
    return ", ".join([*days, f"{comparison.after.record.student.handed}-handed"])


def _facts(comparison: Comparison, made_on: date | None) -> tuple[Fact, ...]:
    student = comparison.after.record.student
    facts = [
        Fact(name=name, says=_lesson(each))
        for name, each in (("Before", comparison.before), ("After", comparison.after))
    ]
    facts.append(Fact(name="Putts", says=f"{student.handed}-handed"))
    statures = dict.fromkeys(each.record.student.stature_cm for each in (comparison.before, comparison.after))
    heights = [format_stature(each) for each in statures]
    facts.append(Fact(name="Height", says=", then ".join(heights)))
    if any(each.record.faces_hidden for each in (comparison.before, comparison.after)):
        facts.append(Fact(name=FACES, says=_say_faces(comparison)))
    if made_on is not None:
        facts.append(Fact(name="Compared", says=format_day(made_on)))
    return tuple(facts)


def _say_faces(comparison: Comparison) -> str:
    hidden = [comparison.before.record.faces_hidden, comparison.after.record.faces_hidden]
    return FACES_HIDDEN if all(hidden) else f"hidden in the pictures {'before' if hidden[0] else 'after'} only"


def _lesson(lesson: ComparedLesson) -> str:
    setups = max((view.setups for view in lesson.record.views.values()), default=0)
    parts = [_day(lesson) or "day not known", f"{setups} setup{'' if setups == 1 else 's'} measured"]
    return ", ".join(parts)


def _day(lesson: ComparedLesson) -> str:
    return format_day(lesson.record.made_on) if lesson.record.made_on else ""


def source_of(when: str, lesson: ComparedLesson) -> ComparedSource:
    """Return where the numbers of one lesson come from.

    Parameters
    ----------
    when : str
        What to call the lesson on the page.
    lesson : ComparedLesson
    """
    facts = [Fact(name="Lesson", says=as_typed(lesson.title))]
    for view, each in lesson.record.views.items():
        facts.append(Fact(name=VIEW_TITLES[view], says=as_typed(each.file)))
        facts.append(Fact(name="SHA-256", says=each.sha256))
        facts.append(Fact(name="Scale", says=f"from {SCALE_SOURCES[each.scale_source]}"))
        facts.append(Fact(name="Landmarks", says=each.landmark_model))
    if program := lesson.record.versions.get("putt_posture"):
        facts.append(Fact(name="Program", says=program))
    return ComparedSource(title=when, facts=tuple(facts))
