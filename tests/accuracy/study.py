"""How far the measures are from the truth on rendered golfers.

Make golfers with ``sample_clips/make_stills.py OUT``, then::

    python tests/accuracy/study.py OUT [--part held_out] [--shot usual] [--by yaw light] [--markdown] [--csv FILE]

The two stills of each shot go through the whole pipeline as a coach would use it: stature, sex and hand are typed,
shaft and ball are left to the program (``--no-find`` gives them as the truth projects them), and the putter's length
is not given, so that the scale comes from stature. A refused shot counts as absent in every measure.
"""

import argparse
import datetime
import importlib.metadata
import sys
import textwrap
from collections import Counter
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Final

import pandas as pd
from conditions import CONDITIONS, OF_THE_SHOT, OF_THE_VIEW
from measuring import measure_shots
from print_tables import as_markdown, as_text
from shots import NOT_STATED, PARTS, SHOTS, Shot, read_shots
from tables import ENOUGH_FOR_HIGH, label_shots, tabulate_condition, tabulate_measures, tabulate_scene
from targets import MOST_ABSENT_PERCENT, MOST_WIDTH, SHOULD_HOLD_PERCENT

from putt_posture import PuttPostureError
from putt_posture.values import VIEW_TITLES, VIEWS, View

_ROOT: Final = Path(__file__).parents[2]
_LIBRARIES: Final = {"mediapipe": "mediapipe", "OpenCV": "opencv-contrib-python", "NumPy": "numpy"}
_WIDTH: Final = 120
_CAMERA: Final = ("yaw_deg", "roll_deg", "distance_m", "height_m")


def main(arguments: Sequence[str] | None = None) -> int:
    """Run the study and print its tables; return the exit code."""
    options = _read_options(arguments)
    try:
        shots = read_shots(
            options.folder,
            parts=None if options.part == "all" else {options.part},
            kinds=None if options.shot == "all" else {options.shot},
        )
    except PuttPostureError as error:
        print(error, file=sys.stderr)
        return 2
    views = VIEWS if options.views == "both" else (options.views,)
    rows = measure_shots(
        shots, views=views, find=options.find, cache=options.cache, jobs=options.jobs, tell=_teller(len(shots))
    )
    groups = label_shots(shots)
    if options.csv:
        _with_conditions(rows, shots).to_csv(options.csv, index=False)
    show = as_markdown if options.markdown else as_text
    print(_headline(shots, views=views, find=options.find), end="\n\n")
    print(show(tabulate_measures(rows)))
    print(f"\nScale and camera\n\n{show(tabulate_scene(rows))}")
    for condition in CONDITIONS if "all" in options.by else options.by:
        print(f"\nBy {condition}\n\n{show(tabulate_condition(rows, groups, condition))}")
    _tell_refusals(rows)
    return 0


def _read_options(arguments: Sequence[str] | None) -> argparse.Namespace:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("folder", type=Path, help="folder of shots")
    parser.add_argument("--part", choices=(*PARTS, "all"), default="all", help="what the golfers are for")
    parser.add_argument("--shot", choices=(*SHOTS, "all"), default="all", help="how they were filmed")
    parser.add_argument("--views", choices=("both", *VIEWS), default="both")
    parser.add_argument(
        "--find",
        action=argparse.BooleanOptionalAction,
        default=True,
        help="leave shaft and ball to the program, or give them as the truth projects them (default: leave them)",
    )
    parser.add_argument(
        "--by",
        nargs="+",
        metavar="CONDITION",
        choices=(*CONDITIONS, "all"),
        default=[],
        help=f"a second table for each of: {', '.join(CONDITIONS)}; or all",
    )
    parser.add_argument("--markdown", action="store_true", help="print the tables as Markdown")
    parser.add_argument("--csv", type=Path, metavar="FILE", help="write every single value here")
    parser.add_argument("--jobs", type=int, default=1, metavar="N", help="shots measured at the same time")
    parser.add_argument("--cache", type=Path, metavar="FOLDER", help="keep the landmark model's detections here")
    options = parser.parse_args(arguments)
    if options.cache is not None and options.cache.resolve().is_relative_to(_ROOT):
        parser.error(f"--cache {options.cache} is inside the project; kept detections belong outside it.")
    return options


def _headline(shots: Sequence[Shot], *, views: Sequence[View], find: bool) -> str:
    """Return when and with what was studied, on which shots, and what the columns mean."""
    versions = [f"putt_posture {importlib.metadata.version('putt_posture')}"]
    versions += [f"{name} {importlib.metadata.version(package)}" for name, package in _LIBRARIES.items()]
    kinds = Counter((shot.part, shot.kind) for shot in shots)
    said = ", ".join(
        f"{count} {kind if kind != NOT_STATED else ''} of part {part}"
        if part != NOT_STATED
        else f"{count} of no stated part"
        for (part, kind), count in kinds.items()
    )
    seeds = sorted({shot.seed for shot in shots})
    angle = "both views" if len(views) > 1 else f"only {VIEW_TITLES[views[0]].lower()}"
    low, high = SHOULD_HOLD_PERCENT
    sentences = (
        f"{datetime.date.today():%Y-%m-%d}, {', '.join(versions)}.",
        f"{len(shots)} shots ({said}; seeds {seeds[0]} to {seeds[-1]}), {angle}, "
        f"shaft and ball {'found by the program' if find else 'given'}, scale from stature.",
        "u: median standard uncertainty. ±/RMSE: median half-width of the 95 % interval in RMSE. "
        "holds: how often it holds the truth.",
        f"Met: RMSE within its target, absent at most {MOST_ABSENT_PERCENT:g} %, holds {low:g} to {high:g} % "
        f"(the upper limit from {ENOUGH_FOR_HIGH} shots on), ±/RMSE at most {MOST_WIDTH:g}.",
    )
    return textwrap.fill(" ".join(sentences), _WIDTH)


def _teller(total: int) -> Callable[[str], None]:
    done = 0

    def tell(name: str) -> None:
        nonlocal done
        done += 1
        print(f"\r{done}/{total} {name}  ", end="" if done < total else "\n", file=sys.stderr, flush=True)

    return tell


def _with_conditions(rows: pd.DataFrame, shots: Sequence[Shot]) -> pd.DataFrame:
    """Return the rows with the conditions of the shot, and of each view in columns such as ``yaw_deg_face_on``."""
    said = []
    for shot in shots:
        of_shot = {name: find(shot, VIEWS[0]) for name, find in OF_THE_SHOT.items()}
        of_views = {f"{name}_{view}": find(shot, view) for name, find in OF_THE_VIEW.items() for view in VIEWS}
        cameras = {f"{name}_{view}": shot.truth["views"][view]["camera"][name] for name in _CAMERA for view in VIEWS}
        said.append({"folder": shot.name, **of_shot, **of_views, **cameras})
    return rows.merge(pd.DataFrame(said), on="folder", how="left", validate="many_to_one")


def _tell_refusals(rows: pd.DataFrame) -> None:
    refused = rows[rows.absent.fillna("").str.startswith("Refused: ")].drop_duplicates("folder")
    for folder, reason in zip(refused.folder, refused.absent, strict=True):
        print(f"{folder}: {reason}", file=sys.stderr)


if __name__ == "__main__":
    sys.exit(main())
