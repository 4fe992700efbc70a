"""Make `putt_posture/body/tables/ansur2.csv` from the public release of ANSUR II.

Source: Gordon, Blackwell, Bradtmiller et al. (2014), 2012 Anthropometric Survey of U.S. Army Personnel: Methods and
Summary Statistics, Natick/TR-15/007, with its public data files ``ANSUR_II_FEMALE_Public.csv`` and
``ANSUR_II_MALE_Public.csv`` (millimetres, latin-1). Nothing is judged here: every row is one dimension of the survey or
a sum or difference of two or three of them on the same person. Written are the mean and spread, the least-squares line
on stature, and the least-squares plane on stature and standing wrist height.

Run: ``python make_ansur2_tables.py FEMALE_CSV MALE_CSV > ansur2.csv``
"""

import csv
import sys
from collections.abc import Sequence
from pathlib import Path

import numpy as np
import pandas as pd

Terms = dict[str, float]

DIMENSIONS: dict[str, Terms] = {
    "stature": {"stature": 1},
    "acromial_height": {"acromialheight": 1},
    "cervicale_height": {"cervicaleheight": 1},
    "suprasternale_height": {"suprasternaleheight": 1},
    "chest_height": {"chestheight": 1},
    "tenth_rib_height": {"tenthribheight": 1},
    "omphalion_height": {"waistheightomphalion": 1},
    "trochanterion_height": {"trochanterionheight": 1},
    "knee_height": {"lateralfemoralepicondyleheight": 1},
    "malleolus_height": {"lateralmalleolusheight": 1},
    "wrist_height": {"wristheight": 1},
    "eye_height": {"stature": 1, "sittingheight": -1, "eyeheightsitting": 1},
    "grip_centre_height": {"wristheight": 1, "forearmcenterofgriplength": -1, "forearmhandlength": 1, "handlength": -1},
    "acromion_to_trochanterion": {"acromialheight": 1, "trochanterionheight": -1},
    "trochanterion_to_knee": {"trochanterionheight": 1, "lateralfemoralepicondyleheight": -1},
    "knee_to_malleolus": {"lateralfemoralepicondyleheight": 1, "lateralmalleolusheight": -1},
    "trochanterion_to_malleolus": {"trochanterionheight": 1, "lateralmalleolusheight": -1},
    "acromion_radiale": {"acromionradialelength": 1},
    "radiale_stylion": {"radialestylionlength": 1},
    "acromion_to_stylion": {"acromionradialelength": 1, "radialestylionlength": 1},
    "wrist_to_grip_centre": {"forearmcenterofgriplength": 1, "forearmhandlength": -1, "handlength": 1},
    "hand_length": {"handlength": 1},
    "palm_length": {"palmlength": 1},
    "hand_breadth": {"handbreadth": 1},
    "biacromial_breadth": {"biacromialbreadth": 1},
    "bideltoid_breadth": {"bideltoidbreadth": 1},
    "bicristal_breadth": {"bicristalbreadth": 1},
    "hip_breadth": {"hipbreadth": 1},
    "chest_breadth": {"chestbreadth": 1},
    "chest_depth": {"chestdepth": 1},
    "waist_breadth": {"waistbreadth": 1},
    "waist_depth": {"waistdepth": 1},
    "buttock_depth": {"buttockdepth": 1},
    "foot_length": {"footlength": 1},
    "foot_breadth": {"footbreadthhorizontal": 1},
    "heel_breadth": {"heelbreadth": 1},
    "head_length": {"headlength": 1},
    "head_breadth": {"headbreadth": 1},
    "tragion_to_vertex": {"tragiontopofhead": 1},
    "span": {"span": 1},
}

HEADER = (
    "dimension", "sex", "n", "mean_cm", "sd_cm", "intercept_cm", "slope", "see_cm",
    "wrist_intercept_cm", "wrist_stature_slope", "wrist_slope", "wrist_see_cm",
)  # fmt: skip


def main(arguments: Sequence[str]) -> None:
    """Write the table to standard output."""
    if len(arguments) != 2:
        raise SystemExit("Two files are needed: the female and the male public CSV of ANSUR II.")
    writer = csv.writer(sys.stdout, lineterminator="\n")
    writer.writerow(HEADER)
    for sex, path in zip(("female", "male"), arguments, strict=True):
        people = pd.read_csv(Path(path), encoding="latin-1")
        stature, wrist = (people[name].to_numpy(float) / 10 for name in ("stature", "wristheight"))
        for dimension, terms in DIMENSIONS.items():
            values = sum(sign * people[column].to_numpy(float) for column, sign in terms.items()) / 10
            line, see = _regress(values, stature)
            plane, wrist_see = _regress(values, stature, wrist)
            numbers = (values.mean(), values.std(ddof=1), *line, see, *plane, wrist_see)
            writer.writerow((dimension, sex, len(people), *(f"{number + 0.0:.5g}" for number in numbers)))


def _regress(values: np.ndarray, *predictors: np.ndarray) -> tuple[np.ndarray, float]:
    design = np.column_stack((np.ones_like(values), *predictors))
    coefficients = np.linalg.lstsq(design, values, rcond=None)[0]
    coefficients[np.abs(coefficients) < 1e-9] = 0.0
    residuals = values - design @ coefficients
    see = float(np.sqrt(residuals @ residuals / (len(values) - design.shape[1])))
    return coefficients, 0.0 if see < 1e-9 else see


if __name__ == "__main__":
    main(sys.argv[1:])
