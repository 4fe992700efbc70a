"""An invented academy: students and lessons drawn by chance, written as the tables that ``archive export-all`` writes.

No one in it exists, and nothing in it was measured. It is drawn by a few closed models, so that what a statistic should
find is known. Lengths are cm, angles degrees; every student has a first lesson, the rebuilt setup on the same day, and
perhaps checks within the next year.

- Rebuild: in each of six measures a share of the students is changed, by a normal amount. The other measures stay.
- Later: a change holds, or goes back exponentially. More of the minors' changes go back.
- Who comes back: 62 of 100 adults and 38 of 100 minors, whatever became of them. So those who come back are not like all.
- Noise: a new error in each lesson, and an error that a student's lessons mostly share. Both are as the stated
  uncertainty says.
- Putters: the longer the putter, the more often it is cut; it is known only of those who come back.
"""

from datetime import date, timedelta
from pathlib import Path

import numpy as np
import pandas as pd
from attrs import frozen

from putt_posture.archive.export.frame_columns import FORMS, FrameForm
from putt_posture.archive.export.frames import columns_of, empty_of
from putt_posture.archive.export.parquet import ParquetTable
from putt_posture.changes import OFFSETS_SHARED
from putt_posture.measures import MEASURES

__all__ = ["REBUILT", "Academy", "draw_academy", "write_academy"]

STUDENTS, SEED = 50_000, 17
FIRST_DAY = date(2023, 1, 9)
_CHUNK = 2_000
"""Students that are written together."""
REBUILT = {
    # share of students who are changed, mean change, how much it differs, share of adults' changes that hold, weeks
    # until two thirds of the others are gone
    "spine_tilt": (0.45, 13.0, 4.0, 0.75, 16.0),
    "back_rounding": (0.30, -20.0, 6.0, 0.40, 10.0),
    "hand_offset": (0.35, -7.0, 2.2, 0.80, 20.0),
    "eye_offset": (0.40, 8.0, 2.5, 0.85, 24.0),
    "knee_flex": (0.25, 10.0, 3.0, 0.50, 12.0),
    "stance_width": (0.20, 6.0, 2.0, 0.95, 30.0),
}
MINORS_HOLD_LESS = 0.25
COMES_BACK = {"adult": 0.62, "minor": 0.38}
CUT = {33.0: 0.03, 34.0: 0.18, 35.0: 0.45, 36.0: 0.62}
"""How often a putter of so many inches is cut, for adults; for minors two thirds of it."""
_USUAL = {
    # mean and how people differ; noise that is new in each lesson, and the error that lessons share
    "deg": (20.0, 5.0, 2.0, 1.2),
    "cm": (10.0, 4.0, 1.0, 0.6),
    "%": (53.0, 4.0, 3.0, 1.5),
}
_SHARED_CAUSE = "renders are not people"
_ABSENT = "The ball was not found in the picture. Leave nothing else that is round and white near the feet."
_CM_PER_INCH = 2.54


@frozen(kw_only=True)
class Academy:
    """What was drawn; the first axis is the student, measures are in the order of `MEASURES`.

    Attributes
    ----------
    minor, comes_back : (n,) bool
    born : (n,) days before the first lesson
    first : (n,) days since `FIRST_DAY`
    weeks : (n,) float
        Of the last check after the rebuild, whether the student came or not.
    change : (n, m) float
        What the rebuild changed truly; 0 where nothing.
    left : (n, m) float
        The share of it that is left at the last check; 1 where it holds.
    measured : (n, 3, m) float
        Before, after and at the last check, with noise; NaN where absent.
    new, shared : (n, 3, m) float
        One sigma of the two parts of the noise.
    putter_in : (n,) float
        In use before, inches.
    cut_in : (n,) float
        By how much it was cut after the rebuild, inches; 0 where it was not.
    """

    minor: np.ndarray
    comes_back: np.ndarray
    born: np.ndarray
    first: np.ndarray
    weeks: np.ndarray
    change: np.ndarray
    left: np.ndarray
    measured: np.ndarray
    new: np.ndarray
    shared: np.ndarray
    putter_in: np.ndarray
    cut_in: np.ndarray


def draw_academy(*, students: int = STUDENTS, seed: int = SEED) -> Academy:
    """Draw an academy; the same seed draws the same one."""
    rng = np.random.default_rng(seed)
    names, count = list(MEASURES), len(MEASURES)
    minor = rng.random(students) < 0.3
    years = np.where(minor, rng.uniform(10, 17, students), rng.uniform(18.5, 75, students))
    weeks = rng.uniform(6, 50, students)
    change, left = np.zeros((students, count)), np.ones((students, count))
    for name, (share, mean, differs, holds, slow) in REBUILT.items():
        at = names.index(name)
        changed = rng.random(students) < share
        change[changed, at] = rng.normal(mean, differs, changed.sum())
        goes = rng.random(students) >= holds - MINORS_HOLD_LESS * minor
        left[goes, at] = np.exp(-weeks[goes] / slow)
    usual = np.array([_USUAL[MEASURES[name].unit] for name in names])
    own = usual[:, 0] + usual[:, 1] * rng.standard_normal((students, count))
    truth = np.stack([own, own + change, own + change * left], axis=1)
    new = usual[:, 2] * rng.lognormal(0, 0.2, truth.shape)
    shared = np.broadcast_to(usual[:, 3], truth.shape)
    rho = np.array([OFFSETS_SHARED[MEASURES[name].views[0]] for name in names])
    offset = np.sqrt(rho) * rng.standard_normal((students, 1, count))
    offset = shared * (offset + np.sqrt(1 - rho) * rng.standard_normal(truth.shape))
    measured = truth + offset + new * rng.standard_normal(truth.shape)
    measured[rng.random(truth.shape) < 0.02] = np.nan
    putter = rng.choice(list(CUT), students, p=[0.2, 0.35, 0.3, 0.15])
    is_cut = rng.random(students) < np.vectorize(CUT.get)(putter) * np.where(minor, 2 / 3, 1.0)
    return Academy(
        minor=minor,
        comes_back=rng.random(students) < np.where(minor, COMES_BACK["minor"], COMES_BACK["adult"]),
        born=(years * 365.25).astype(int),
        first=rng.integers(0, 3 * 365, students),
        weeks=weeks,
        change=change,
        left=left,
        measured=measured,
        new=new,
        shared=shared,
        putter_in=putter,
        cut_in=np.where(is_cut, rng.choice([0.5, 1.0, 1.5, 2.0], students, p=[0.3, 0.4, 0.2, 0.1]), 0.0),
    )


def write_academy(academy: Academy, folder: Path) -> Path:
    """Write the tables ``students``, ``lessons`` and ``measures``, without names; return the folder."""
    tables = {}
    for name in ("students", "lessons", "measures"):
        form = next(each for each in FORMS if each.name == name)
        columns = columns_of(form, names=False)
        tables[name] = form, empty_of(columns), ParquetTable(folder / name, columns, year=None)
    with tables["students"][2], tables["lessons"][2], tables["measures"][2]:
        for start in range(0, len(academy.minor), _CHUNK):
            for name, (rows, years) in _rows_of(academy, slice(start, start + _CHUNK)).items():
                form, empty, table = tables[name]
                table.add(_as_table(form, empty, rows), years)
    return folder


def _rows_of(academy: Academy, part: slice) -> dict[str, tuple[dict[str, object], np.ndarray | None]]:
    """Return the columns of some students' rows by table, with the year of each."""
    students = np.arange(len(academy.minor))[part] + 1
    here = np.ones((len(students), 3), dtype=bool)
    here[:, 2] = academy.comes_back[part]
    who, which = np.nonzero(here)
    lesson = 3 * students[who] + which - 2
    days = academy.first[part][who] + np.where(which == 2, 7 * academy.weeks[part][who], 0).astype(int)
    day = np.datetime64(FIRST_DAY) + days.astype("timedelta64[D]")
    years = day.astype("datetime64[Y]").astype(int) + 1970
    putter = academy.putter_in[part][who] - np.where(which == 2, academy.cut_in[part][who], 0.0)
    measured, new, shared = (each[part][here] for each in (academy.measured, academy.new, academy.shared))
    count, flat = measured.shape[1], measured.ravel()
    seen = ~np.isnan(flat)
    names = list(MEASURES)
    budget = [
        f'{{"joints": {one:.4f}, "{_SHARED_CAUSE}": {other:.4f}}}'
        for one, other in zip(new.ravel(), shared.ravel(), strict=True)
    ]
    return {
        "students": (
            {"student": students, "adult": ~academy.minor[part], "handed": "right", "stature_cm": 174.0,
             "since": np.datetime64(FIRST_DAY) + academy.first[part].astype("timedelta64[D]")},
            None,
        ),
        "lessons": (
            {"lesson": lesson, "student": students[who], "day": day,
             "moment": np.array(["before", "after", "check"])[which],
             "age_years": ((academy.born[part][who] + days - academy.first[part][who]) / 365.25).astype(int),
             "stature_cm": 174.0, "handed": "right", "putter_length_cm": putter * _CM_PER_INCH,
             "faces_hidden": False},
            years,
        ),
        "measures": (
            {"lesson": np.repeat(lesson, count), "student": np.repeat(students[who], count),
             "measure": np.tile(names, len(lesson)), "family": "setup", "value": flat,
             "standard_uncertainty": np.where(seen, np.hypot(new.ravel(), shared.ravel()), np.nan),
             "unit": np.tile([MEASURES[name].unit for name in names], len(lesson)),
             "view": np.tile([MEASURES[name].views[0] for name in names], len(lesson)), "frames": np.where(seen, 5, 0),
             "method": "drawn by chance", "method_version": "made_academy 1",
             "absent": np.where(seen, None, _ABSENT), "budget": np.where(seen, budget, "{}"), "repeats": "[]"},
            np.repeat(years, count),
        ),
    }  # fmt: skip


def _as_table(form: FrameForm, empty: pd.DataFrame, rows: dict[str, object]) -> pd.DataFrame:
    """Return rows with every column of the table; what was not drawn is missing."""
    frame = pd.DataFrame(rows)
    for name, kind in empty.dtypes.items():
        if name not in frame:
            frame[name] = "{}" if name == "versions" else empty[name].reindex(frame.index)
        elif isinstance(kind, pd.CategoricalDtype):
            frame[name] = pd.Categorical(frame[name])
        else:
            frame[name] = frame[name].astype(kind)
    return frame[list(empty)]
