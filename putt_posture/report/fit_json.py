"""A fit as plain dicts, lists, strings and numbers."""

from typing import Any, Final

from attrs import fields

from putt_posture.figures import inches
from putt_posture.report.estimate_json import estimate_as_json, number_as_json, plain
from putt_posture.report.wording import LENGTH_CONVENTION
from putt_posture.values import Fit, PutterCurves

__all__ = ["fit_as_json"]

_MARKS: Final = ("suggested_cm", "current_cm")


def fit_as_json(fit: Fit) -> dict[str, Any]:
    """Return the length and lie with all that speaks for them; degrees and centimetres."""
    length = estimate_as_json(fit.putter_length)
    return {
        "putter_length": length | {"inches": inches(fit.putter_length.value) if fit.putter_length else None},
        "stock_length_in": fit.stock_length_in,
        "lie": estimate_as_json(fit.lie),
        "convention": f"Length {LENGTH_CONVENTION}.",
        "setup": {name: estimate_as_json(each) for name, each in fit.setup.items()},
        "toe_lift": None if fit.toe_lift is None else estimate_as_json(fit.toe_lift),
        "evidence": [
            {
                "name": each.name,
                "title": each.title,
                "length": estimate_as_json(each.length),
                "says": plain(each.says),
            }
            for each in fit.evidence
        ],
        "disagreements": [plain(each) for each in fit.disagreements],
        "assumptions": [plain(each) for each in fit.assumptions],
        "curves": None if fit.curves is None else _curves_as_json(fit.curves),
    }


def _curves_as_json(curves: PutterCurves) -> dict[str, Any]:
    names = [each.name for each in fields(PutterCurves) if each.name not in _MARKS]
    arrays = {name: [number_as_json(float(value)) for value in getattr(curves, name)] for name in names}
    return arrays | {name: number_as_json(getattr(curves, name)) for name in _MARKS}
