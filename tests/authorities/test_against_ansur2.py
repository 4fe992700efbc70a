"""Body dimensions against the means of ANSUR II.

`ansur2_means.csv`: mean, standard deviation and correlation with stature (mm) of 4082 men and 1986 women, computed from
the public release of Gordon et al. (2014), Natick/TR-15/007, by other code than the package's own table.
"""

from pathlib import Path

import numpy as np
import pandas as pd
import pytest

from putt_posture.body import predict, predict_joint_length
from putt_posture.fitting.body_model import find_lengths, find_upright_hand_height
from putt_posture.fitting.body_model.stature_tables import predict_heights
from putt_posture.values import Estimate, Student

MEANS = pd.read_csv(Path(__file__).with_name("ansur2_means.csv"))
STATURE_CM = MEANS[MEANS.dimension == "stature"].set_index("sex").mean_mm / 10

ROUNDING_CM = 0.02
"""Five digits of a slope times a stature, and five of a mean."""

SEE_TOLERANCE = 0.01
"""Share; the standard error is compared with SD·√(1 − r²)."""

GRIP_HEIGHTS_CM = {"male": (78.5, 4.0), "female": (73.5, 3.7)}
"""Mean and SD of the grip centre's height, arms hanging, derived person by person from the same release."""

WRIST_TO_GRIP_CM = {"male": (6.21, 0.74), "female": (5.89, 0.70)}

UPRIGHT_TOLERANCE_CM = 1.0
"""How far the survey's own shoulder height less its arm misses its wrist height: 1.0 cm in men, 1.2 in women."""

UPRIGHT_SEE_TOLERANCE = 0.10
"""Share; the model joins the heights of the chain, of which the wrist is one."""

ROWS = [tuple(row) for row in MEANS[["dimension", "sex", "mean_mm", "sd_mm", "correlation_with_stature"]].to_numpy()]


@pytest.mark.parametrize(("dimension", "sex", "mean", "sd", "correlation"), ROWS)
def test_regression_returns_the_mean_at_the_mean_stature(dimension, sex, mean, sd, correlation):
    found = predict(dimension, STATURE_CM[sex], sex)
    assert found.value == pytest.approx(mean / 10, abs=ROUNDING_CM)
    assert found.standard_uncertainty == pytest.approx(
        sd / 10 * np.sqrt(1 - correlation**2), rel=SEE_TOLERANCE, abs=1e-9
    )


@pytest.mark.parametrize(("dimension", "sex", "mean", "sd", "correlation"), ROWS)
def test_regression_rises_as_the_correlation_says(dimension, sex, mean, sd, correlation):
    stature_sd = MEANS[(MEANS.dimension == "stature") & (MEANS.sex == sex)].sd_mm.iloc[0]
    slope = predict(dimension, 171.0, sex).value - predict(dimension, 170.0, sex).value
    assert slope == pytest.approx(correlation * sd / stature_sd, rel=SEE_TOLERANCE)


@pytest.mark.parametrize("sex", ["male", "female"])
def test_grip_centre_lies_where_the_survey_has_it(sex):
    mean, sd = GRIP_HEIGHTS_CM[sex]
    assert predict("grip_centre_height", STATURE_CM[sex], sex).value == pytest.approx(mean, abs=0.06)
    assert predict("grip_centre_height", STATURE_CM[sex], sex).standard_uncertainty < sd
    mean, sd = WRIST_TO_GRIP_CM[sex]
    assert predict_joint_length("wrist_to_grip", STATURE_CM[sex], sex).value == pytest.approx(mean, abs=0.01)


@pytest.mark.parametrize("sex", ["male", "female"])
def test_stature_alone_leaves_two_centimetres_of_wrist_height_open(sex):
    # Standard errors of the survey: 21.5 mm (men), 19.9 mm (women).
    alone = predict("wrist_height", STATURE_CM[sex], sex)
    assert alone.standard_uncertainty == pytest.approx({"male": 2.15, "female": 1.99}[sex], abs=0.01)
    taped = predict("wrist_height", STATURE_CM[sex], sex, wrist_floor_cm=84.0)
    assert taped.value == pytest.approx(84.0)
    assert taped.standard_uncertainty < alone.standard_uncertainty / 2


@pytest.mark.parametrize("sex", ["male", "female"])
@pytest.mark.parametrize("taller_cm", [-10.0, 0.0, 10.0])
def test_wrists_of_the_upright_body_model_hang_where_the_survey_has_them(sex, taller_cm):
    # Standard errors of the survey: 21.5 mm (men), 19.9 mm (women).
    row = MEANS[(MEANS.dimension == "wrist_height") & (MEANS.sex == sex)].iloc[0]
    stature_sd = MEANS[(MEANS.dimension == "stature") & (MEANS.sex == sex)].sd_mm.iloc[0]
    slope = row.correlation_with_stature * row.sd_mm / stature_sd
    student = Student(stature_cm=STATURE_CM[sex] + taller_cm, handed="right", sex=sex)
    found = find_upright_hand_height(find_lengths(student))
    assert found.value == pytest.approx(row.mean_mm / 10 + slope * taller_cm, abs=UPRIGHT_TOLERANCE_CM)
    see = row.sd_mm / 10 * np.sqrt(1 - row.correlation_with_stature**2)
    assert found.standard_uncertainty == pytest.approx(see, rel=UPRIGHT_SEE_TOLERANCE)


@pytest.mark.parametrize("sex", ["male", "female"])
def test_a_measured_wrist_height_moves_the_upright_hands_of_the_body_model(sex):
    wrist = predict("wrist_height", STATURE_CM[sex], sex).value
    heights = {}
    for away in (-4.0, 0.0, 4.0):
        student = Student(stature_cm=STATURE_CM[sex], handed="right", sex=sex, wrist_floor_cm=wrist + away)
        heights[away] = find_upright_hand_height(find_lengths(student))
    assert heights[4.0].value - heights[0.0].value == pytest.approx(4.0, abs=UPRIGHT_TOLERANCE_CM)
    assert heights[0.0].value - heights[-4.0].value == pytest.approx(4.0, abs=UPRIGHT_TOLERANCE_CM)
    assert heights[0.0].standard_uncertainty < 1.3


@pytest.mark.parametrize("sex", ["male", "female"])
def test_heights_that_go_together_return_the_errors_of_their_sums(sex):
    # The covariance is built from these rows; what it gives back for each must be the survey's own.
    heights = predict_heights(STATURE_CM[sex], sex)
    for (one, other), row in {
        ("acromial_height", "trochanterion_height"): "acromion_to_trochanterion",
        ("trochanterion_height", "knee_height"): "trochanterion_to_knee",
        ("knee_height", "malleolus_height"): "knee_to_malleolus",
        ("trochanterion_height", "malleolus_height"): "trochanterion_to_malleolus",
    }.items():
        found = heights.combine({row: {one: 1, other: -1}}, {})[row]
        told = predict(row, STATURE_CM[sex], sex)
        assert found.value == pytest.approx(told.value, abs=ROUNDING_CM)
        assert found.standard_uncertainty == pytest.approx(told.standard_uncertainty, rel=1e-6)
    taped = heights.join({"wrist_height": 1}, Estimate(value=80.0, standard_uncertainty=1e-6, unit="cm"))
    told = predict("acromial_height", STATURE_CM[sex], sex, wrist_floor_cm=80.0)
    assert taped["acromial_height"].value == pytest.approx(told.value, abs=ROUNDING_CM)
