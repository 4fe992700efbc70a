"""Where the joints of a body are, feet flat, for given angles: the chain from the ground to the eyes and the hands.

The plane is across the target line: y toward the ball from the back of the heels, z up from the ground, cm. Angles are
degrees. Every length and angle may be a number or an array, and they broadcast.
"""

from collections.abc import Callable, Mapping
from typing import Final

import numpy as np
from attrs import frozen
from numpy.typing import ArrayLike

from putt_posture.body import centre_of_mass
from putt_posture.fitting.body_model.arms import find_arm
from putt_posture.values import Floats, Sex

__all__ = ["CURL", "Pose", "curl_trunk", "find_balance", "find_mass_centre", "place_body"]

ANKLE_SHARE_OF_FOOT: Final = 0.23
"""Ankle joint ahead of the back of the heel, share of the foot (judged; 6 cm of 27)."""

SHOE_BEHIND_CM: Final = 0.8
SHOE_AHEAD_CM: Final = 1.5
"""How far a golf shoe extends behind the heel and in front of the toes (common practice)."""

CURL: Final = 2.2
"""How much more the spine bends than the outline of the back between pelvis and neck shows; from the shortening of the
line hip–shoulder in 40 rendered golfers (accuracy study), whose outlines bent by 5° to 42°."""


@frozen(kw_only=True, eq=False)
class Pose:
    """A body at address, from the side.

    Attributes
    ----------
    joints : mapping of str to (…, 2)
        ``heel``, ``toe``, ``ankle``, ``knee``, ``hip``, ``shoulder``, ``ear``, ``eye``, ``elbow``, ``wrist``,
        ``hands``: y and z, cm. The feet are those of the shoes.
    balance : (…)
        Where the centre of mass falls along the foot, %.
    """

    joints: Mapping[str, Floats]
    balance: Floats

    def y(self, joint: str) -> Floats:
        """Return how far a joint lies toward the ball from the back of the heels, (…) cm.

        Parameters
        ----------
        joint : str
            A name of `joints`.
        """
        return self.joints[joint][..., 0]

    def z(self, joint: str) -> Floats:
        """Return how high a joint is, (…) cm.

        Parameters
        ----------
        joint : str
            A name of `joints`.
        """
        return self.joints[joint][..., 1]


def curl_trunk(back_rounding: ArrayLike) -> Floats:
    """Return the length from hip to shoulder of a rounded back, the chord of an arc, as a share of that of a flat back.

    Parameters
    ----------
    back_rounding : float or array
        Angle between the lower and the upper back, deg; 0 = flat.
    """
    half = np.radians(np.asarray(back_rounding, dtype=np.float64)) * CURL / 2
    return np.asarray(np.sinc(half / np.pi))


def place_body(
    lengths: Mapping[str, Floats],
    *,
    sole: ArrayLike,
    knee_flex: ArrayLike,
    tilt: ArrayLike,
    back_rounding: ArrayLike,
    head_drop: ArrayLike,
    head_pitch: ArrayLike,
    upper_arm_back: ArrayLike,
    elbow_bend_seen: ArrayLike,
    balance: ArrayLike,
    sex: Sex | None,
) -> Pose:
    """Place the joints of a body that is balanced on flat feet.

    Parameters
    ----------
    lengths : mapping of str to (…)
        As `find_lengths` names them, cm.
    sole : (…)
        What the shoes add below the heel, cm.
    knee_flex, tilt, back_rounding, head_drop : (…)
        As the measures define them, deg.
    head_pitch : (…)
        How far the line from ear to eye points below the horizontal, deg.
    upper_arm_back : (…)
        Upper arm behind the plumb line, deg.
    elbow_bend_seen : (…)
        Elbow bend as seen from the side, deg.
    balance : (…)
        Wanted place of the weight along the foot, %; the legs lean until it is there.
    sex : {"female", "male"}, optional
        Which table of masses.

    Returns
    -------
    Pose
        NaN where no lean of the legs gives that balance.
    """
    arm = find_arm(lengths)

    def place(lean: ArrayLike) -> dict[str, Floats]:
        ankle = _point(
            SHOE_BEHIND_CM + ANKLE_SHARE_OF_FOOT * lengths["foot"], np.asarray(lengths["ankle"]) + np.asarray(sole)
        )
        knee = ankle + _toward(lengths["shank"], lean)
        hip = knee + _toward(lengths["thigh"], np.asarray(lean) - np.asarray(knee_flex))
        shoulder = hip + _toward(lengths["trunk"] * curl_trunk(back_rounding), tilt)
        ear = shoulder + _toward(lengths["neck"], np.asarray(tilt) + np.asarray(head_drop))
        eye = ear + _toward(lengths["ear_to_eye"], 90 + np.asarray(head_pitch))
        elbow = shoulder - _toward(arm.upper, upper_arm_back)
        down = np.asarray(upper_arm_back) - np.asarray(elbow_bend_seen)
        wrist = elbow - _toward(arm.forearm, down)
        toe = _point(SHOE_BEHIND_CM + lengths["foot"] + SHOE_AHEAD_CM, np.zeros(()))
        return {
            "heel": np.zeros_like(toe), "toe": toe, "ankle": ankle, "knee": knee, "hip": hip, "shoulder": shoulder,
            "ear": ear, "eye": eye, "elbow": elbow, "wrist": wrist, "hands": elbow - _toward(arm.lower, down),
        }  # fmt: skip

    told = (sole, knee_flex, tilt, back_rounding, head_drop, head_pitch, upper_arm_back, elbow_bend_seen, balance)
    dimensions = max(np.ndim(each) for each in (*told, *lengths.values()))
    lean = _find_lean(place, dimensions=dimensions, balance=balance, sex=sex)
    joints = place(lean)
    return Pose(joints=joints, balance=find_balance(joints, sex=sex))


def find_mass_centre(joints: Mapping[str, Floats], *, sex: Sex | None) -> Floats:
    """Find the centre of mass of a body from its joints, (…, 2) cm; the putter is left out.

    Parameters
    ----------
    joints : mapping of str to (…, 2)
        Toward the ball and up, cm.
    sex : {"female", "male"}, optional
        Which body table; both without it.
    """
    names = {"foot_index": "toe", "index": "hands", "pinky": "hands"}
    parts = ("ear", "shoulder", "elbow", "wrist", "pinky", "index", "hip", "knee", "ankle", "heel", "foot_index")
    both = {f"{side}_{part}": joints[names.get(part, part)] for part in parts for side in ("left", "right")}
    return centre_of_mass(both, sex=sex)


def find_balance(joints: Mapping[str, Floats], *, sex: Sex | None) -> Floats:
    """Find where the centre of mass falls along the foot, (…) %; 0 = back of the heel, 100 = tip of the toe.

    Parameters
    ----------
    joints : mapping of str to (…, 2)
        Toward the ball and up, cm.
    sex : {"female", "male"}, optional
        Which body table; both without it.
    """
    heel, toe = joints["heel"][..., 0], joints["toe"][..., 0]
    return np.asarray(100 * (find_mass_centre(joints, sex=sex)[..., 0] - heel) / (toe - heel))


def _find_lean(
    place: Callable[[ArrayLike], Mapping[str, Floats]], *, dimensions: int, balance: ArrayLike, sex: Sex | None
) -> Floats:
    """Find the lean of the shanks at which the weight is where it is wanted.

    All parts above the ankle move with sine and cosine of the lean. So the balance is a + b sin(lean) + c cos(lean),
    and three leans give a, b and c.
    """
    leans = np.array([0.0, 90.0, -90.0]).reshape(3, *[1] * dimensions)
    level, ahead, behind = find_balance(place(leans), sex=sex)
    a, b = (ahead + behind) / 2, (ahead - behind) / 2
    c = level - a
    with np.errstate(invalid="ignore"):
        lean = np.arcsin((np.asarray(balance) - a) / np.hypot(b, c)) - np.arctan2(c, b)
    return np.asarray(np.degrees(lean))


def _toward(length: ArrayLike, from_vertical: ArrayLike) -> Floats:
    """Return the vector of a link that leans from the vertical toward the ball, (…, 2) cm."""
    angle = np.radians(from_vertical)
    return _point(np.asarray(length) * np.sin(angle), np.asarray(length) * np.cos(angle))


def _point(y: ArrayLike, z: ArrayLike) -> Floats:
    return np.stack(np.broadcast_arrays(np.asarray(y, dtype=np.float64), np.asarray(z, dtype=np.float64)), axis=-1)
