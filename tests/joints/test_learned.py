"""What signs say about misses, against the textbook formulas of the conditional normal distribution."""

import numpy as np
import pytest
from attrs import evolve
from scipy.stats import multivariate_normal

from putt_posture.joints.learned import MissModel, load_miss_model, widening
from putt_posture.values import VIEWS

RHO = 0.6
EXACT = 1e-9


def model_of(covariance: np.ndarray, *, signs: int, ridge: float = 0.0, share: float = 1.0) -> MissModel:
    """The first rows of a joint covariance are signs, the rest misses; nothing is lost on bodies left out."""
    left = covariance[signs:, signs:] - covariance[signs:, :signs] @ np.linalg.solve(
        covariance[:signs, :signs], covariance[:signs, signs:]
    )
    return MissModel(
        signs=tuple(f"sign {k}" for k in range(signs)),
        misses=tuple(f"miss {k}" for k in range(len(covariance) - signs)),
        sign_mean=np.arange(signs, dtype=float),
        constant=np.full(len(covariance) - signs, 5.0),
        offset=np.zeros(len(covariance) - signs),
        share=np.full(len(covariance) - signs, share),
        sign_covariance=covariance[:signs, :signs],
        cross_covariance=covariance[signs:, :signs],
        ridge=ridge,
        left=left,
        bodies=100,
    )


def test_one_sign_gives_the_regression_line_of_two_variables():
    # By hand: spreads 2 and 3, correlation 0.6; a sign 2 above its mean, one spread, moves the miss by
    # 0.6 · 3 / 2 · 2 = 1.8, and leaves 9 · (1 − 0.36) = 5.76 of its variance.
    two = model_of(np.array([[4.0, RHO * 6], [RHO * 6, 9.0]]), signs=1)
    answer = two.answer({"sign 0": np.array([2.0])})
    assert answer.misses[0, 0] == pytest.approx(5.0 + 1.8, abs=EXACT)
    assert answer.covariance[0, 0] == pytest.approx(5.76, abs=EXACT)
    assert answer.misfit == pytest.approx(1.0, abs=EXACT)


def test_what_is_left_is_wider_for_a_body_that_fits_badly_and_never_without_bound():
    two = model_of(np.array([[4.0, RHO * 6], [RHO * 6, 9.0]]), signs=1)
    odd, absurd = (two.answer({"sign 0": np.array([value])}) for value in (4.0, 4000.0))
    assert odd.misfit == pytest.approx(2.0, abs=EXACT)  # two spreads from the mean
    assert odd.covariance[0, 0] == pytest.approx(5.76 * widening(2.0) ** 2, abs=EXACT)
    assert 1.5 < widening(2.0) < 2.0
    assert absurd.covariance[0, 0] == pytest.approx(
        9.0 * 9.0, rel=0.01
    )  # as if the sign said nothing, three times over


def test_a_body_unlike_all_others_is_moved_no_farther_than_the_oddest_of_them():
    two = model_of(np.array([[4.0, RHO * 6], [RHO * 6, 9.0]]), signs=1)
    at = {value: two.answer({"sign 0": np.array([value])}).misses[0, 0] for value in (2.0, 6.0, 8.0, 80.0)}
    assert at[6.0] - 5.0 == pytest.approx(3 * (at[2.0] - 5.0), abs=EXACT)
    assert at[8.0] == pytest.approx(at[6.0], abs=EXACT)
    assert at[80.0] == pytest.approx(at[6.0], abs=EXACT)


@pytest.fixture
def covariance() -> np.ndarray:
    mixing = np.random.default_rng(3).normal(size=(5, 8))
    return np.asarray(mixing @ mixing.T)


def test_the_answer_is_where_the_joint_density_is_highest(covariance):
    three = model_of(covariance, signs=3)
    signs = three.sign_mean + [0.5, -1.0, 0.3]
    best = three.answer({f"sign {k}": signs[[k]] for k in range(3)}).misses[0]
    density = multivariate_normal(np.r_[three.sign_mean, three.constant], covariance)
    for step in np.vstack([np.eye(2), -np.eye(2)]) * 0.05:
        assert density.pdf(np.r_[signs, best]) > density.pdf(np.r_[signs, best + step])


def test_an_unseen_sign_is_as_if_it_had_never_been_learned(covariance):
    three, keep = model_of(covariance, signs=3), [0, 2, 3, 4]
    two = evolve(model_of(covariance[np.ix_(keep, keep)], signs=2), sign_mean=np.array([0.0, 2.0]))
    seen = np.array([0.7, 1.1])
    part = three.answer({"sign 0": seen[[0]], "sign 1": np.array([np.nan]), "sign 2": seen[[1]]})
    whole = two.answer({"sign 0": seen[[0]], "sign 1": seen[[1]]})
    np.testing.assert_allclose(part.misses, whole.misses, atol=EXACT)
    np.testing.assert_allclose(part.covariance, whole.covariance, atol=EXACT)


def test_without_any_sign_the_misses_are_unknown_and_as_spread_as_they_are(covariance):
    three = model_of(covariance, signs=3)
    nothing = three.answer({f"sign {k}": np.array([np.nan]) for k in range(3)})
    assert np.isnan(nothing.misses).all()
    np.testing.assert_allclose(nothing.covariance, covariance[3:, 3:], atol=EXACT)


def test_a_ridge_believes_the_signs_less(covariance):
    signs = {f"sign {k}": np.array([k + 1.0]) for k in range(3)}
    bold, shy = (model_of(covariance, signs=3, ridge=ridge).answer(signs).misses[0] - 5.0 for ridge in (0.0, 100.0))
    assert np.linalg.norm(shy) < 0.1 * np.linalg.norm(bold)


def test_a_sign_that_is_half_believed_moves_half_as_far_and_its_loss_costs_less():
    # By hand: believed by half it takes (2 · 0.5 − 0.25) · 9 · 0.36 = 2.43 out of the miss's variance of 9.
    two = model_of(np.array([[4.0, RHO * 6], [RHO * 6, 9.0]]), signs=1, share=0.5)
    two = evolve(two, left=np.array([[9.0 - 2.43]]))
    assert two.answer({"sign 0": np.array([2.0])}).misses[0, 0] == pytest.approx(5.0 + 0.9, abs=EXACT)
    nothing = two.answer({"sign 0": np.array([np.nan])})
    assert nothing.covariance[0, 0] == pytest.approx(9.0, abs=EXACT)


@pytest.mark.parametrize("view", VIEWS)
def test_constants_are_taken_out_of_what_can_be_seen_on_people_alone(view):
    learned = load_miss_model(view)
    for name, constant, offset in zip(learned.misses, learned.constant, learned.offset, strict=True):
        part = name.partition(",")[0].partition(" ")[2]
        if part in ("hip", "knee", "ankle", "elbow"):
            assert constant == 0.0, name
        if part in ("heel", "foot_index", "ear"):
            assert offset == 0.0, name
    across = learned.offset[[learned.misses.index(f"{side} hip, across") for side in _sides(view)]]
    assert np.abs(across).min() > 0.004  # what is not taken out is kept as an uncertainty


def _sides(view: str) -> tuple[str, str]:
    return ("near", "far") if view == "down_the_line" else ("lead", "trail")


@pytest.mark.parametrize("view", VIEWS)
def test_what_was_learned_is_a_distribution_from_many_bodies(view):
    learned = load_miss_model(view)
    assert learned.bodies >= 60
    assert np.linalg.eigvalsh(learned.left).min() > -1e-8
    assert np.linalg.eigvalsh(learned.sign_covariance).min() > -1e-8
    assert np.abs(learned.constant + learned.offset).max() < 0.1  # no landmark is a tenth of the body off on average
