"""Hands that one view guessed: where shaft or other view have them elsewhere, the interval says it."""

import numpy as np
import pytest
from attrs import evolve
from stick_golfer import Camera, Golfer, result_of, student_of

from putt_posture.measures import measure_posture
from putt_posture.values import HAND_POINTS, LANDMARK_INDEX, Posture, View, ViewResult

PX_PER_CM = 3.75
GOLFER = Golfer(tilt_deg=18.0, hand_offset_cm=2.0, hand_height_cm=72.0)
TOO_HIGH_CM = 13.0
USUAL_ARMS = evolve(GOLFER, hand_height_cm=90.0)
"""Whose arms, from the side, are as long as those of people of that stature."""


def see(
    view: View, *, raised_cm: float = 0.0, shaft: bool = False, score: float = 1.0, golfer: Golfer = GOLFER
) -> ViewResult:
    """Return a view in which both hands were found too high; the shaft runs through where they truly are."""
    camera = Camera(view=view)
    changed: dict[str, object] = {}
    if shaft:
        hand = golfer.joints()["left_wrist"] * (0, 1, 1)
        along = np.array([0.0, np.cos(np.radians(70)), -np.sin(np.radians(70))])
        ends = [camera.project(hand + along * far) for far in (-12.0, hand[2] / np.sin(np.radians(70)))]
        changed["shaft_px"] = tuple((float(u), float(v)) for u, v in ends)
    result = result_of(golfer, camera, **changed)
    points, scores = result.landmarks.points_px.copy(), result.landmarks.visibility.copy()
    for side in ("left", "right"):
        for part in HAND_POINTS:
            points[:, LANDMARK_INDEX[f"{side}_{part}"], 1] -= raised_cm * PX_PER_CM
            scores[:, LANDMARK_INDEX[f"{side}_{part}"]] = score
    seen = evolve(result.landmarks, points_px=points, visibility=scores)
    return evolve(result, landmarks=seen, joints=seen)


def measure(*views: ViewResult) -> Posture:
    return measure_posture({each.clip.view: each for each in views}, student_of(GOLFER))


def holds(posture: Posture, *, name: str = "hand_height", truth: float = 72.0) -> bool:
    return bool(posture[name].low <= truth <= posture[name].high)


def test_the_face_on_view_shows_that_the_hands_were_guessed_too_high() -> None:
    posture = measure(see("down_the_line", raised_cm=TOO_HIGH_CM), see("face_on"))
    assert posture["hand_height"].value > 72.0 + TOO_HIGH_CM - 2
    assert holds(posture)
    assert holds(posture, name="hand_offset", truth=2.0)
    assert any("higher than face on" in warning for warning in posture.warnings)


def test_the_shaft_shows_it_where_no_other_view_does() -> None:
    posture = measure(see("down_the_line", raised_cm=TOO_HIGH_CM, shaft=True))
    assert holds(posture)
    assert any("off the line of the shaft" in warning for warning in posture.warnings)


def test_a_low_score_shows_it_where_nothing_else_does() -> None:
    posture = measure(see("down_the_line", raised_cm=TOO_HIGH_CM, score=0.5))
    assert holds(posture)
    assert any("near hand seems to be hidden" in warning for warning in posture.warnings)


def test_arms_too_short_show_it_where_nothing_else_does() -> None:
    posture = measure(see("down_the_line", raised_cm=TOO_HIGH_CM, golfer=USUAL_ARMS))
    assert holds(posture, truth=90.0)
    assert any("shorter than those of a student of this height" in warning for warning in posture.warnings)


def test_the_bent_upper_arm_of_a_long_putter_is_not_a_short_arm() -> None:
    assert not measure(see("down_the_line", golfer=USUAL_ARMS)).warnings
    result = see("down_the_line", golfer=USUAL_ARMS)
    points = result.landmarks.points_px.copy()
    points[:, [LANDMARK_INDEX[f"left_{part}"] for part in HAND_POINTS], 1] -= 28.0 * PX_PER_CM
    seen = evolve(result.landmarks, points_px=points)
    posture = measure(evolve(result, landmarks=seen, joints=seen))
    assert not any("shorter than those of a student" in warning for warning in posture.warnings)


@pytest.mark.parametrize("shaft", [True, False])
def test_hands_on_which_all_agree_stay_as_sure_as_they_were(shaft) -> None:
    alone = measure(see("down_the_line"))
    posture = measure(see("down_the_line", shaft=shaft), see("face_on"))
    for name in ("hand_height", "hand_offset"):
        assert posture[name].standard_uncertainty == pytest.approx(alone[name].standard_uncertainty, rel=0.05)
    assert not posture.warnings
    budget = posture["hand_height"].budget
    assert posture["hand_height"].standard_uncertainty == pytest.approx(np.linalg.norm(list(budget.values())))


def test_what_was_widened_still_adds_up() -> None:
    wide = measure(see("down_the_line", raised_cm=TOO_HIGH_CM), see("face_on"))["hand_height"]
    assert wide.standard_uncertainty == pytest.approx(np.linalg.norm(list(wide.budget.values())))
