"""The spec of a putter as a JSON document: degrees and centimetres, inches where the name says so; absent is null."""

from typing import Any, Final

from putt_posture.report.estimate_json import estimate_as_json, plain
from putt_posture.report.wording import LENGTH_CONVENTION
from putt_posture.values import ClubSpec

__all__ = ["SPEC_VERSION", "spec_as_json"]

SPEC_VERSION: Final = 1


def spec_as_json(spec: ClubSpec) -> dict[str, Any]:
    """Return a spec as plain dicts, lists, strings and numbers."""
    return {
        "schema": SPEC_VERSION,
        "length": estimate_as_json(spec.length),
        "convention": f"Length {LENGTH_CONVENTION}.",
        "stock_length_in": spec.stock_length_in,
        "current_length_cm": spec.current_length_cm,
        "length_change": estimate_as_json(spec.length_change),
        "advice": spec.advice,
        "advice_says": plain(spec.advice_sentence),
        "stock_change_in": spec.stock_change_in,
        "swing_weight_change_points": spec.swing_weight_change,
        "feel": list(spec.feel),
        "lie": estimate_as_json(spec.lie),
        "current_lie_deg": spec.current_lie_deg,
        "lie_change": estimate_as_json(spec.lie_change),
        "bending": plain(spec.bend_sentence),
        "loft": spec.loft,
        "grip": spec.grip,
        "checks": [
            {"name": each.name, "limit": each.limit, "clause": each.clause, "keeps": each.keeps, "says": each.says}
            for each in spec.checks
        ],
        "notes": list(spec.notes),
    }
