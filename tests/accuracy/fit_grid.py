"""The fit over a grid of bodies, wrist heights and putters: does it rise with the body, and without a step?

    python tests/accuracy/fit_grid.py

Nothing is measured in pictures and no truth is known. What is looked at is how the answer goes from one student to the
next: that a taller one and one whose hands hang higher get a longer putter, that the interval widens where the body
tables hold nobody, and that the length of a putter in use counts where it agrees with the rest and is put aside where
it does not. The tests look at a coarser grid with the same functions.
"""

from collections.abc import Iterator, Sequence

import numpy as np
import pandas as pd

import putt_posture.fitting.suggestion
from putt_posture.body import predict
from putt_posture.fitting import fit_putter
from putt_posture.measures import MEASURES
from putt_posture.values import SEXES, Estimate, Fit, Posture, Sex, Student, absent

STATURES_CM = np.arange(130.0, 215.1, 1.0)
WRISTS_CM = np.arange(-6.0, 6.01, 0.5)
PUTTERS_IN = np.arange(30.0, 50.01, 0.25)
ALL_SEXES: tuple[Sex | None, ...] = (*SEXES, None)

_SIGMAS = {
    "spine_tilt": 2.9, "hand_offset": 2.8, "hand_height": 2.2, "shaft_lie": 0.6, "knee_flex": 5.8, "eye_offset": 1.4,
    "back_rounding": 4.9, "head_drop": 8.2, "elbow_bend_lead": 7.6, "elbow_bend_trail": 7.1,
}  # fmt: skip
"""Standard uncertainties of what is filmed, as the accuracy study has them."""


def without_curves() -> None:
    """Leave out of every fit what putters of other lengths do: it takes most of the time and moves no length."""
    putt_posture.fitting.suggestion.find_curves = lambda *_, **__: None


def film(student: Student) -> Posture:
    """Return what a student shows who stands as is wanted: the fit of the body alone as if it had been filmed."""
    fit = fit_putter(None, student)
    seen = {name: fit.setup[name].value for name in ("spine_tilt", "hand_offset", "knee_flex", "back_rounding")}
    seen |= {"head_drop": fit.setup["head_drop"].value, "eye_offset": fit.setup["eye_offset"].value}
    bend = fit.setup["elbow_bend"].value
    seen |= {"elbow_bend_lead": bend, "elbow_bend_trail": bend, "shaft_lie": fit.lie.value}
    seen["hand_height"] = fit.setup["hand_height"].value
    estimates = {name: absent(f"No {name} seen.", unit=measure.unit) for name, measure in MEASURES.items()}
    for name, value in seen.items():
        estimates[name] = Estimate(value=value, standard_uncertainty=_SIGMAS[name], unit=MEASURES[name].unit, frames=9)
    return Posture(estimates=estimates)


def fit_statures(statures_cm: Sequence[float], sex: Sex | None) -> pd.DataFrame:
    """Fit students of each stature, nothing filmed."""
    return pd.DataFrame(_row(stature, fit_putter(None, _student(stature, sex))) for stature in statures_cm)


def fit_wrists(stature_cm: float, sex: Sex | None, wrists_cm: Sequence[float]) -> pd.DataFrame:
    """Fit students of one stature whose wrists hang so much above the usual height, nothing filmed."""
    usual = predict("wrist_height", stature_cm, sex).value
    return pd.DataFrame(
        _row(wrist, fit_putter(None, _student(stature_cm, sex, wrist_floor_cm=usual + wrist))) for wrist in wrists_cm
    )


def fit_putters(stature_cm: float, sex: Sex | None, putters_in: Sequence[float]) -> pd.DataFrame:
    """Fit one student as filmed with each putter in use; the first row, nan, is without one."""

    def rows() -> Iterator[dict[str, object]]:
        seen = film(_student(stature_cm, sex))
        yield _row(np.nan, fit_putter(seen, _student(stature_cm, sex)))
        for putter in putters_in:
            yield _row(putter, fit_putter(seen, _student(stature_cm, sex, putter_length_cm=putter * 2.54)))

    return pd.DataFrame(rows())


def _student(stature_cm: float, sex: Sex | None, **more: float) -> Student:
    return Student(stature_cm=stature_cm, handed="right", sex=sex, **more)


def _row(at: float, fit: Fit) -> dict[str, object]:
    return {
        "at": at,
        "length": fit.putter_length.value / 2.54,
        "margin": fit.putter_length.margin / 2.54,
        "lie": fit.lie.value,
        "says": " ".join((*fit.disagreements, *fit.assumptions)),
    }


def main() -> None:
    without_curves()
    print("Nothing filmed, by stature: inches for each cm, and the interval\n")
    for sex in ALL_SEXES:
        found = fit_statures(STATURES_CM, sex)
        steps = np.diff(found.length)
        print(f"{sex or 'both'}: {steps.min():.2f} to {steps.max():.2f} in a cm")
        print(found[found["at"] % 10 == 0][["at", "length", "margin", "lie"]].round(2).to_string(index=False), "\n")
    print("By the wrist height, ± 6 cm about the usual one: inches for each half cm\n")
    for sex in ALL_SEXES:
        for stature in (130.0, 150.0, 165.0, 178.0, 190.0, 200.0, 215.0):
            found = fit_wrists(stature, sex, WRISTS_CM)
            steps = np.diff(found.length)
            said = found[found.says.str.contains("were put aside")]["at"].abs().min()
            who, margin = (
                f"{sex or 'both'} {stature:g} cm",
                f"± {found.margin.min():.1f} to {found.margin.max():.1f} in",
            )
            print(f"{who}: {steps.min():.3f} to {steps.max():.3f} in, {margin}; said from {said:g} cm on")
    print("\nFilmed in the wanted setup, by the putter in use\n")
    for sex, stature in (("female", 165.0), ("male", 178.0), ("male", 200.0)):
        found = fit_putters(stature, sex, PUTTERS_IN)
        without, found = found.iloc[0], found.iloc[1:]
        steepest = np.abs(np.diff(found.length)).max() / np.diff(PUTTERS_IN)[0]
        pull = (found.length - without.length).abs().max()
        print(f"{sex} {stature:g} cm, without a putter {without.length:.2f} ± {without.margin:.2f} in")
        print(f"A putter pulls by {pull:.2f} in at most, and by {steepest:.2f} in for each of its inches")
        table = found.assign(aside=found.says.str.contains("put aside"))
        table = table[table["at"] % 1 == 0][["at", "length", "margin", "aside"]]
        print(table.round(2).to_string(index=False), "\n")


if __name__ == "__main__":
    main()
