"""What was learned follows from the kept examples, and the learning finds what is there."""

import numpy as np
import pytest
from learn_joints import FOLDS, as_arrays, learn, load_examples

from putt_posture.joints.learned import load_miss_model
from putt_posture.values import VIEWS

SAME = 1e-4
"""Shares of the body; the kept numbers are single precision."""


@pytest.mark.parametrize("view", VIEWS)
def test_what_is_shipped_is_what_the_kept_examples_teach(view) -> None:
    shipped, again = (as_arrays(model) for model in (load_miss_model(view), learn(*load_examples(view))))
    assert list(shipped) == list(again)
    for name, value in shipped.items():
        if value.dtype.kind == "U":
            assert (value == again[name]).all()
        else:
            np.testing.assert_allclose(value, again[name], atol=SAME, err_msg=name)


def test_learning_finds_a_known_rule_and_what_it_leaves() -> None:
    # A miss is half of its sign plus noise of 0.3: that much is left, whatever else is offered.
    rng = np.random.default_rng(5)
    count = 6 * FOLDS
    true, idle, noise = rng.normal(size=(3, count))
    signs = [{"true": a, "idle": b} for a, b in zip(true, idle, strict=True)]
    misses = [{"miss": 0.5 * a + 0.3 * c} for a, c in zip(true, noise, strict=True)]
    model = learn(signs, misses, [str(k) for k in range(count)])
    answer = model.answer({"true": np.array([2.0]), "idle": np.array([0.0])})
    assert answer.misses[0, 0] == pytest.approx(1.0, abs=0.15)
    assert np.sqrt(model.left[0, 0]) == pytest.approx(0.3, rel=0.25)


def test_a_blunder_teaches_little() -> None:
    rng = np.random.default_rng(6)
    count = 6 * FOLDS
    true, noise = rng.normal(size=(2, count))
    signs, whose = [{"true": a} for a in true], [str(k) for k in range(count)]
    told = 0.5 * true + 0.3 * noise
    blunders = np.where(np.arange(count) % 40 == 0, 100.0, 0.0)
    clean, dirty = (learn(signs, [{"miss": miss} for miss in misses], whose) for misses in (told, told + blunders))
    at = {"true": np.array([1.0])}
    right = clean.answer(at).misses[0, 0]
    assert dirty.answer(at).misses[0, 0] == pytest.approx(right, abs=0.25)
    assert abs(np.polyval(np.polyfit(true, told + blunders, 1), 1.0) - right) > 1.0  # what a plain fit would say
