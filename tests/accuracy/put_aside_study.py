"""How often the fit puts aside a number that is right, and one that is not, and how often its interval holds then.

    python tests/accuracy/put_aside_study.py [--runs 3000]

A student is filmed in the wanted setup. Body, hold and the errors of filming are drawn from what the model itself says
of them, so that nothing is wrong and the right length is known; then one number is made wrong by so much, as by a hold
far down the grip, a wrong scale or a wrong point. "believed" is the same with no number ever treated as an outlier.
"""

import argparse
from collections.abc import Mapping

import numpy as np
import pandas as pd
from attrs import evolve, frozen
from fit_grid import film

from putt_posture.fitting.body_model import find_setup
from putt_posture.fitting.filmed import add_filmed_errors, find_filmed_data
from putt_posture.fitting.geometry import find_length
from putt_posture.fitting.inputs import find_putter_in_use, read_filmed_setup
from putt_posture.fitting.posterior import Datum, update
from putt_posture.fitting.put_aside import DOUBTED, PUT_ASIDE
from putt_posture.fitting.student_model import find_student_model
from putt_posture.values import NORMAL_95, Floats, Student, WantedSetup

STUDENT = Student(stature_cm=178.0, handed="right", sex="male", wrist_floor_cm=85.7, putter_length_cm=84.0)

WANTED = WantedSetup(tilt_deg=38.0)
"""With a tilt, so that what is drawn is all that is known beforehand."""

NOTHING: Mapping[str, float] = {}


@frozen(kw_only=True, eq=False)
class Filmed:
    """What is measured of a student beside what the model predicts of it, and the length that each body takes, cm."""

    data: Mapping[str, Datum]
    centre: float
    lengths: Floats


def find_filmed(student: Student = STUDENT) -> Filmed:
    """Film a student in the wanted setup."""
    filmed = read_filmed_setup(film(student))
    model = add_filmed_errors(find_student_model(student, WANTED), filmed)

    def length(body: Mapping[str, Floats]) -> Floats:
        setup = find_setup({**body, "slack": body["slack"] + body["change"]}, WANTED, sex=student.sex)
        return find_length(setup.hand_height, setup.lie, body["hold"])

    samples = model.spread()
    return Filmed(
        data=find_filmed_data(model, samples, filmed, putter=find_putter_in_use(student), sex=student.sex),
        centre=float(length(model.centre())),
        lengths=length(samples),
    )


def draw_fits(
    filmed: Filmed, *, runs: int, wrong: Mapping[str, float] = NOTHING, slips: bool = True, seed: int = 0
) -> pd.DataFrame:
    """Draw bodies and what is measured of them, and return one row a run.

    Parameters
    ----------
    filmed : Filmed
    runs : int
    wrong : mapping of name to float
        What is added to a measured number, cm.
    slips : bool
        Whether a number may be taken for a slip.
    seed : int

    Returns
    -------
    DataFrame
        How much of each number is put aside, under its name, and ``error`` and ``margin`` of the length, cm.
    """
    random = np.random.default_rng(seed)
    data = [one if slips else evolve(one, slip=0.0) for one in filmed.data.values()]
    samples = np.column_stack([one.samples for one in data])
    noise = np.array([one.standard_uncertainty for one in data])
    bodies = random.integers(len(samples), size=runs)
    measured = samples[bodies] + noise * random.standard_normal((runs, len(data)))
    measured += [wrong.get(name, 0.0) for name in filmed.data]
    rows = []
    for body, row in zip(bodies, measured, strict=True):
        posterior = update([evolve(one, measured=value) for one, value in zip(data, row, strict=True)])
        answer = filmed.centre + posterior.shift(filmed.centre, filmed.lengths)
        margin = NORMAL_95 * posterior.standard_uncertainty(filmed.centre, filmed.lengths)
        rows.append([*posterior.aside(), answer - filmed.lengths[body], margin])
    return pd.DataFrame(rows, columns=[*filmed.data, "error", "margin"])


CASES: tuple[Mapping[str, float], ...] = (
    NOTHING,
    *({"putter": by} for by in (2.5, 5.0, 7.5, 10.0, 12.5, -7.5, -10.0)),
    *({"hand_height": by} for by in (5.0, 10.0, 15.0, -10.0)),
    *({"eye_offset": by} for by in (10.0, 15.0, 20.0)),
)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--runs", type=int, default=3000)
    runs = parser.parse_args().runs
    filmed = find_filmed()
    print("| wrong, cm | put aside, % | believed in part, % | a right one put aside, % | holds % | RMSE, in | ±, in |"
          " believed: holds % | RMSE, in |\n|---|---|---|---|---|---|---|---|---|")  # fmt: skip
    for wrong in CASES:
        found, believed = (draw_fits(filmed, runs=runs, wrong=wrong, slips=slips) for slips in (True, False))
        bad, right = list(wrong), [name for name in filmed.data if name not in wrong]
        aside = 100 * (found[bad] >= PUT_ASIDE).any(axis=1).mean()
        said = 100 * (found[bad] >= DOUBTED).any(axis=1).mean() - aside
        falsely = 100 * (found[right] >= PUT_ASIDE).any(axis=1).mean()
        cells = [" ".join(f"{name} {by:+g}" for name, by in wrong.items()) or "nothing"]
        cells += [f"{aside:.0f}", f"{said:.0f}"] if wrong else ["", ""]
        cells += [f"{falsely:.1f}", *_sum_up(found), f"{found.margin.median() / 2.54:.1f}", *_sum_up(believed)]
        print(f"| {' | '.join(cells)} |")


def _sum_up(found: pd.DataFrame) -> tuple[str, str]:
    holds = 100 * (found.error.abs() <= found.margin).mean()
    return f"{holds:.0f}", f"{np.sqrt((found.error**2).mean()) / 2.54:.2f}"


if __name__ == "__main__":
    main()
