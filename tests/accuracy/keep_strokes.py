"""Keep what was seen of a few held-out strokes, with their truth, for the tests.

Run it as ``python tests/accuracy/keep_strokes.py SET WORK NAME …`` after a change of detection that is meant to change
what is seen: SET is the folder of `sample_clips/make_strokes.py`, WORK that of `stroke_study.py`, each name a take.
"""

import argparse
import json
from pathlib import Path
from typing import Any, Final

import numpy as np
from attrs import frozen
from stroke_measuring import see_take
from stroke_takes import Take, read_takes

from putt_posture.documents.json_values import as_json, as_value
from putt_posture.values import STROKE_EVENTS, VIEWS, Estimate, SeenStroke, StrokeEvent, View

__all__ = ["KEPT", "KeptStroke", "read_kept_strokes"]

KEPT: Final = Path(__file__).with_name("kept_strokes.npz")
_ARRAYS: Final = (
    "times_s", "points_px", "visibility", "camera_px", "shaft_px", "putter_head_px", "putter_head_sd_px", "ball_px",
    "ball_sd_px",
)  # fmt: skip


@frozen(kw_only=True, eq=False)
class KeptStroke:
    """One held-out stroke in one view.

    Attributes
    ----------
    name : str
        Take, view and number.
    seen : SeenStroke
    kind : str
        The true one.
    events : dict of StrokeEvent to float
        The true clip times, s.
    """

    name: str
    seen: SeenStroke
    kind: str
    events: dict[StrokeEvent, float]


def read_kept_strokes() -> list[KeptStroke]:
    """Read what is kept."""
    with np.load(KEPT) as kept:
        told: dict[str, dict[str, Any]] = json.loads(str(kept["told"]))
        return [_read(name, each, kept) for name, each in told.items()]


def keep_strokes(takes: list[Take], work: Path) -> None:
    """Write what was seen of the strokes of some takes.

    Parameters
    ----------
    takes : list of Take
    work : Path
        As for `stroke_measuring.see_take`.
    """
    arrays: dict[str, Any] = {}
    told: dict[str, Any] = {}
    for take in takes:
        detections, _ = see_take(take, "60", work)
        for view in VIEWS:
            strokes = detections[view].strokes
            seen = () if strokes is None else strokes.strokes
            true = take.strokes(view)
            if len(seen) != len(true):
                continue
            for number, (each, wanted) in enumerate(zip(seen, true, strict=True), start=1):
                name = f"{take.name} {view} {number}"
                arrays |= {f"{name} {part}": getattr(each, part).astype(np.float32) for part in _ARRAYS}
                arrays[f"{name} times_s"] = each.times_s
                told[name] = {
                    "view": view,
                    "address_s": list(each.address_s),
                    "stroke_s": list(each.stroke_s),
                    "camera_sd_px": each.camera_sd_px,
                    "ball_leaves_s": as_json(each.ball_leaves_s),
                    "kind": each.kind,
                    "why": each.why,
                    "true_kind": wanted.kind,
                    "true_events": dict(wanted.events),
                }
    np.savez_compressed(KEPT, told=np.array(json.dumps(told)), **arrays)


def _read(name: str, told: dict[str, Any], kept: Any) -> KeptStroke:
    view: View = told["view"]
    parts = {part: np.asarray(kept[f"{name} {part}"], dtype=float) for part in _ARRAYS}
    seen = SeenStroke(
        view=view,
        address_s=tuple(told["address_s"]),
        stroke_s=tuple(told["stroke_s"]),
        camera_sd_px=told["camera_sd_px"],
        ball_leaves_s=as_value(told["ball_leaves_s"], Estimate),
        kind=told["kind"],
        why=told["why"],
        depth=np.zeros(parts["visibility"].shape),
        **parts,
    )
    events = {event: float(told["true_events"][event]) for event in STROKE_EVENTS}
    return KeptStroke(name=name, seen=seen, kind=told["true_kind"], events=events)


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("set", type=Path)
    parser.add_argument("work", type=Path)
    parser.add_argument("names", nargs="+")
    options = parser.parse_args()
    chosen = [take for take in read_takes(options.set, parts={"held_out"}) if take.name in options.names]
    keep_strokes(chosen, options.work)
    print(KEPT.name, KEPT.stat().st_size, [kept.name for kept in read_kept_strokes()])
