"""What was learned follows from the kept examples, and the learning finds what is there."""

import numpy as np
import pytest
from learn_joints import FOLDS, OUT_OF_REACH, SHARE, as_arrays, exchange, learn, load_examples

from putt_posture.joints.landmark_error_model import load_landmark_error_model
from putt_posture.values import VIEWS

SAME = 1e-4
"""Shares of the body; the kept numbers are single precision."""


@pytest.mark.parametrize("view", VIEWS)
def test_what_is_shipped_is_what_the_kept_examples_teach(view) -> None:
    shipped, again = (as_arrays(model) for model in (load_landmark_error_model(view), learn(*load_examples(view))))
    assert list(shipped) == list(again)
    for name, value in shipped.items():
        if value.dtype.kind == "U":
            assert (value == again[name]).all()
        else:
            np.testing.assert_allclose(value, again[name], atol=SAME, err_msg=name)


def test_learning_finds_a_known_rule_and_what_it_leaves() -> None:
    # A residual is half of its feature plus noise of 0.3: that much is left, whatever else is offered.
    rng = np.random.default_rng(5)
    count = 6 * FOLDS
    true, idle, noise = rng.normal(size=(3, count))
    features = [{"true": a, "idle": b} for a, b in zip(true, idle, strict=True)]
    residuals = [{"residual": 0.5 * a + 0.3 * c} for a, c in zip(true, noise, strict=True)]
    model = learn(features, residuals, [str(k) for k in range(count)])
    prediction = model.predict({"true": np.array([2.0]), "idle": np.array([0.0])})
    assert prediction.residuals[0, 0] == pytest.approx(SHARE * 1.0, abs=0.15)
    # What is not believed is left as well.
    assert np.sqrt(model.unexplained[0, 0]) == pytest.approx(np.hypot(0.3, (1 - SHARE) * 0.5), rel=0.25)


def test_what_all_bodies_miss_alike_is_an_offset_and_moves_nothing_unless_people_show_it() -> None:
    rng = np.random.default_rng(7)
    features = [{"feature": a} for a in rng.normal(size=4 * FOLDS)]
    residuals = [{"near hip, across": 0.03, "near heel, along": 0.03} for _ in features]
    model = learn(features, residuals, [str(k) for k in range(len(features))])
    assert model.constant == pytest.approx([0.0, 0.03])
    assert model.offset == pytest.approx([0.03, 0.0])


def test_mirror_image_of_a_mirror_image_is_what_it_was() -> None:
    features, residuals, whose = load_examples("face_on")
    half = len(features) // 2
    assert whose[:half] == whose[half:]
    for kept, mirrored in ((features[0], features[half]), (residuals[0], residuals[half])):
        assert exchange(mirrored) == pytest.approx(kept, nan_ok=True)
        assert mirrored != kept


def test_no_side_is_learned_as_the_usual_one_face_on() -> None:
    model = load_landmark_error_model("face_on")
    at = dict(zip(model.residuals, model.constant + model.offset, strict=True))
    assert at["lead shoulder, along"] == pytest.approx(at["trail shoulder, along"], abs=SAME)
    assert at["lead shoulder, across"] == pytest.approx(-at["trail shoulder, across"], abs=SAME)


def test_a_blunder_teaches_little() -> None:
    rng = np.random.default_rng(6)
    count = 6 * FOLDS
    true, noise = rng.normal(size=(2, count))
    features, whose = [{"true": a} for a in true], [str(k) for k in range(count)]
    told = 0.5 * true + 0.3 * noise
    blunders = np.where(np.arange(count) % 40 == 0, 100.0, 0.0)
    clean, dirty = (
        learn(features, [{"residual": residual} for residual in residuals], whose)
        for residuals in (told, told + blunders)
    )
    at = {"true": np.array([1.0])}
    right = clean.predict(at).residuals[0, 0]
    assert dirty.predict(at).residuals[0, 0] == pytest.approx(right, abs=0.25)
    plain = np.polyval(np.polyfit(true, told + blunders, 1), 1.0)
    assert abs(SHARE * plain - right) > 1.0


@pytest.mark.parametrize("view", VIEWS)
def test_nothing_is_learned_of_golfers_who_stood_as_no_one_can(view) -> None:
    features, residuals, whose = load_examples(view)
    assert len(features) == len(residuals) == len(whose)
    assert OUT_OF_REACH
    assert not OUT_OF_REACH & set(whose)
