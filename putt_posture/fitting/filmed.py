"""The filmed setup as data: what the clip shows of the body's lengths, hands, putter and eyes.

The angles as filmed, with their errors, put the model into the filmed setup; how high its hands then are, how long a
putter they hold and where its eyes are can be compared with what was measured.
"""

import math
from collections.abc import Mapping
from typing import Final

import numpy as np
from attrs import evolve, frozen

from putt_posture.fitting.body_model import ClipLengths, Gaussian, curl_trunk, place_body
from putt_posture.fitting.body_model.arms import find_arm
from putt_posture.fitting.geometry import find_length
from putt_posture.fitting.inputs import GRIP_DOWN_SD_CM, MEASURE_CORRELATION, FilmedSetup, find_putter_slip
from putt_posture.fitting.posterior import Datum
from putt_posture.measures.trunk import BACK_ROUNDING
from putt_posture.posture.depth import beside_midline_cm
from putt_posture.posture.plane import near_side, place_in_plane
from putt_posture.values import Estimate, Floats, Posture, Sex, Student, ViewResult, WantedSetup, median_seen

__all__ = ["add_filmed_errors", "find_clip_lengths", "find_filmed_data", "find_shown_tilt"]

LANDMARK_SD_CM: Final = 2.0
"""Landmark error of a length between two joints, one sigma, cm (judged: 1.4 cm at either end)."""
CURL_SD: Final = 0.02
"""One sigma of the shortening of a rounded back, as a share of the trunk (rendered golfers)."""
_OWN_SCALE: Final = ("object", "putter")
"""Scales that are independent of the body tables; with any other, a length from the clip would only repeat the
table."""
_ERRORS: Final = ("tilt", "offset", "hand_height", "knee_flex", "elbow_bend", "rounding", "head_drop", "lie")
FILMED_BALANCE: Final = 55.0
"""Assumed place of the weight along the foot, %; it moves the hips, but hardly the hands (judged)."""
FILMED_SLIP: Final = 0.05
"""How often a filmed number is wrong by more than its uncertainty says: a wrong scale, a point on something else. 95 %
intervals of rendered golfers hold the truth in 92 to 100 % (accuracy study)."""
SHOWN_TILT_SD_DEG: Final = 2.0
"""How much the tilt differs between two setups with the hands in the same place, one sigma, deg (judged)."""
TILT_PER_CM_DEG: Final = 1.5
"""Change of tilt per cm where the trunk alone brings the shoulders over the hands: 1 / (50 cm · cos 40°)."""


@frozen(kw_only=True, eq=False)
class _Prediction:
    hand_height: Floats
    putter: Floats
    eye_offset: Floats


def find_clip_lengths(side: ViewResult, posture: Posture, student: Student) -> ClipLengths | None:
    """Find the lengths of legs, trunk and neck that a scaled clip shows.

    Parameters
    ----------
    side : ViewResult
        Down the line. Arms come toward that camera and are left out.
    posture : Posture
        For the rounding of the back.
    student : Student

    Returns
    -------
    ClipLengths or None
        None where the scale is based on the stature, so that the lengths say nothing new.
    """
    scene = side.scene
    if scene.scale_source not in _OWN_SCALE or not scene.px_per_cm:
        return None
    near = near_side(scene)
    beside = beside_midline_cm(student.stature_cm, near=near)
    plane = place_in_plane(side, toward_cm=beside)
    hip, shoulder = plane.middle("hip"), plane.middle("shoulder")
    spans = {
        "shank": plane.at(f"{near}_knee") - plane.at(f"{near}_ankle"),
        "thigh": plane.at(f"{near}_hip") - plane.at(f"{near}_knee"),
        "neck": plane.middle("ear") - shoulder,
    }
    rounding = posture[BACK_ROUNDING.name]
    if rounding:
        spans["trunk"] = (shoulder - hip) / float(curl_trunk(max(rounding.value, 0.0)))
    found = {name: median_seen(np.linalg.norm(span, axis=1)) for name, span in spans.items()}
    frames = len(side.joints.times_s)
    return ClipLengths(
        lengths={
            name: Estimate(
                value=value,
                standard_uncertainty=math.hypot(LANDMARK_SD_CM, CURL_SD * value if name == "trunk" else 0.0),
                unit="cm",
                view="down_the_line",
                frames=frames,
                method="between the joints of the clip",
            )
            for name, value in found.items()
            if math.isfinite(value)
        },
        scale_sd=scene.px_per_cm.standard_uncertainty / scene.px_per_cm.value,
    )


def add_filmed_errors(model: Gaussian, filmed: FilmedSetup) -> Gaussian:
    """Add the errors of the filmed measures, correlated as the accuracy study found.

    Parameters
    ----------
    model : Gaussian
    filmed : FilmedSetup
    """
    errors = {f"filmed_{name}": evolve(getattr(filmed, name), value=0.0) for name in _ERRORS}
    together = {(f"filmed_{one}", f"filmed_{other}"): value for (one, other), value in MEASURE_CORRELATION.items()}
    return model.extend(errors, together)


def find_filmed_data(
    model: Gaussian, samples: Mapping[str, Floats], filmed: FilmedSetup, *, putter: Estimate | None, sex: Sex | None
) -> dict[str, Datum]:
    """Compare what was filmed with what the model predicts.

    Parameters
    ----------
    model : Gaussian
        With the errors that `add_filmed_errors` adds.
    samples : mapping of name to (M,)
        Of the model.
    filmed : FilmedSetup
        With tilt, offset and hand height.
    putter : Estimate, optional
        Length of the putter in use, cm.
    sex : {"female", "male"}, optional

    Returns
    -------
    dict of str to Datum
        ``hand_height``; ``putter`` where its length is known; ``eye_offset`` where it was measured.
    """
    centre = _predict(model.centre(), filmed, sex)
    spread = _predict(samples, filmed, sex)
    data = {
        # Its error is in the samples, since it is correlated with those of tilt and offset.
        "hand_height": Datum(
            predicted=float(centre.hand_height),
            samples=spread.hand_height + samples["filmed_hand_height"],
            measured=filmed.hand_height.value,
            standard_uncertainty=0.0,
            slip=FILMED_SLIP,
        )
    }
    if putter is not None:
        data["putter"] = Datum(
            predicted=float(centre.putter),
            samples=spread.putter,
            measured=putter.value,
            standard_uncertainty=math.hypot(putter.standard_uncertainty, GRIP_DOWN_SD_CM),
            slip=find_putter_slip(putter.value),
        )
    if filmed.eye_offset:
        data["eye_offset"] = Datum(
            predicted=float(centre.eye_offset),
            samples=spread.eye_offset,
            measured=filmed.eye_offset.value,
            standard_uncertainty=filmed.eye_offset.standard_uncertainty,
            slip=FILMED_SLIP,
        )
    return data


def find_shown_tilt(filmed: FilmedSetup, wanted: WantedSetup) -> Estimate:
    """Return the filmed tilt as one for the wanted setup, less certain the farther the hands are from their place.

    Its standard uncertainty leaves out the error of the filmed tilt, which is in the model.

    Parameters
    ----------
    filmed : FilmedSetup
    wanted : WantedSetup
    """
    away = abs(filmed.offset.value - wanted.hand_offset_cm)
    return evolve(filmed.tilt, standard_uncertainty=math.hypot(SHOWN_TILT_SD_DEG, TILT_PER_CM_DEG * away))


def _predict(body: Mapping[str, Floats], filmed: FilmedSetup, sex: Sex | None) -> _Prediction:
    def true(name: str) -> Floats:
        return np.asarray(getattr(filmed, name).value - body[f"filmed_{name}"])

    arm = find_arm(body)
    seen = arm.bend_from_the_side(np.clip(true("elbow_bend"), 0.0, 150.0))
    offset = true("offset")
    pose = place_body(
        body,
        sole=body["sole"],
        knee_flex=np.maximum(true("knee_flex"), 0.0),
        tilt=true("tilt"),
        back_rounding=np.maximum(true("rounding"), 0.0),
        head_drop=true("head_drop"),
        head_pitch=90 - WantedSetup().eyes_lowered_deg - body["eyes_lowered_deg"],
        upper_arm_back=arm.upper_arm_back(seen, offset),
        elbow_bend_seen=seen,
        balance=FILMED_BALANCE,
        sex=sex,
    )
    height = pose.z("hands") + body["slack"]
    lie = true("lie")
    ball = pose.y("hands") + height / np.tan(np.radians(np.clip(lie, 30.0, 89.0)))
    return _Prediction(
        hand_height=height, putter=find_length(height, lie, body["hold"]), eye_offset=pose.y("eye") - ball
    )
