"""How near the fit comes to the putter of rendered golfers whose setup is known.

Make golfers with ``sample_clips/make_stills.py OUT``, then::

    python tests/accuracy/fit_study.py OUT [--csv FILE]

Nothing is measured in pictures: each golfer's true angles are the wanted setup, and where the hands sit on the grip is
told. What is left is the body model: with the true lengths between the joints (``known``), with stature, sex and wrist
height as a coach would type them (``taped``), and with stature and sex alone (``stature``). Printed for length and lie:
bias, standard deviation, root mean square and worst error, median standard uncertainty, and how often the 95 % interval
holds the truth.
"""

import argparse
import json
from collections.abc import Iterator, Mapping
from pathlib import Path

import numpy as np
import pandas as pd

from putt_posture.body import find_grip_distance
from putt_posture.fitting.body_model import CLIP_LENGTHS, ClipLengths, curl_trunk
from putt_posture.fitting.solution import SetupSolution, solve_setup
from putt_posture.fitting.student_model import WANTED_SETUP_SD, find_student_model
from putt_posture.values import Estimate, Student, WantedSetup

JOINT_SD_CM = 0.2
"""How well the true joints of a rendered body are the joints of the model, one sigma, cm."""

HELD_HOLD_SD_CM = 0.3
"""How well it is told where the hands sit on the grip."""


def read_setup(truth: Mapping, student: Student) -> WantedSetup:
    """Return the true setup as what is wanted."""
    measures = truth["measures"]
    ear, eye = (_middle(truth, name) for name in ("ear", "eye"))
    pitch = float(np.degrees(np.arctan2(ear[2] - eye[2], eye[1] - ear[1])))
    return WantedSetup(
        hand_offset_cm=measures["hand_offset"],
        eye_offset_cm=measures["eye_offset"],
        balance_percent=truth["extras"]["balance_from_segments"],
        knee_flex_deg=measures["knee_flex"],
        back_rounding_deg=measures["back_rounding"],
        head_drop_deg=measures["head_drop"],
        eyes_lowered_deg=90 - pitch,
        elbow_bend_deg=(measures["elbow_bend_lead"] + measures["elbow_bend_trail"]) / 2,
        tilt_deg=measures["spine_tilt"],
        grip_down_cm=truth["extras"]["butt_to_hand_centre"] - find_grip_distance(student).value,
    )


def _middle(truth: Mapping, name: str) -> np.ndarray:
    left, right = (np.array(truth["joints_m"][f"{side}_{name}"]) for side in ("left", "right"))
    return (left + right) / 2


def read_lengths(truth: Mapping) -> ClipLengths:
    """Return the true lengths between the joints; the trunk as it would be with a flat back."""
    extras, rounding = truth["extras"], truth["measures"]["back_rounding"]
    shoulder, ear = (_middle(truth, name) for name in ("shoulder", "ear"))
    changed = {
        "trunk": extras["trunk"] / float(curl_trunk(rounding)),
        "neck": 100 * float(np.hypot(*(ear - shoulder)[1:])),
    }
    values = {name: changed.get(name, extras.get(name)) for name in CLIP_LENGTHS}
    lengths = {name: Estimate(value=cm, standard_uncertainty=JOINT_SD_CM, unit="cm") for name, cm in values.items()}
    return ClipLengths(lengths=lengths)


def solve_golfer(truth: Mapping, *, known: str) -> SetupSolution:
    """Solve the true setup of one golfer from what is `known` of the body."""
    told = truth["student"]
    student = Student(
        stature_cm=told["stature_cm"],
        handed=told["handed"],
        sex=told["sex"],
        wrist_floor_cm=None if known == "stature" else told["wrist_floor_cm"],
    )
    wanted = read_setup(truth, student)
    model = find_student_model(student, wanted, measured=read_lengths(truth) if known == "known" else None)
    # The setup is known here, and so is the hold: what students depart from it by is left out.
    samples = {
        name: np.zeros_like(values) if name in (*WANTED_SETUP_SD, "change") else values
        for name, values in model.spread().items()
    }
    hold = model.centre()["hold"]
    samples["hold"] = hold + (samples["hold"] - hold) * HELD_HOLD_SD_CM / model["hold"].standard_uncertainty
    return solve_setup(model, samples, wanted, sex=student.sex)


def compare_golfer(folder: Path, *, known: str) -> Iterator[dict[str, object]]:
    """Compare length and lie of one golfer with the truth."""
    truth = json.loads((folder / "truth.json").read_text())
    solution = solve_golfer(truth, known=known)
    true = {"length": truth["student"]["putter_length_cm"], "lie": truth["measures"]["shaft_lie"]}
    for name, found in (("length", solution.length), ("lie", solution.lie)):
        if not found:
            print(f"{folder.name}: {found.absent}")
            continue
        unit = 2.54 if name == "length" else 1.0
        yield {
            "golfer": folder.name,
            "known": known,
            "quantity": f"{name}, {'in' if name == 'length' else 'deg'}",
            "error": (found.value - true[name]) / unit,
            "u": found.standard_uncertainty / unit,
            "holds": found.low <= true[name] <= found.high,
        }


def tabulate(rows: pd.DataFrame) -> pd.DataFrame:
    """Return one row for each quantity and what was known."""
    groups = rows.groupby(["known", "quantity"], sort=False)
    return pd.DataFrame(
        {
            "n": groups.size(),
            "bias": groups.error.mean(),
            "SD": groups.error.std(ddof=0),
            "RMSE": groups.error.apply(lambda error: float(np.sqrt((error**2).mean()))),
            "worst": groups.error.apply(lambda error: float(error.abs().max())),
            "u": groups.u.median(),
            "holds %": 100 * groups.holds.mean(),
        }
    )


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("stills", type=Path)
    parser.add_argument("--csv", type=Path, help="write every single value here")
    options = parser.parse_args()
    folders = sorted(path.parent for path in options.stills.glob("*/truth.json"))
    rows = pd.DataFrame(
        row
        for known in ("known", "taped", "stature")
        for folder in folders
        for row in compare_golfer(folder, known=known)
    )
    if options.csv:
        rows.to_csv(options.csv, index=False)
    print(f"{len(folders)} golfers")
    print(tabulate(rows).round(2).to_string())


if __name__ == "__main__":
    main()
