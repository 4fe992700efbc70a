"""Hands that the down-the-line view may have guessed: a check by the shaft, the other view and the arms' length.

Where a student stands upright with the hands close, the trunk hides the near hand and the model guesses it, up to 13 cm
too high and with good scores. The hands hold the grip, and face on they are seen. Where the other view or the shaft
disagrees by more than the uncertainties, the intervals of the hand measures are widened to contain both. Without
either, arms too short for the student show it.
"""

import math
from collections.abc import Mapping
from typing import Final

import numpy as np
from attrs import evolve

from putt_posture.body import predict_joint_length
from putt_posture.measures.arms import HAND_HEIGHT, HAND_OFFSET, hand_height
from putt_posture.posture.budget import estimate_from
from putt_posture.posture.plane import Plane, near_side
from putt_posture.posture.seen_setup import SeenSetup
from putt_posture.values import (
    HAND_POINTS,
    LANDMARK_INDEX,
    NORMAL_95,
    Estimate,
    Landmarks,
    MeasureName,
    Scene,
    Student,
    median_seen,
)

__all__ = ["hold_hands_against_others"]

VIEWS_APART_SD_CM: Final = 2.0
"""Difference in hand height between the two views, one sigma, cm, beyond the known uncertainties (sample clips: 1 to 3
cm)."""
OFF_SHAFT_SD_CM: Final = 1.5
"""Distance of the hand centre from the shaft's line, one sigma, cm (sample clips: at most 0.7 cm; a hand is 8 cm
broad)."""
HAND_SEEN: Final = 0.7
"""Mean visibility of a near hand that is seen; on the sample clips 0.94 and more, behind a weight 0.3 to 0.67."""
USUAL_REACH: Final = 0.86
REACH_SD: Final = 0.05
LEAST_REACH: Final = 0.74
"""Shoulders to wrists, mid-points, as seen from the side, in shares of an arm: 0.76 to 0.97 on 60 rendered golfers,
0.66 and 0.77 with long putters. A hand that is found 13 cm too high reduces it by 0.2."""
HANDS_APART: Final = 0.25
"""Wrists this many arms apart belong to a long putter, where the upper arm is bent (0.35 and more; others up to
0.2)."""
GUESSED_SD_CM: Final = 6.6
"""Uncertainty where only the scores show that the hand is hidden, cm: an error of 13 cm is then at the end of the
interval."""

_CAUSE: Final = "hands by the shaft or the other view"


def hold_hands_against_others(
    found: Mapping[MeasureName, Estimate], seen: SeenSetup
) -> tuple[dict[MeasureName, Estimate], tuple[str, ...]]:
    """Widen the down-the-line hand measures where the shaft or the other view disagrees.

    Parameters
    ----------
    found : mapping of MeasureName to Estimate
        The measures of the setup.
    seen : SeenSetup
        With a down-the-line view.

    Returns
    -------
    estimates : dict of MeasureName to Estimate
        Those that changed.
    warnings : tuple of str
        A sentence where they did.
    """
    plane, scene, front = seen.planes["down_the_line"], seen.scene("down_the_line"), seen.pair("face_on")
    above, off = _height_above(found[HAND_HEIGHT.name], front), _off_the_shaft(seen, plane)
    slant = 0.0 if math.isnan(off[0]) else off[0] / off[1]
    if above:
        height, offset = abs(above) / NORMAL_95, max(abs(above), abs(off[0]) if slant else 0.0) / NORMAL_95
        says = (
            f"Down the line the hands were found {abs(above):.0f} cm {'higher' if above > 0 else 'lower'} than face on"
        )
    elif slant:
        height, offset = abs(slant) / NORMAL_95, abs(off[0]) / NORMAL_95
        says = f"Down the line the hands were found {abs(off[0]):.0f} cm off the line of the shaft"
    elif short := _short_of_an_arm(plane, seen.student):
        height = offset = math.hypot(short[0] / NORMAL_95, short[1])
        says = f"Down the line the arms look {short[0]:.0f} cm shorter than those of a student of this height"
    elif _near_hand_visibility(seen.landmarks("down_the_line"), scene) < HAND_SEEN:
        height = offset = GUESSED_SD_CM
        says = "Down the line the near hand seems to be hidden"
    else:
        return {}, ()
    spreads = {HAND_HEIGHT.name: height, HAND_OFFSET.name: offset}
    widened = {name: _widen(found[name], spread) for name, spread in spreads.items() if found[name]}
    return widened, (f"{says}, so hand height and hand offset are not certain; film so that both hands are seen.",)


def _height_above(side: Estimate, front: tuple[Plane, Scene] | None) -> float:
    """Return how much higher the hands are than face on, cm; 0 where the uncertainties allow the difference."""
    if not side or front is None or front[1].ground_v_px.frames == 0:
        return 0.0
    other = estimate_from(
        hand_height, *front, unit="cm", model_sd=HAND_HEIGHT.model_sd, method="face on", unseen="unseen"
    )
    if not other:
        return 0.0
    above = side.value - other.value
    limit = NORMAL_95 * math.hypot(side.standard_uncertainty, other.standard_uncertainty, VIEWS_APART_SD_CM)
    return above if abs(above) > limit else 0.0


def _off_the_shaft(seen: SeenSetup, plane: Plane) -> tuple[float, float]:
    """Return how far the hands are from the shaft along the ground, cm, and how far it leans per length up.

    NaN where there is no shaft, and where the hands are on it.
    """
    if seen.scene("down_the_line").shaft_px is None:
        return math.nan, math.nan
    shaft = seen.shaft("down_the_line")
    butt, sole = shaft.ends(plane)
    lean = float((sole[0] - butt[0]) / (butt[1] - sole[1]))
    hands = plane.hands()
    off = median_seen(hands[:, 0] - (sole[0] - (hands[:, 1] - sole[1]) * lean))
    across = abs(off) * math.cos(math.atan(lean))
    return (off, lean) if across > NORMAL_95 * OFF_SHAFT_SD_CM and lean else (math.nan, math.nan)


def _short_of_an_arm(plane: Plane, student: Student) -> tuple[float, float] | None:
    """Return how much the arms are shorter than their usual reach, and its sigma, cm; None if they are not."""
    arm = predict_joint_length("arm", student.stature_cm, student.sex, wrist_floor_cm=student.wrist_floor_cm).value
    reach = median_seen(np.linalg.norm(plane.middle("wrist") - plane.middle("shoulder"), axis=1)) / arm
    apart = median_seen(np.linalg.norm(plane.at("left_wrist") - plane.at("right_wrist"), axis=1)) / arm
    return ((USUAL_REACH - reach) * arm, REACH_SD * arm) if reach < LEAST_REACH and apart < HANDS_APART else None


def _near_hand_visibility(seen: Landmarks, scene: Scene) -> float:
    points = [LANDMARK_INDEX[f"{near_side(scene)}_{part}"] for part in HAND_POINTS]
    return float(np.median(seen.visibility[:, points].mean(axis=1)))


def _widen(estimate: Estimate, spread: float) -> Estimate:
    budget = {**estimate.budget, _CAUSE: spread}
    return evolve(estimate, budget=budget, standard_uncertainty=math.hypot(estimate.standard_uncertainty, spread))
