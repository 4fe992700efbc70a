"""A student's history as a JSON document and as a table of plain text.

Angles are degrees, lengths centimetres, shares 0 to 1, days ISO 8601. A number that is absent is null, with the reason
beside it; NaN is never written. Visits are named by their place in the list, from 0.
"""

from collections.abc import Iterator, Mapping, Sequence
from datetime import date
from itertools import pairwise
from typing import TYPE_CHECKING, Any, Final

from putt_posture.documents.json_values import as_document, estimate_as_json, picked
from putt_posture.documents.schemas import check_document
from putt_posture.documents.tables import rows_as_csv
from putt_posture.history import Course, PutterChange
from putt_posture.measures import MEASURES, STROKE_MEASURES, Record
from putt_posture.practice import (
    PracticeResult,
    SpreadChange,
    Yardstick,
    compare_spreads,
    fit_yardstick,
    load_yardsticks,
    read_practice,
)
from putt_posture.values import History, MeasureChange, MeasureName, PracticeTest, StartLineSpread, Visit, absent

if TYPE_CHECKING:
    import pandas as pd

__all__ = ["HISTORY_SCHEMA_VERSION", "check_history", "history_as_csv", "history_as_frame", "history_as_json"]

HISTORY_SCHEMA_VERSION: Final = 3
_COLUMNS = (
    "lesson", "day", "moment", "measure", "title", "value", "standard_uncertainty", "low", "high", "unit", "view",
    "frames", "method", "absent",
)  # fmt: skip


def history_as_json(
    history: History,
    courses: Mapping[MeasureName, Course],
    *,
    stroke_courses: Mapping[MeasureName, Course] | None = None,
    putters: Sequence[PutterChange] = (),
    warnings: Sequence[str] = (),
    made_on: date | None = None,
) -> dict[str, Any]:
    """Return the document of `history.json` as plain dicts, lists, strings and numbers.

    Parameters
    ----------
    history : History
    courses : Mapping[MeasureName, Course]
        By measure.
    stroke_courses : mapping of MeasureName to Course, optional
        The same of the numbers of the stroke.
    putters : Sequence[PutterChange]
        When the student's putter changed.
    warnings : Sequence[str]
        Sentences on what makes visits hard to compare.
    made_on : date or None
        Day that is written into the document; None writes none.
    """
    document = {
        "schema": HISTORY_SCHEMA_VERSION,
        "made_on": made_on,
        "student": {"name": history.name or None},
        "visits": [_visit(visit) for visit in history.visits],
        "courses": {name: _course(course) for name, course in courses.items()},
        "stroke_courses": {name: _course(course) for name, course in (stroke_courses or {}).items()},
        "putter_changes": putters,
        "practice": _practice(history.practice),
        "warnings": warnings,
    }
    return as_document(document)


def check_history(document: object) -> None:
    """Check that a document matches the schema.

    Parameters
    ----------
    document : object
        As parsed JSON.

    Raises
    ------
    UsageError
        If it does not; the sentence names the first place that differs.
    """
    check_document(document, "history", what="The history does")


def history_as_frame(history: History) -> "pd.DataFrame":
    """Return one row for each visit and measure.

    Numbers are in `unit`; NaN where the measure is absent. Days are ISO 8601 text.

    Parameters
    ----------
    history : History
    """
    import pandas as pd  # imported here, so that writing the text does not load it

    numbers = ["value", "standard_uncertainty", "low", "high"]
    return pd.DataFrame(_rows(history), columns=list(_COLUMNS)).astype(dict.fromkeys(numbers, float))


def history_as_csv(history: History) -> str:
    """Return the text of `history.csv`: a header line, commas, decimal points, empty cells where something is absent.

    Parameters
    ----------
    history : History
    """
    return rows_as_csv(_COLUMNS, ([row[name] for name in _COLUMNS] for row in _rows(history)))


def _visit(visit: Visit) -> dict[str, Any]:
    measures = visit.measured.measures
    return {
        **picked(visit, "lesson", "day", "moment", "coach", "place", "putter_in_use_cm", "suggested"),
        "scale_sources": visit.measured.scale_sources,
        "measures": {
            name: measures.get(name, absent("It was not measured.", unit=measure.unit))
            for name, measure in MEASURES.items()
        },
        "strokes": {name: measures[name] for name in STROKE_MEASURES if name in measures},
    }


def _course(course: Course) -> dict[str, Any]:
    return {
        **picked(course, "first", "latest", "rebuilt"),
        "since_first": _change(course.since_first),
        "by_rebuild": _change(course.by_rebuild),
        "since_rebuilt": _change(course.since_rebuilt),
        "past_midway": course.past_midway,
        "steps": [{**picked(step, "start", "end"), "change": _change(step.change)} for step in course.steps],
        "verdict": course.verdict,
    }


def _change(change: MeasureChange | None) -> dict[str, Any] | None:
    if change is None:
        return None
    return {
        **picked(change.change, "value", "standard_uncertainty"),
        **picked(change, "smallest_alone", "chance", "joint_chance", "real"),
        **picked(change.change, "unit", "absent"),
    }


def _practice(tests: Sequence[PracticeTest]) -> dict[str, Any] | None:
    tried = [test for test in tests if any(count.tried for count in test.counts)]
    if not tried:
        return None
    results = [read_practice(test) for test in tried]
    return {
        "tests": [picked(test, "day", "note") | _result(result) for test, result in zip(tried, results, strict=True)],
        "pooled": _result(read_practice(*tried)),
        "changes": [_spread_change(compare_spreads(one, two)) for one, two in pairwise(results)],
        "first_to_latest": _spread_change(compare_spreads(results[0], results[-1])) if len(results) > 1 else None,
        "yardsticks": [_yardstick(each) for each in load_yardsticks()],
    }


def _result(result: PracticeResult) -> dict[str, Any]:
    return {
        **picked(result, "tried", "holed", "shares"),
        "spread": None if result.spread is None else _spread(result.spread),
        **picked(result, "why_not", "misfit"),
    }


def _spread(spread: StartLineSpread) -> dict[str, Any]:
    return {
        "sigma_deg": spread.sigma.value,
        "standard_uncertainty_deg": spread.sigma.standard_uncertainty,
        **picked(spread, "low_deg", "high_deg"),
    }


def _spread_change(change: SpreadChange) -> dict[str, Any]:
    return picked(change, "change_deg", "low_deg", "high_deg", "real", "why_not")


def _yardstick(yardstick: Yardstick) -> dict[str, Any]:
    return {
        **picked(yardstick, "name", "who", "source"),
        "spread": _spread(fit_yardstick(yardstick)) if yardstick.modelled else None,
        "counts": yardstick.counts,
    }


def _records_of(visit: Visit) -> Iterator[tuple[MeasureName, Record]]:
    """Go through the measures of the setup, and those of the stroke where the visit has them."""
    yield from MEASURES.items()
    yield from ((name, each) for name, each in STROKE_MEASURES.items() if name in visit.measured.measures)


def _rows(history: History) -> Iterator[dict[str, Any]]:
    for visit in history.visits:
        for name, measure in _records_of(visit):
            estimate = visit.measured.measures.get(name, absent("It was not measured.", unit=measure.unit))
            about = {"lesson": visit.lesson, "day": visit.day.isoformat(), "moment": visit.moment}
            yield about | {"measure": name, "title": measure.title} | estimate_as_json(estimate)
