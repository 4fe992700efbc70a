"""A comparison as a JSON document and as a table of plain text.

Angles are degrees, lengths centimetres. A number that is absent is null, with the reason beside it.
"""

from datetime import date
from typing import Any, Final

from putt_posture.changes import pool_scatter, setups_of
from putt_posture.report.estimate_json import measure_as_json, number_as_json, plain
from putt_posture.report.json_form import student_as_json
from putt_posture.report.spreadsheet import rows_as_csv
from putt_posture.report.stroke_json import stroke_as_json
from putt_posture.report.wording import WORDS
from putt_posture.values import ComparedLesson, Comparison, MeasureChange

__all__ = ["COMPARISON_SCHEMA_VERSION", "comparison_as_csv", "comparison_as_json"]

COMPARISON_SCHEMA_VERSION: Final = 2

_COLUMNS: Final = (
    "measure", "title", "unit", "before", "before_standard_uncertainty", "after", "after_standard_uncertainty",
    "change", "change_standard_uncertainty", "low", "high", "smallest_alone", "chance", "joint_chance", "verdict",
    "absent",
)  # fmt: skip


def comparison_as_json(comparison: Comparison, *, made_on: date | None = None) -> dict[str, Any]:
    """Return the document of `comparison.json` as plain dicts, lists, strings and numbers."""
    return {
        "schema": COMPARISON_SCHEMA_VERSION,
        "made_on": made_on.isoformat() if made_on else None,
        "before": _lesson(comparison.before),
        "after": _lesson(comparison.after),
        "measures": {name: _change(change) for name, change in comparison.changes.measures.items()},
        "stroke": None if comparison.stroke is None else stroke_as_json(comparison.stroke),
        "warnings": [plain(each) for each in (*comparison.says, *comparison.changes.warnings)],
    }


def comparison_as_csv(comparison: Comparison) -> str:
    """Return the text of `comparison.csv`: one row a measure, empty cells for what is absent."""
    rows = []
    for name, found in comparison.changes.measures.items():
        one, two, change = found.before, found.after, found.change
        numbers = (
            one.value, one.standard_uncertainty, two.value, two.standard_uncertainty, change.value,
            change.standard_uncertainty, change.low, change.high, found.smallest_alone, found.chance,
            found.joint_chance,
        )  # fmt: skip
        rows.append(
            [name, WORDS[name].title, change.unit, *map(number_as_json, numbers), _verdict(found),
             plain(change.absent or "")]
        )  # fmt: skip
    return rows_as_csv(_COLUMNS, rows)


def _lesson(lesson: ComparedLesson) -> dict[str, Any]:
    record = lesson.record
    return {
        "title": plain(lesson.title),
        "made_on": record.made_on.isoformat() if record.made_on else None,
        "student": student_as_json(record.student),
        "views": {
            view: {
                "file": plain(each.file),
                "sha256": each.sha256,
                "kind": each.kind,
                "setups": int(each.setups),
                "scale_source": each.scale_source,
                "landmark_model": plain(each.landmark_model),
            }
            for view, each in record.views.items()
        },
        "versions": {plain(name): plain(version) for name, version in record.versions.items()},
    }


def _change(found: MeasureChange) -> dict[str, Any]:
    repeats = pool_scatter([setups_of(found.before), setups_of(found.after)])
    return {
        "before": measure_as_json(found.before),
        "after": measure_as_json(found.after),
        "change": measure_as_json(found.change),
        "smallest_alone": number_as_json(found.smallest_alone),
        "chance": number_as_json(found.chance),
        "joint_chance": number_as_json(found.joint_chance),
        "verdict": _verdict(found),
        "repeats": None
        if repeats is None
        else {
            "sem": number_as_json(repeats.sem),
            "degrees_of_freedom": repeats.degrees_of_freedom,
            "minimal_difference": number_as_json(repeats.minimal_difference),
        },
    }


def _verdict(found: MeasureChange) -> str:
    if not found.change:
        return "absent"
    return "change" if found.real else "maybe" if found.maybe else "no_change"
