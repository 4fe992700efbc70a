"""A comparison as rows, as a JSON document and as a table of plain text.

Angles are degrees, lengths centimetres. A number that is absent is null, with the reason beside it.
"""

from datetime import date
from typing import Any, Final

from attrs import evolve, frozen

from putt_posture.changes import pool_scatter, setups_of
from putt_posture.documents.json_values import as_document, measure_as_json, number_as_json, picked
from putt_posture.documents.lesson_json import arcs_as_json, student_as_json
from putt_posture.documents.tables import rows_as_csv
from putt_posture.figures import as_printed, format_change, format_interval, format_margin, format_value, inches
from putt_posture.measures import RECORDS, Part
from putt_posture.shown_units import change_in_shown_unit
from putt_posture.values import Changes, ComparedLesson, Comparison, Estimate, MeasureChange, MeasureName

__all__ = [
    "COMPARISON_SCHEMA_VERSION",
    "ChangeRow",
    "change_rows",
    "comparison_as_csv",
    "comparison_as_json",
    "stroke_change_rows",
]

NO_BREAK: Final = "\N{NO-BREAK SPACE}"


@frozen(kw_only=True)
class ChangeRow:
    """One measure of two lessons, as people read it.

    Attributes
    ----------
    name : MeasureName
    title, part : str
        See `Measure`.
    before, after : str
        Value and 95 % margin with the unit; empty where absent.
    change : str
        After minus before, from the printed values, with sign and margin; empty where absent.
    imperial : str
        The same in inches; empty where it is not a length, and where the change is in inches.
    interval : str
        The 95 % interval of the change.
    from_to : str
        Both values without margins: ``24 → 41°``.
    real, maybe : bool
    verdict : str
        A few words: whether it is a change; if not, the least change that would be larger than its own margin.
    says : str
        What it looks like and what it means for the stroke; empty where there is no change.
    absent : str
        Why there is no change to report; empty where there is one.
    """

    name: MeasureName
    title: str
    part: Part
    before: str
    after: str
    change: str
    imperial: str
    interval: str
    from_to: str
    real: bool
    maybe: bool
    verdict: str
    says: str
    absent: str

    def __bool__(self) -> bool:
        return not self.absent


COMPARISON_SCHEMA_VERSION: Final = 3
_COLUMNS: Final = (
    "measure", "title", "unit", "before", "before_standard_uncertainty", "after", "after_standard_uncertainty",
    "change", "change_standard_uncertainty", "low", "high", "smallest_alone", "chance", "joint_chance", "verdict",
    "absent",
)  # fmt: skip


def change_rows(changes: Changes) -> tuple[ChangeRow, ...]:
    """Return one row for each measure of the setup, in the order of the report; falsy where one of both is absent.

    Parameters
    ----------
    changes : Changes
    """
    return tuple(_row(change_in_shown_unit(each)) for each in changes.measures.values())


def stroke_change_rows(changes: Changes) -> tuple[ChangeRow, ...]:
    """Return one row for each measure of the stroke, as `change_rows` does; none where neither lesson has strokes.

    Parameters
    ----------
    changes : Changes
    """
    return tuple(_row(change_in_shown_unit(each)) for each in changes.strokes.values())


def comparison_as_json(comparison: Comparison, *, made_on: date | None = None) -> dict[str, Any]:
    """Return the document of `comparison.json` as plain dicts, lists, strings and numbers.

    Parameters
    ----------
    comparison : Comparison
    made_on : date or None
        Day that is written into the document; None writes none.
    """
    document = {
        "schema": COMPARISON_SCHEMA_VERSION,
        "made_on": made_on,
        "before": _lesson(comparison.before),
        "after": _lesson(comparison.after),
        "measures": {name: _change_as_json(change) for name, change in comparison.changes.measures.items()},
        "strokes": {name: _change_as_json(change) for name, change in comparison.changes.strokes.items()},
        "arcs": None if comparison.arcs is None else arcs_as_json(comparison.arcs),
        "plan": comparison.taken_up,
        "warnings": (*comparison.says, *comparison.changes.warnings),
    }
    return as_document(document)


def comparison_as_csv(comparison: Comparison) -> str:
    """Return the text of `comparison.csv`: one row for each measure, empty cells where something is absent.

    Parameters
    ----------
    comparison : Comparison
    """
    rows = []
    for name, found in {**comparison.changes.measures, **comparison.changes.strokes}.items():
        one, two, change = found.before, found.after, found.change
        numbers = (
            one.value, one.standard_uncertainty, two.value, two.standard_uncertainty, change.value,
            change.standard_uncertainty, change.low, change.high, found.smallest_alone, found.chance,
            found.joint_chance,
        )  # fmt: skip
        rows.append(
            [name, RECORDS[name].title, change.unit, *map(number_as_json, numbers), _verdict_as_json(found),
             change.absent or ""]
        )  # fmt: skip
    return rows_as_csv(_COLUMNS, rows)


def _row(found: MeasureChange) -> ChangeRow:
    measure, change = RECORDS[found.name], found.change
    signed, shift = measure.signed, measure.shift
    return ChangeRow(
        name=found.name,
        title=measure.title,
        part=measure.part,
        before=_figure(found.before, signed=signed),
        after=_figure(found.after, signed=signed),
        change=_change_text(found) if change else "",
        imperial=_imperial(found) if change and change.unit == "cm" else "",
        interval=format_interval(_as_printed(found)) if change else "",
        from_to=_from_to(found, signed=signed) if change else "",
        real=found.real,
        maybe=found.maybe,
        verdict=_verdict_text(found) if change else "",
        says=(shift.more if change.value > 0 else shift.less) if found.real else "",
        absent=change.absent or "",
    )


def _figure(estimate: Estimate, *, signed: bool) -> str:
    return format_margin(evolve(estimate, floor=None), signed=signed) if estimate else ""


def _from_to(found: MeasureChange, *, signed: bool) -> str:
    before, after = (format_value(each.value, each.unit, signed=signed) for each in (found.before, found.after))
    return f"{before.removesuffix('°').split(NO_BREAK)[0]} → {after}"


def _change_text(found: MeasureChange) -> str:
    return format_change(found.before.value, found.after.value, margin=found.change.margin, unit=found.change.unit)


def _imperial(found: MeasureChange) -> str:
    before, after, margin = (inches(each) for each in (found.before.value, found.after.value, found.change.margin))
    return format_change(before, after, margin=margin, unit="in")


def _as_printed(found: MeasureChange) -> Estimate:
    """Return the change as the difference of the two printed values."""
    unit = found.change.unit
    return evolve(found.change, value=as_printed(found.after.value, unit) - as_printed(found.before.value, unit))


def _verdict_text(found: MeasureChange) -> str:
    if found.real:
        return "a change"
    if found.maybe:
        return "may be a change"
    least = format_value(found.smallest_alone, found.change.unit)
    return f"within the noise (alone: from {least})"


def _lesson(lesson: ComparedLesson) -> dict[str, Any]:
    record = lesson.record
    return {
        "title": lesson.title,
        "made_on": record.made_on,
        "student": student_as_json(record.student),
        "views": {
            view: picked(each, "file", "sha256", "kind", "setups", "scale_source", "landmark_model")
            for view, each in record.views.items()
        },
        "versions": record.versions,
    }


def _change_as_json(found: MeasureChange) -> dict[str, Any]:
    repeats = pool_scatter([setups_of(found.before), setups_of(found.after)])
    return {
        "before": measure_as_json(found.before),
        "after": measure_as_json(found.after),
        "change": measure_as_json(found.change),
        **picked(found, "smallest_alone", "chance", "joint_chance"),
        "verdict": _verdict_as_json(found),
        "repeats": None if repeats is None else picked(repeats, "sem", "degrees_of_freedom", "minimal_difference"),
    }


def _verdict_as_json(found: MeasureChange) -> str:
    if not found.change:
        return "absent"
    return "change" if found.real else "maybe" if found.maybe else "no_change"
