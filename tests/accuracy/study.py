"""How far the measures are from the truth on rendered golfers.

Make golfers with ``sample_clips/make_stills.py OUT``, then::

    python tests/accuracy/study.py OUT [--views both|down_the_line|face_on] [--find] [--csv FILE]

Each golfer's two stills go through the whole pipeline with stature, sex and hand as a coach would type them; shaft
and ball are given as the truth projects them, or with ``--find`` left to the program. The putter's length is not
given, so the scale comes from stature. Printed for each measure: how many, how many absent, bias, standard
deviation, root mean square error, 95th percentile and worst of the absolute error, the median standard uncertainty,
and how often the 95 % interval holds the truth.
"""

import argparse
import json
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pandas as pd

from putt_posture import PuttPostureError, Student, measure_lesson
from putt_posture.values import MEASURES, VIEWS, View

PICTURES: dict[View, str] = {"down_the_line": "dtl.png", "face_on": "fo.png"}


def measure_golfer(folder: Path, *, views: tuple[View, ...], find: bool = False) -> Iterator[dict[str, object]]:
    """Measure one golfer; yield a row for each measure."""
    truth = json.loads((folder / "truth.json").read_text())
    told = truth["student"]
    places = {} if find else {view: truth["views"][view]["joints_px"] for view in views}
    try:
        posture = measure_lesson(
            student=Student(stature_cm=told["stature_cm"], handed=told["handed"], sex=told["sex"]),
            **{view: folder / PICTURES[view] for view in views},
            shaft_at={view: (tuple(at["putter_butt"]), tuple(at["putter_sole"])) for view, at in places.items()},
            ball_at={view: tuple(at["ball"]) for view, at in places.items()},
        ).posture
    except PuttPostureError as error:
        print(f"{folder.name}: {error}")
        posture = None
    for name, (unit, _) in MEASURES.items():
        estimate = posture[name] if posture else None
        yield {
            "golfer": folder.name,
            "measure": name,
            "unit": unit,
            "truth": truth["measures"][name],
            "value": estimate.value if estimate else np.nan,
            "standard_uncertainty": estimate.standard_uncertainty if estimate else np.nan,
            "holds": bool(estimate) and estimate.low <= truth["measures"][name] <= estimate.high,
        }


def tabulate(rows: pd.DataFrame) -> pd.DataFrame:
    """Return one row a measure."""
    table = []
    for name in MEASURES:
        chosen = rows[(rows.measure == name) & rows.truth.notna()]
        seen = chosen[chosen.value.notna()]
        if seen.empty:
            continue
        error = seen.value - seen.truth
        table.append(
            {
                "measure": name,
                "unit": seen.unit.iloc[0],
                "n": len(seen),
                "absent": len(chosen) - len(seen),
                "bias": error.mean(),
                "SD": error.std(ddof=0),
                "RMSE": np.sqrt((error**2).mean()),
                "p95": error.abs().quantile(0.95),
                "worst": error.abs().max(),
                "u": seen.standard_uncertainty.median(),
                "holds %": 100 * seen.holds.mean(),
            }
        )
    return pd.DataFrame(table).set_index("measure")


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("stills", type=Path)
    parser.add_argument("--views", choices=("both", *VIEWS), default="both")
    parser.add_argument("--find", action="store_true", help="leave shaft and ball to the program")
    parser.add_argument("--csv", type=Path, help="write every single value here")
    options = parser.parse_args()
    views = VIEWS if options.views == "both" else (options.views,)
    folders = sorted(path.parent for path in options.stills.glob("*/truth.json"))
    rows = pd.DataFrame(row for folder in folders for row in measure_golfer(folder, views=views, find=options.find))
    if options.csv:
        rows.to_csv(options.csv, index=False)
    print(f"{len(folders)} golfers, {options.views}, shaft and ball {'found' if options.find else 'given'}")
    print(tabulate(rows).round(2).to_string())


if __name__ == "__main__":
    main()
