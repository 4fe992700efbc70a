"""The rows of the measures, made once for HTML, PDF, CSV and the terminal."""

from attrs import frozen

from putt_posture.figures import format_imperial, format_interval, format_margin
from putt_posture.report.wording import WORDS, Part
from putt_posture.values import MEASURES, NORMAL_95, VIEW_TITLES, Estimate, Lesson, MeasureName, View

__all__ = ["Row", "rows_of"]


@frozen(kw_only=True)
class Row:
    """One measure as people read it.

    Attributes
    ----------
    name : MeasureName
    title, part, what, direction, stroke : str
        See `Words`.
    view : View or None
        Where the number came from; None where both views or none were used.
    view_title : str
        The same for people.
    figure : str
        Value and 95 % margin with the unit; empty where absent.
    imperial : str
        The same in inches; empty for other than lengths.
    interval : str
        The 95 % interval with the unit; empty where absent.
    reading : str
        A few words: to which side the measure surely is, or that this cannot be told; empty for one-sided measures.
    method : str
        How it was got.
    frames : int
    provenance : str
        View, frames and method in one line.
    budget : str
        What the 95 % margin is made of, the largest part first; empty where it is not known.
    absent : str
        Why there is no number; empty where there is one.
    """

    name: MeasureName
    title: str
    part: Part
    what: str
    direction: str
    stroke: str
    view: View | None
    view_title: str
    figure: str
    imperial: str
    interval: str
    reading: str
    method: str
    frames: int
    provenance: str
    budget: str
    absent: str

    def __bool__(self) -> bool:
        return not self.absent


def rows_of(lesson: Lesson) -> tuple[Row, ...]:
    """Return one row for each measure of `MEASURES`, in its order, present or absent.

    A row is falsy where its measure is absent.
    """
    return tuple(_row_of(name, lesson.posture[name]) for name in MEASURES)


def _row_of(name: MeasureName, estimate: Estimate) -> Row:
    words = WORDS[name]
    signed = bool(words.plus)
    return Row(
        name=name,
        title=words.title,
        part=words.part,
        what=words.what,
        direction=words.direction,
        stroke=words.stroke,
        view=estimate.view,
        view_title=VIEW_TITLES[estimate.view] if estimate.view else "Both views",
        figure=format_margin(estimate, signed=signed) if estimate else "",
        imperial=format_imperial(estimate, signed=signed) if estimate else "",
        interval=format_interval(estimate) if estimate else "",
        reading=_reading(estimate, plus=words.plus, minus=words.minus, nought=words.nought) if estimate else "",
        method=estimate.method,
        frames=estimate.frames,
        provenance=_provenance(estimate),
        budget=_budget(estimate),
        absent=estimate.absent or "",
    )


def _provenance(estimate: Estimate) -> str:
    """Say where a number came from; one that was typed in came from no frame."""
    seen = f"{estimate.frames} frame{'' if estimate.frames == 1 else 's'}" if estimate.frames else ""
    view = (VIEW_TITLES[estimate.view] if estimate.view else "Both views").lower() if seen else ""
    return " · ".join(part for part in (view, seen, estimate.method) if part)


def _budget(estimate: Estimate) -> str:
    """List the parts of the margin that show at the digits of the report, the largest first."""
    parts = sorted(estimate.budget.items(), key=lambda part: -part[1])
    unit = "°" if estimate.unit == "deg" else f" {estimate.unit}"
    return ", ".join(f"{cause} ±{NORMAL_95 * share:.1f}{unit}" for cause, share in parts if NORMAL_95 * share >= 0.05)


def _reading(estimate: Estimate, *, plus: str, minus: str, nought: str) -> str:
    return plus if estimate.low > 0 else minus if estimate.high < 0 else nought
