"""An estimate, a number and a text as JSON takes them."""

import math
from typing import Any

from putt_posture.values import Estimate

__all__ = ["estimate_as_json", "measure_as_json", "number_as_json", "plain"]


def estimate_as_json(estimate: Estimate) -> dict[str, Any]:
    """Return an estimate as a plain dict, its interval worked out; numbers are null where it is absent."""
    return {
        "value": number_as_json(estimate.value),
        "standard_uncertainty": number_as_json(estimate.standard_uncertainty),
        "low": number_as_json(estimate.low),
        "high": number_as_json(estimate.high),
        "unit": estimate.unit,
        "view": estimate.view,
        "frames": int(estimate.frames),
        "method": plain(estimate.method),
        "absent": None if estimate.absent is None else plain(estimate.absent),
    }


def measure_as_json(estimate: Estimate) -> dict[str, Any]:
    """Return an estimate with all that it carries, so that it can be read back whole."""
    return estimate_as_json(estimate) | {
        "raw_value": number_as_json(estimate.raw_value),
        "floor": number_as_json(estimate.floor),
        "budget": {cause: number_as_json(share) for cause, share in estimate.budget.items()},
        "repeats": [number_as_json(each) for each in estimate.repeats],
    }


def number_as_json(value: float | None) -> float | None:
    """Return a JSON number (numpy scalars become Python's), or None for one that is absent or not finite."""
    return None if value is None or not math.isfinite(value) else float(value)


def plain(text: str) -> str:
    """Return text that every encoder takes: half characters of undecodable file names become question marks."""
    return text.encode("utf-8", "replace").decode("utf-8")
