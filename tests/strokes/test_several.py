"""Several strokes: which count, when there is a mean and when a scatter, and what these are worth."""

import sys
from pathlib import Path

import numpy as np
import pytest
from attrs import evolve
from scipy.stats import chi2, t

sys.path.insert(0, str(Path(__file__).parent))

from made_up import make_stroke

from putt_posture.measures import STROKE_MEASURES
from putt_posture.strokes.several import choose_kind, choose_shown, find_scatter, join_strokes, join_with_hands
from putt_posture.values import Estimate, Setup, absent


def number(name, value, *, noise=0.2, shared=0.3):
    record = STROKE_MEASURES[name]
    return Estimate(
        value=value,
        standard_uncertainty=float(np.hypot(noise, shared)),
        unit=record.unit,
        view=record.views[0],
        frames=50,
        floor=record.floor,
        budget={"landmark noise": noise, "scale": shared},
    )


def stroke(value, *, kind="putt", at=1.0, index=1, **how):
    """Return a stroke face on whose hands go back by a value; everything else is absent."""
    numbers = {
        name: number(name, value, **how) if name == "hands_back" else absent("Not looked at.", unit=record.unit)
        for name, record in STROKE_MEASURES.items()
        if "face_on" in record.views
    }
    return make_stroke("face_on", number=index, start_s=at, kind=kind, numbers=numbers)


def setup(moment_s):
    return Setup(moment_s=moment_s, times_s=(moment_s,), window_s=(moment_s, moment_s))


def join(strokes, shown=0):
    return join_strokes({"face_on": tuple(strokes)}, choose_kind(strokes), {"face_on": shown})["hands_back"]


def test_putts_count_before_strokes_that_are_not_certain_and_those_before_practice() -> None:
    assert choose_kind([stroke(9, kind="practice"), stroke(9, kind="unsure"), stroke(10)]) == "putt"
    assert choose_kind([stroke(9, kind="practice"), stroke(9, kind="unsure")]) == "unsure"
    assert choose_kind([stroke(9, kind="practice")]) == "practice"
    assert choose_kind([]) is None


def test_the_stroke_that_follows_the_measured_setup_is_shown() -> None:
    strokes = [stroke(9, kind="practice", at=3.0), stroke(10, at=8.0), stroke(11, at=14.0)]
    assert choose_shown(strokes, "putt", setup(2.0)) == 1
    assert choose_shown(strokes, "putt", setup(12.0)) == 2
    assert choose_shown(strokes, "putt", setup(20.0)) == 2
    assert choose_shown(strokes[:1], "putt", setup(2.0)) == 0
    assert choose_shown([], "putt", setup(2.0)) is None


def test_up_to_two_putts_give_the_number_of_the_shown_one() -> None:
    assert join([stroke(9.0), stroke(11.0)], shown=1).value == 11.0
    assert join([stroke(9.0), stroke(11.0)]).repeats == ()


def test_from_three_putts_on_the_mean_counts_with_student_t_and_what_they_share_stays() -> None:
    values = [9.0, 10.0, 11.0]
    mean = join([stroke(each) for each in values])
    between = 1.0 / np.sqrt(3)
    assert mean.value == pytest.approx(10.0)
    assert mean.budget["from stroke to stroke"] == pytest.approx(between)
    assert mean.budget["scale"] == pytest.approx(0.3)
    assert "landmark noise" not in mean.budget
    assert mean.repeats == (9.0, 10.0, 11.0)
    alone = join([stroke(each, shared=0.0) for each in values])
    assert alone.margin == pytest.approx(t.ppf(0.975, 2) * between)  # 2.48 standard deviations, as tables say
    assert alone.margin / 1.0 == pytest.approx(2.48, abs=0.01)


def test_strokes_that_agree_by_chance_are_no_surer_than_they_were_measured() -> None:
    assert join([stroke(10.0)] * 3).budget["from stroke to stroke"] == pytest.approx(0.2 / np.sqrt(3))


def test_practice_strokes_are_never_mixed_with_putts() -> None:
    strokes = [stroke(20.0, kind="practice"), stroke(9.0), stroke(10.0), stroke(11.0), stroke(30.0, kind="practice")]
    assert join(strokes, shown=1).value == pytest.approx(10.0)
    assert join(strokes, shown=1).repeats == (9.0, 10.0, 11.0)


def test_a_stroke_whose_number_is_absent_does_not_count_in_the_mean() -> None:
    lacking = evolve(stroke(0.0), numbers={**stroke(0.0).numbers, "hands_back": absent("Lost.", unit="cm")})
    assert join([stroke(9.0), stroke(10.0), lacking, stroke(11.0)]).repeats == (9.0, 10.0, 11.0)
    assert join([lacking]).absent == "Lost."


def test_nothing_is_said_of_scatter_before_ten_strokes() -> None:
    nine = [stroke(each) for each in range(9)]
    assert find_scatter({"face_on": nine}, "putt") == {}
    assert list(find_scatter({"face_on": [*nine, stroke(9.0)]}, "putt")) == ["hands_back"]


def test_the_scatter_has_its_chi_square_interval_without_what_the_measuring_scatters() -> None:
    values = np.linspace(9.0, 11.0, 10)
    scatter = find_scatter({"face_on": [stroke(each, noise=0.2) for each in values]}, "putt")["hands_back"]
    square = float(np.var(values, ddof=1))
    assert scatter.sd == pytest.approx(np.sqrt(square - 0.04))
    assert scatter.low == pytest.approx(np.sqrt(9 * square / chi2.ppf(0.975, 9) - 0.04))
    assert scatter.high == pytest.approx(np.sqrt(9 * square / chi2.ppf(0.025, 9) - 0.04))
    assert (scatter.count, scatter.unit) == (10, "cm")
    noisy = find_scatter({"face_on": [stroke(each, noise=2.0) for each in values]}, "putt")["hands_back"]
    assert noisy.sd == noisy.low == 0.0


@pytest.mark.parametrize(
    ("said", "found"),
    [
        (("with", "neither"), "with"),  # two strokes: the shown one says it
        (("with", "with", "neither"), "with"),
        (("against", "neither", "neither"), "neither"),
        (("with", "with", "against"), "neither"),
        (("neither", "neither", "neither"), "neither"),
    ],
)
def test_from_three_strokes_on_most_have_to_go_the_same_way(said, found) -> None:
    strokes = [evolve(stroke(9.0), with_hands={"head": way}) for way in said]
    idle = evolve(stroke(9.0, kind="practice"), with_hands={"head": "against"})
    assert join_with_hands([*strokes, idle], "putt", 0) == {"head": found}
    assert join_with_hands([], "putt", None) == {}
