"""A step of the rebuild is known by the words that a coach says."""

import pytest

from putt_posture.errors import UsageError
from putt_posture.findings import find_step_title, load_coach_file, read_coach_file

COACH = load_coach_file()


@pytest.mark.parametrize(
    ("said", "title"),
    [
        ("putter down", "Putter out of the hands"),
        ("shoulders back", "Shoulders back"),
        ("  Elbows  on the ribs ", "Elbows at the front of the ribs"),
        ("tilt from the hips", "Tilt from the hips"),
        ("weight on the balls", "Weight on the balls of the feet"),
        ("knees", "Knees soft"),
        ("feet", "Step the feet to it"),
        ("putter in hand", "Fit the putter to that setup"),
    ],
)
def test_words_that_a_coach_says_name_a_step(said, title) -> None:
    assert find_step_title(said, COACH) == title


@pytest.mark.parametrize("step", COACH.steps, ids=lambda step: step.name)
def test_every_step_is_known_by_its_name_and_its_title(step) -> None:
    assert find_step_title(step.name, COACH) == find_step_title(step.title, COACH) == step.title


@pytest.mark.parametrize("said", ["stand on one leg", "", "the", "on"])
def test_words_of_no_step_are_refused_with_the_list(said) -> None:
    with pytest.raises(UsageError, match=r"putter down, .*hands swing"):
        find_step_title(said, COACH)


def test_words_of_two_steps_are_refused_with_both() -> None:
    with pytest.raises(UsageError, match="can be putter down and putter in hand"):
        find_step_title("putter", COACH)


def test_title_of_the_coachs_own_file_counts() -> None:
    own = read_coach_file('[steps.knees_soft]\ntitle = "Unlock the legs"\n', where="mine.toml")
    assert find_step_title("unlock the legs", own) == "Unlock the legs"
