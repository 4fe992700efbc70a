"""What features say about residuals, against the textbook formulas of the conditional normal distribution."""

import numpy as np
import pytest
from attrs import evolve
from scipy.stats import multivariate_normal

from putt_posture.joints.landmark_error_model import LandmarkErrorModel, load_landmark_error_model, widening
from putt_posture.values import VIEWS

RHO = 0.6
EXACT = 1e-9


def model_of(covariance: np.ndarray, *, features: int, ridge: float = 0.0, share: float = 1.0) -> LandmarkErrorModel:
    """The first rows of a joint covariance are features, the rest residuals; nothing is lost on bodies left out."""
    left = covariance[features:, features:] - covariance[features:, :features] @ np.linalg.solve(
        covariance[:features, :features], covariance[:features, features:]
    )
    return LandmarkErrorModel(
        features=tuple(f"feature {k}" for k in range(features)),
        residuals=tuple(f"residual {k}" for k in range(len(covariance) - features)),
        feature_mean=np.arange(features, dtype=float),
        constant=np.full(len(covariance) - features, 5.0),
        offset=np.zeros(len(covariance) - features),
        share=np.full(len(covariance) - features, share),
        feature_covariance=covariance[:features, :features],
        cross_covariance=covariance[features:, :features],
        ridge=ridge,
        unexplained=left,
        bodies=100,
    )


def test_one_feature_gives_the_regression_line_of_two_variables():
    # By hand: spreads 2 and 3, correlation 0.6; a feature 2 above its mean, one spread, moves the residual by
    # 0.6 · 3 / 2 · 2 = 1.8, and leaves 9 · (1 − 0.36) = 5.76 of its variance.
    two = model_of(np.array([[4.0, RHO * 6], [RHO * 6, 9.0]]), features=1)
    prediction = two.predict({"feature 0": np.array([2.0])})
    assert prediction.residuals[0, 0] == pytest.approx(5.0 + 1.8, abs=EXACT)
    assert prediction.covariance[0, 0] == pytest.approx(5.76, abs=EXACT)
    assert prediction.misfit == pytest.approx(1.0, abs=EXACT)


def test_what_is_left_is_wider_for_a_body_that_fits_badly_and_never_without_bound():
    two = model_of(np.array([[4.0, RHO * 6], [RHO * 6, 9.0]]), features=1)
    odd, absurd = (two.predict({"feature 0": np.array([value])}) for value in (4.0, 4000.0))
    assert odd.misfit == pytest.approx(2.0, abs=EXACT)  # two spreads from the mean
    assert odd.covariance[0, 0] == pytest.approx(5.76 * widening(2.0) ** 2, abs=EXACT)
    assert 1.5 < widening(2.0) < 2.0
    assert absurd.covariance[0, 0] == pytest.approx(
        9.0 * 9.0, rel=0.01
    )  # as if the feature said nothing, three times over


def test_a_body_unlike_all_others_is_moved_no_farther_than_the_oddest_of_them():
    two = model_of(np.array([[4.0, RHO * 6], [RHO * 6, 9.0]]), features=1)
    at = {value: two.predict({"feature 0": np.array([value])}).residuals[0, 0] for value in (2.0, 6.0, 8.0, 80.0)}
    assert at[6.0] - 5.0 == pytest.approx(3 * (at[2.0] - 5.0), abs=EXACT)
    assert at[8.0] == pytest.approx(at[6.0], abs=EXACT)
    assert at[80.0] == pytest.approx(at[6.0], abs=EXACT)


@pytest.fixture
def covariance() -> np.ndarray:
    mixing = np.random.default_rng(3).normal(size=(5, 8))
    return np.asarray(mixing @ mixing.T)


def test_the_answer_is_where_the_joint_density_is_highest(covariance):
    three = model_of(covariance, features=3)
    features = three.feature_mean + [0.5, -1.0, 0.3]
    best = three.predict({f"feature {k}": features[[k]] for k in range(3)}).residuals[0]
    density = multivariate_normal(np.r_[three.feature_mean, three.constant], covariance)
    for step in np.vstack([np.eye(2), -np.eye(2)]) * 0.05:
        assert density.pdf(np.r_[features, best]) > density.pdf(np.r_[features, best + step])


def test_an_unseen_sign_is_as_if_it_had_never_been_learned(covariance):
    three, keep = model_of(covariance, features=3), [0, 2, 3, 4]
    two = evolve(model_of(covariance[np.ix_(keep, keep)], features=2), feature_mean=np.array([0.0, 2.0]))
    seen = np.array([0.7, 1.1])
    part = three.predict({"feature 0": seen[[0]], "feature 1": np.array([np.nan]), "feature 2": seen[[1]]})
    whole = two.predict({"feature 0": seen[[0]], "feature 1": seen[[1]]})
    np.testing.assert_allclose(part.residuals, whole.residuals, atol=EXACT)
    np.testing.assert_allclose(part.covariance, whole.covariance, atol=EXACT)


def test_without_any_feature_the_residuals_are_unknown_and_as_spread_as_they_are(covariance):
    three = model_of(covariance, features=3)
    nothing = three.predict({f"feature {k}": np.array([np.nan]) for k in range(3)})
    assert np.isnan(nothing.residuals).all()
    np.testing.assert_allclose(nothing.covariance, covariance[3:, 3:], atol=EXACT)


def test_a_ridge_weighs_the_features_less(covariance):
    features = {f"feature {k}": np.array([k + 1.0]) for k in range(3)}
    bold, shy = (
        model_of(covariance, features=3, ridge=ridge).predict(features).residuals[0] - 5.0 for ridge in (0.0, 100.0)
    )
    assert np.linalg.norm(shy) < 0.1 * np.linalg.norm(bold)


def test_a_feature_with_half_the_share_moves_half_as_far_and_its_loss_costs_less():
    # By hand: believed by half it takes (2 · 0.5 − 0.25) · 9 · 0.36 = 2.43 out of the residual's variance of 9.
    two = model_of(np.array([[4.0, RHO * 6], [RHO * 6, 9.0]]), features=1, share=0.5)
    two = evolve(two, unexplained=np.array([[9.0 - 2.43]]))
    assert two.predict({"feature 0": np.array([2.0])}).residuals[0, 0] == pytest.approx(5.0 + 0.9, abs=EXACT)
    nothing = two.predict({"feature 0": np.array([np.nan])})
    assert nothing.covariance[0, 0] == pytest.approx(9.0, abs=EXACT)


@pytest.mark.parametrize("view", VIEWS)
def test_constants_are_taken_out_of_what_can_be_seen_on_people_alone(view):
    learned = load_landmark_error_model(view)
    for name, constant, offset in zip(learned.residuals, learned.constant, learned.offset, strict=True):
        part = name.partition(",")[0].partition(" ")[2]
        if part in ("hip", "knee", "ankle", "elbow"):
            assert constant == 0.0, name
        if part in ("heel", "foot_index", "ear"):
            assert offset == 0.0, name
    across = learned.offset[[learned.residuals.index(f"{side} hip, across") for side in _sides(view)]]
    assert np.abs(across).min() > 0.004  # what is not taken out is kept as an uncertainty


def _sides(view: str) -> tuple[str, str]:
    return ("near", "far") if view == "down_the_line" else ("lead", "trail")


@pytest.mark.parametrize("view", VIEWS)
def test_what_was_learned_is_a_distribution_from_many_bodies(view):
    learned = load_landmark_error_model(view)
    assert learned.bodies >= 60
    assert np.linalg.eigvalsh(learned.unexplained).min() > -1e-8
    assert np.linalg.eigvalsh(learned.feature_covariance).min() > -1e-8
    assert np.abs(learned.constant + learned.offset).max() < 0.1  # no landmark is a tenth of the body off on average
