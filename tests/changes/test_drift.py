"""What was gained and lost again by more than the noise has drifted."""

from measured_twice import measured, number

from putt_posture.changes import find_drift


def lesson(tilt, knee=15.0):
    return measured(spine_tilt=number("spine_tilt", tilt, 1.5), knee_flex=number("knee_flex", knee, 1.5))


def names(*lessons):
    return [each.name for each in find_drift(*lessons)]


def test_a_gain_that_went_back_has_drifted() -> None:
    (found,) = find_drift(lesson(24), lesson(40), lesson(31))
    assert (found.name, found.change.value) == ("spine_tilt", -9.0)


def test_a_loss_within_the_noise_is_no_drift() -> None:
    assert names(lesson(24), lesson(40), lesson(37)) == []


def test_a_gain_that_went_on_is_no_drift() -> None:
    assert names(lesson(24), lesson(40), lesson(52)) == []


def test_a_change_of_what_was_never_gained_is_no_drift() -> None:
    assert names(lesson(24, knee=15), lesson(40, knee=16), lesson(40, knee=30)) == []


def test_a_gain_downward_drifts_upward() -> None:
    assert names(lesson(40), lesson(24), lesson(33)) == ["spine_tilt"]


def test_without_a_lesson_before_every_real_change_counts() -> None:
    assert names(None, lesson(40, knee=16), lesson(52, knee=30)) == ["spine_tilt", "knee_flex"]


def test_a_measure_that_is_missing_now_has_not_drifted() -> None:
    assert names(lesson(24), lesson(40), measured()) == []
