"""The arcs of two setups as plain dicts: degrees, centimetres, shares 0 to 1; absent numbers are null."""

from typing import Any, Final

from putt_posture.report.estimate_json import estimate_as_json
from putt_posture.values import Arc, Floats, StrokeComparison, Window

__all__ = ["stroke_as_json"]

_EVERY: Final = 5
"""Of the points of an arc: one every half centimetre or so is more than enough to draw it again."""


def stroke_as_json(comparison: StrokeComparison) -> dict[str, Any]:
    """Return two arcs with their windows as plain dicts, lists, strings and numbers."""
    return {
        "before": _arc(comparison.before),
        "after": _arc(comparison.after),
        "depth_change": estimate_as_json(comparison.depth_change),
        "windows": [{"before": _window(one), "after": _window(two)} for one, two in comparison.windows],
        "says": comparison.says,
    }


def _arc(arc: Arc) -> dict[str, Any]:
    return {
        "lean": estimate_as_json(arc.lean),
        "radius": estimate_as_json(arc.radius),
        "half_stroke_cm": float(arc.half_stroke_cm),
        "depth": estimate_as_json(arc.depth),
        "face": estimate_as_json(arc.face),
        "distance_cm": _thinned(arc.distance_cm),
        "inside_cm": _thinned(arc.inside_cm),
        "inside_sd_cm": _thinned(arc.inside_sd_cm),
        "face_deg": _thinned(arc.face_deg),
        "face_sd_deg": _thinned(arc.face_sd_deg),
        "assumptions": list(arc.assumptions),
    }


def _window(window: Window | None) -> dict[str, float] | None:
    if window is None:
        return None
    return {
        "putt_cm": float(window.putt_cm),
        "capture_deg": window.capture_deg,
        "length_cm": window.length_cm,
        "low_cm": window.low_cm,
        "high_cm": window.high_cm,
        "share": window.share,
        "low_share": window.low_share,
        "high_share": window.high_share,
    }


def _thinned(values: Floats) -> list[float]:
    return [float(each) for each in values[::_EVERY]]
