"""Measure golfers with a planted fault and keep what findings are made from, one line each.

    python tests/findings/keep_planted.py STUDY_SET [--into FILE]

STUDY_SET is what `sample_clips/make_stills.py` makes of seeds from 1900 on. A golfer that the file holds already is not
measured again; so the file may be filled while the set is still being made. The putter's length is typed for every
second seed, as some coaches type it and some do not.
"""

import argparse
import json
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any, Final

from planted import HERE, KEPT, is_typed

from putt_posture import PuttPostureError, Student, measure_lesson
from putt_posture.documents.json_values import as_json, measure_as_json
from putt_posture.values import Estimate

_DIGITS: Final = 5
_OF_ESTIMATE: Final = (
    "value",
    "standard_uncertainty",
    "unit",
    "view",
    "method",
    "absent",
    "floor",
    "budget",
    "repeats",
)
"""What findings read of an estimate."""
_ALWAYS: Final = ("value", "standard_uncertainty", "unit", "absent", "floor")


def measure_golfer(folder: Path) -> dict[str, Any]:
    """Measure one golfer as the command does, and return what is kept.

    Parameters
    ----------
    folder : Path
        With the two stills and ``truth.json``.

    Returns
    -------
    dict
        Who it is, what was planted, the truth, and the measured posture and fit; or why it was refused.
    """
    truth = json.loads((folder / "truth.json").read_text(encoding="utf-8"))
    told, planted = truth["student"], truth["planted"]
    student = Student(
        stature_cm=told["stature_cm"],
        handed=told["handed"],
        sex=told["sex"],
        putter_length_cm=round(told["putter_length_cm"], 1) if is_typed(truth["seed"]) else None,
    )
    kept = {
        "seed": truth["seed"],
        "fault": planted["fault"],
        "right_putter_cm": planted["right_putter_cm"],
        "putter_cm": told["putter_length_cm"],
        "wanted": planted["wanted"],
        "truth": truth["measures"],
        "student": as_json(student),
    }
    files = {view: folder / truth["views"][view]["file"] for view in ("down_the_line", "face_on")}
    try:
        lesson = measure_lesson(student=student, **files)
    except PuttPostureError as error:
        return kept | {"refused": str(error)}
    fit = lesson.fit
    return kept | {
        "posture": {name: short_estimate(estimate) for name, estimate in lesson.posture.items()},
        "fit": {
            "putter_length": short_estimate(fit.putter_length),
            "stock_length_in": fit.stock_length_in,
            "lie": short_estimate(fit.lie),
            "setup": {name: short_estimate(estimate) for name, estimate in fit.setup.items()},
        },
    }


def short_estimate(estimate: Estimate) -> dict[str, Any]:
    """Return what findings read of an estimate, as `as_value` takes it.

    Parameters
    ----------
    estimate : Estimate
        May be absent.
    """
    entry = measure_as_json(estimate)
    kept = {name: _rounded(entry[name]) for name in _OF_ESTIMATE if name in _ALWAYS or entry[name]}
    return kept | {"coverage": round(estimate.coverage, _DIGITS)}


def _rounded(entry: Any) -> Any:
    if isinstance(entry, float):
        return round(entry, _DIGITS)
    if isinstance(entry, dict):
        return {name: _rounded(value) for name, value in entry.items()}
    return [_rounded(value) for value in entry] if isinstance(entry, list) else entry


def _seeds_in(file: Path) -> Iterator[int]:
    if file.exists():
        for line in file.read_text(encoding="utf-8").splitlines():
            yield int(json.loads(line)["seed"])


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("study_set", type=Path)
    parser.add_argument("--into", type=Path, default=HERE / KEPT)
    options = parser.parse_args()
    there = set(_seeds_in(options.into))
    options.into.parent.mkdir(parents=True, exist_ok=True)
    for truth in sorted(options.study_set.glob("*/truth.json")):
        if int(truth.parent.name.split("_")[1]) in there:
            continue
        kept = measure_golfer(truth.parent)
        with options.into.open("a", encoding="utf-8") as file:
            file.write(json.dumps(kept, separators=(",", ":")) + "\n")
        print(truth.parent.name, kept["fault"], kept.get("refused", ""), file=sys.stderr, flush=True)


if __name__ == "__main__":
    main()
