"""A student's history as a JSON document and as a table of plain text.

Angles are degrees, lengths centimetres, shares 0 to 1, days ISO 8601. A number that is absent is null, with the reason
beside it; there is never a NaN. Visits are named by their place in the list, from 0.
"""

from collections.abc import Iterator, Mapping, Sequence
from datetime import date
from itertools import pairwise
from typing import TYPE_CHECKING, Any, Final

from putt_posture.documents.json_values import estimate_as_json, number_as_json, plain
from putt_posture.documents.schemas import check_document
from putt_posture.documents.tables import rows_as_csv
from putt_posture.measures import MEASURES
from putt_posture.practice import compare_spreads, fit_yardstick, load_yardsticks, read_practice
from putt_posture.values import (
    Course,
    History,
    MeasureChange,
    MeasureName,
    PracticeResult,
    PracticeTest,
    PutterChange,
    SpreadChange,
    StartLineSpread,
    Visit,
    Yardstick,
    absent,
)

if TYPE_CHECKING:
    import pandas as pd

__all__ = ["HISTORY_SCHEMA_VERSION", "check_history", "history_as_csv", "history_as_frame", "history_as_json"]

HISTORY_SCHEMA_VERSION: Final = 2
_COLUMNS = (
    "lesson", "day", "moment", "measure", "title", "value", "standard_uncertainty", "low", "high", "unit", "view",
    "frames", "method", "absent",
)  # fmt: skip


def history_as_json(
    history: History,
    courses: Mapping[MeasureName, Course],
    *,
    putters: Sequence[PutterChange] = (),
    warnings: Sequence[str] = (),
    made_on: date | None = None,
) -> dict[str, Any]:
    """Return the document of `history.json` as plain dicts, lists, strings and numbers."""
    return {
        "schema": HISTORY_SCHEMA_VERSION,
        "made_on": made_on.isoformat() if made_on else None,
        "student": {"name": plain(history.name) or None},
        "visits": [_visit(visit) for visit in history.visits],
        "courses": {name: _course(course) for name, course in courses.items()},
        "putter_changes": [
            {
                "visit": each.visit,
                "kind": each.kind,
                "before_cm": number_as_json(each.before_cm),
                "after_cm": number_as_json(each.after_cm),
            }
            for each in putters
        ],
        "practice": _practice(history.practice),
        "warnings": [plain(each) for each in warnings],
    }


def check_history(document: object) -> None:
    """Check that a document keeps the schema.

    Raises
    ------
    UsageError
        If it does not; the sentence names the first place that differs.
    """
    check_document(document, "history", what="The history does")


def history_as_frame(history: History) -> "pd.DataFrame":
    """Return one row for each visit and measure.

    Numbers are in `unit`; NaN where the measure is absent. Days are ISO 8601 text.
    """
    import pandas as pd  # here, so that the text does without it

    numbers = ["value", "standard_uncertainty", "low", "high"]
    return pd.DataFrame(_rows(history), columns=list(_COLUMNS)).astype(dict.fromkeys(numbers, float))


def history_as_csv(history: History) -> str:
    """Return the text of `history.csv`: a header line, commas, decimal points, empty cells for what is absent."""
    return rows_as_csv(_COLUMNS, ([row[name] for name in _COLUMNS] for row in _rows(history)))


def _visit(visit: Visit) -> dict[str, Any]:
    measures = visit.measured.measures
    return {
        "lesson": visit.lesson,
        "day": visit.day.isoformat(),
        "moment": visit.moment,
        "coach": plain(visit.coach),
        "place": plain(visit.place),
        "putter_in_use_cm": number_as_json(visit.putter_in_use_cm),
        "suggested": estimate_as_json(visit.suggested),
        "scale_sources": dict(visit.measured.scale_sources),
        "measures": {
            name: estimate_as_json(measures.get(name, absent("It was not measured.", unit=measure.unit)))
            for name, measure in MEASURES.items()
        },
    }


def _course(course: Course) -> dict[str, Any]:
    return {
        "first": course.first,
        "latest": course.latest,
        "rebuilt": course.rebuilt,
        "since_first": _change(course.since_first),
        "by_rebuild": _change(course.by_rebuild),
        "since_rebuilt": _change(course.since_rebuilt),
        "past_midway": None if course.past_midway is None else estimate_as_json(course.past_midway),
        "steps": [{"start": step.start, "end": step.end, "change": _change(step.change)} for step in course.steps],
        "verdict": course.verdict,
    }


def _change(change: MeasureChange | None) -> dict[str, Any] | None:
    if change is None:
        return None
    return {
        "value": number_as_json(change.change.value),
        "standard_uncertainty": number_as_json(change.change.standard_uncertainty),
        "smallest_alone": number_as_json(change.smallest_alone),
        "chance": number_as_json(change.chance),
        "joint_chance": number_as_json(change.joint_chance),
        "real": change.real,
        "unit": change.change.unit,
        "absent": None if change.change.absent is None else plain(change.change.absent),
    }


def _practice(tests: Sequence[PracticeTest]) -> dict[str, Any] | None:
    told = [test for test in tests if any(count.tried for count in test.counts)]
    if not told:
        return None
    results = [read_practice(test) for test in told]
    return {
        "tests": [
            {"day": test.day.isoformat(), "note": plain(test.note)} | _result(result)
            for test, result in zip(told, results, strict=True)
        ],
        "pooled": _result(read_practice(*told)),
        "changes": [_spread_change(compare_spreads(one, two)) for one, two in pairwise(results)],
        "first_to_latest": _spread_change(compare_spreads(results[0], results[-1])) if len(results) > 1 else None,
        "yardsticks": [_yardstick(each) for each in load_yardsticks()],
    }


def _result(result: PracticeResult) -> dict[str, Any]:
    return {
        "tried": result.tried,
        "holed": result.holed,
        "shares": [
            {
                "distance_cm": each.distance_cm,
                "tried": each.tried,
                "holed": each.holed,
                "share": each.share,
                "low": each.low,
                "high": each.high,
            }
            for each in result.shares
        ],
        "spread": None if result.spread is None else _spread(result.spread),
        "why_not": result.why_not,
        "misfit": result.misfit,
    }


def _spread(spread: StartLineSpread) -> dict[str, Any]:
    return {
        "sigma_deg": number_as_json(spread.sigma.value),
        "standard_uncertainty_deg": number_as_json(spread.sigma.standard_uncertainty),
        "low_deg": number_as_json(spread.low_deg),
        "high_deg": number_as_json(spread.high_deg),
    }


def _spread_change(change: SpreadChange) -> dict[str, Any]:
    return {
        "change_deg": number_as_json(change.change_deg),
        "low_deg": number_as_json(change.low_deg),
        "high_deg": number_as_json(change.high_deg),
        "real": change.real,
        "why_not": change.why_not,
    }


def _yardstick(yardstick: Yardstick) -> dict[str, Any]:
    return {
        "name": yardstick.name,
        "who": yardstick.who,
        "source": yardstick.source,
        "spread": _spread(fit_yardstick(yardstick)) if yardstick.modelled else None,
        "counts": [
            {"distance_cm": each.distance_cm, "tried": each.tried, "holed": each.holed} for each in yardstick.counts
        ],
    }


def _rows(history: History) -> Iterator[dict[str, Any]]:
    for visit in history.visits:
        for name, measure in MEASURES.items():
            estimate = visit.measured.measures.get(name, absent("It was not measured.", unit=measure.unit))
            about = {"lesson": visit.lesson, "day": visit.day.isoformat(), "moment": visit.moment}
            yield about | {"measure": name, "title": measure.title} | estimate_as_json(estimate)
