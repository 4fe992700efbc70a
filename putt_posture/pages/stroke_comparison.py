"""The strokes of two lessons: times under each other, paths laid over each other, and the clip that shows both."""

from collections.abc import Collection, Iterator, Mapping
from typing import Final

from attrs import frozen

from putt_posture.documents.comparison_json import ChangeRow, stroke_change_rows
from putt_posture.drawing.charts import AFTER, BEFORE
from putt_posture.drawing.stroke_panels import WITHIN, PathsOf
from putt_posture.drawing.stroke_paths import draw_paths
from putt_posture.drawing.stroke_times import KIND_WORDS, TimeBar, draw_time_bars, find_time_stretch, time_bar_of
from putt_posture.pages.change_counts import OF_THE_STROKE, say_counts
from putt_posture.pages.setting import Plate
from putt_posture.shown import begin_upper
from putt_posture.strokes.several import LEAST_FOR_MEAN
from putt_posture.values import VIEW_TITLES, VIEWS, ComparedLesson, Comparison, Stroke, View

__all__ = [
    "ClipOfBoth",
    "StrokesTogether",
    "draw_strokes_together",
    "name_clip_of_both",
    "write_strokes_together",
]

_PATHS: Final[Mapping[View, tuple[str, str]]] = {
    "face_on": ("strokes_from_front", "From the front"), "down_the_line": ("strokes_from_behind", "From behind"),
}  # fmt: skip
_TIMES: Final = "strokes_times"
_WHEN: Final = ("before", "after")


@frozen(kw_only=True)
class ClipOfBoth:
    """A clip of both strokes side by side: its view, and its file beside the page."""

    title: str
    clip: str


@frozen(kw_only=True)
class StrokesTogether:
    """The text about the strokes of two lessons.

    Attributes
    ----------
    summary : str
        How many numbers of the stroke changed; empty where there is nothing to compare.
    changed, maybe, unchanged : tuple of ChangeRow
        The numbers that both lessons have, each in one of the three.
    absent_rows : tuple of ChangeRow
        Those that one of them lacks.
    says : tuple of str
        Which strokes are shown, and what cannot be laid together.
    charts : tuple of Plate
    clips : tuple of ClipOfBoth
    """

    summary: str
    changed: tuple[ChangeRow, ...]
    maybe: tuple[ChangeRow, ...]
    unchanged: tuple[ChangeRow, ...]
    absent_rows: tuple[ChangeRow, ...]
    says: tuple[str, ...]
    charts: tuple[Plate, ...]
    clips: tuple[ClipOfBoth, ...] = ()


def name_clip_of_both(view: View) -> str:
    """Return the name of the file of both overlay clips of a view side by side, in the folder of a comparison.

    Parameters
    ----------
    view : View
    """
    return f"strokes_{view}.mp4"


def draw_strokes_together(comparison: Comparison) -> dict[str, str]:
    """Draw the times and paths of both lessons' strokes, SVG by file name without ending, as far as both have them.

    Parameters
    ----------
    comparison : Comparison
    """
    drawn: dict[str, str | None] = {}
    both = [(view, pair) for view in VIEWS if (pair := _shown_in_both(comparison, view)) is not None]
    if both:
        view, pair = next((each for each in both if each[0] == "face_on"), both[0])
        drawn[_TIMES] = draw_time_bars([_bar(when, each) for when, each in zip(_WHEN, pair, strict=True)])
    for view, (before, after) in both:
        shown = [
            PathsOf(stroke=before, name="before", colour=BEFORE, dashed=True),
            PathsOf(stroke=after, name="after", colour=AFTER),
        ]
        if all(each.paths for each in (before, after)):
            forward = comparison.after.record.views[view].forward
            drawn[_PATHS[view][0]] = draw_paths(shown, view=view, forward=forward)
    return {name: chart for name, chart in drawn.items() if chart is not None}


def write_strokes_together(
    comparison: Comparison, *, charts: Collection[str], clips: Collection[View] | None = None
) -> StrokesTogether | None:
    """Return the text about both lessons' strokes; None where neither has one.

    Parameters
    ----------
    comparison : Comparison
    charts : collection of str
        The names of what `draw_strokes_together` drew.
    clips : collection of View, optional
        Of which there is a clip of both beside the page, named as `name_clip_of_both` says; where it is empty, the text
        says so.
    """
    if not any(each.record.strokes for each in (comparison.before, comparison.after)):
        return None
    rows = stroke_change_rows(comparison.changes)
    both = all(each.record.strokes for each in (comparison.before, comparison.after))
    return StrokesTogether(
        summary=say_counts(rows, of=OF_THE_STROKE) if both else "",
        changed=tuple(row for row in rows if row.real),
        maybe=tuple(row for row in rows if row.maybe),
        unchanged=tuple(row for row in rows if row and not row.real and not row.maybe),
        absent_rows=tuple(row for row in rows if not row) if both else (),
        says=tuple(_say(comparison, charts, clips)),
        charts=tuple(_plates(charts)),
        clips=tuple(
            ClipOfBoth(title=VIEW_TITLES[view], clip=name_clip_of_both(view)) for view in VIEWS if view in (clips or ())
        ),
    )


def _shown(lesson: ComparedLesson, view: View) -> Stroke | None:
    strokes = lesson.record.strokes
    if strokes is None or view not in strokes.shown:
        return None
    return strokes.of[view][strokes.shown[view]]


def _shown_in_both(comparison: Comparison, view: View) -> tuple[Stroke, Stroke] | None:
    before, after = _shown(comparison.before, view), _shown(comparison.after, view)
    return None if before is None or after is None else (before, after)


def _bar(when: str, stroke: Stroke) -> TimeBar:
    kind = "" if stroke.kind == "putt" else f", {KIND_WORDS[stroke.kind]}"
    return time_bar_of(stroke, title=f"{begin_upper(when)}{kind}", time_stretch=find_time_stretch(stroke))


def _say(comparison: Comparison, charts: Collection[str], clips: Collection[View] | None) -> Iterator[str]:
    sides = dict(zip(_WHEN, (comparison.before, comparison.after), strict=True))
    without = [when for when, each in sides.items() if not each.record.strokes]
    if without:
        yield f"The lesson {without[0]} has no stroke, so there is nothing to lay it beside."
        return
    if not any(_shown_in_both(comparison, view) for view in VIEWS):
        yield "The two lessons show their strokes from different sides, so they cannot be laid together."
        return
    yield "One stroke of each lesson is shown."
    counted = {when: each.record.strokes.counted for when, each in sides.items() if each.record.strokes is not None}
    if min(counted.values()) < LEAST_FOR_MEAN:
        yield "A lesson with fewer than three strokes gives no mean, so a difference may be chance."
    if not any(name in charts for name, _ in _PATHS.values()):
        yield "The paths were not kept in both lessons, so they cannot be laid over each other."
    if clips is not None and not clips:
        yield (
            "There is no clip of both strokes side by side, since the clip of one of them is not kept or may not be "
            "shown."
        )


def _plates(charts: Collection[str]) -> Iterator[Plate]:
    if _TIMES in charts:
        says = (
            "Back, through to impact, and on to the finish, before and after, in step at impact. The thin lines below "
            "a bar are the 95 % intervals of its events."
        )
        yield Plate(file=_TIMES, aspect=1.0, title="Times", caption=says, says=says)
    for name, heading in _PATHS.values():
        if name in charts:
            says = (
                f"{heading}: the ways of hands and putter head before (dashed) and after, to scale, each from where it "
                f"was at address. The band is the 95 % interval; a grey one is {WITHIN}."
            )
            yield Plate(file=name, aspect=1.0, title=heading, caption=says, says=says)
