"""From putter to setup: how a body adapts to a putter of any length.

The student holds the given putter, soled at about its own lie, and departs from the wanted setup as little as possible:
the least sum of squares of all departures, each divided by its tolerated departure.
"""

from collections.abc import Mapping
from typing import Final

import numpy as np
from attrs import frozen
from scipy.linalg import block_diag
from scipy.optimize import least_squares

from putt_posture.fitting.body_model import CURL, Pose, place_body
from putt_posture.fitting.body_model.arms import find_arm
from putt_posture.units import CM_PER_INCH
from putt_posture.values import Floats, PutterCurves, Sex, WantedSetup

__all__ = ["CURVE_LENGTHS_CM", "TOLERATED_DEPARTURES", "BodyWithPutter", "find_curves"]

CURVE_LENGTHS_CM: Final = np.arange(30.0, 37.01, 0.5) * CM_PER_INCH
"""30 to 37 inches in half inches."""

TOLERATED_DEPARTURES: Final[Mapping[str, float]] = {
    "tilt": 8.0, "curl": 5.0, "neck": 8.0, "knee_flex": 8.0, "elbow_bend": 8.0, "lie": 1.5, "hand_offset": 10.0,
    "elbow_depth": 2.5, "eye_offset": 5.0, "room": 3.0, "gap": 0.05,
}  # fmt: skip
"""Departures from the wanted setup that are equally tolerable, deg and cm (judged, common practice: the hands and the
eyes move before the putter head is set on its heel or the room in front of the legs is given up). ``curl`` is the
rounding of the back beyond what reaching out brings, ``neck`` the lowering of the head beyond the direction of the
upper back, ``room`` the distance from the hip to the hands, in which they swing; ``gap`` is the distance between sole
and ground, which must close."""

REACH_ROUNDS: Final = 2.0
"""How many degrees the back is rounded more for each cm that the hands reach out, shoulder blades included (judged:
hands 10 cm outside go with some 20° in students who stand tall, common practice)."""

_FREE: Final = ("tilt", "back_rounding", "head_drop", "knee_flex", "hand_offset", "bend_seen", "lie")
_LOW: Final = np.array([0.0, 0.0, -20.0, 0.0, -20.0, 0.0, 50.0])
_HIGH: Final = np.array([70.0, 70.0, 60.0, 50.0, 35.0, 90.0, 88.0])

_STEP: Final = 1e-4
"""Step of the numerical derivatives, deg or cm."""
_INSIDE: Final = 0.01
"""How far from its bounds the search begins, deg or cm."""
_STEPS: Final = 12
"""Steps for many bodies at once: then nine in ten have settled, and the spread of each quantity over them is that of
bodies that were given all the steps they need, to a fifth of it."""
_DAMPING: Final = 1e-3
"""With which the steps begin, and by how much it is eased after a step that helps, or raised after one that does not;
usual values."""
_EASE: Final = 5.0


SOFT_CM: Final = 1.0
"""Over how many cm reaching out sets in, so that the curve is smooth."""


@frozen(kw_only=True, eq=False)
class BodyWithPutter:
    """One body, or many, and its wanted setup.

    Attributes
    ----------
    lengths : mapping of str to (…)
        Of the model, with ``sole``, ``slack``, ``change`` and ``hold``, cm.
    wanted : WantedSetup
    sex : {"female", "male"}, optional
    """

    lengths: Mapping[str, Floats]
    wanted: WantedSetup
    sex: Sex | None

    def find_target(
        self, best: Mapping[str, Floats], *, lie_deg: float | None = None
    ) -> tuple[Floats, dict[str, Floats]]:
        """Return where the search begins, (…, 7), and the measures of the wanted setup that it departs from.

        Parameters
        ----------
        best : mapping of str to (…)
            The wanted setup as this body holds it: ``spine_tilt``, ``back_rounding``, ``head_drop``, ``knee_flex``,
            ``elbow_bend``, ``hand_offset``, ``lie``.
        lie_deg : float, optional
            Lie of the putter, deg; that of the wanted setup by default.
        """
        seen = find_arm(self.lengths).bend_from_the_side(best["elbow_bend"])
        start = np.stack(np.broadcast_arrays(
            best["spine_tilt"], best["back_rounding"], best["head_drop"], best["knee_flex"], best["hand_offset"], seen,
            best["lie"],
        ), axis=-1).astype(np.float64)  # fmt: skip
        # The target is the wanted setup itself, with the putter that closes its gap.
        target = self.hold(start, np.asarray(0.0)) | {"gap": np.zeros(())}
        lie = np.radians(best["lie"])
        below = target["hand_height"] / np.sin(lie)
        ahead = (below + self.lengths["hold"] + self.wanted.grip_down_cm) * np.cos(lie)
        target["eye_offset"] = target["eye_offset"] - ahead
        target["ball_distance"] = target["ball_distance"] + ahead
        if lie_deg is not None:
            target["lie"] = np.asarray(lie_deg)
        return start, target

    def depart(self, free: Floats, putter: Floats, target: Mapping[str, Floats]) -> Floats:
        """Return how far setups are from the target, each departure by what is tolerated, (…, 11).

        Parameters
        ----------
        free : (…, 7)
            In the order of `_FREE`.
        putter : (…)
            Length, cm.
        target : mapping of str to (…)
        """
        held = self.hold(free, putter)
        return np.stack(
            [(held[name] - target[name]) / tolerated for name, tolerated in TOLERATED_DEPARTURES.items()], axis=-1
        )

    def slopes(self, free: Floats, putter: Floats, target: Mapping[str, Floats]) -> Floats:
        """Return the derivatives of `depart` by what is free, (…, 11, 7).

        Parameters
        ----------
        free : (…, 7)
        putter : (…)
        target : mapping of str to (…)
        """
        steps = _STEP * np.stack([np.eye(len(_FREE)), -np.eye(len(_FREE))])
        steps = steps.reshape(2, len(_FREE), *(1,) * (free.ndim - 1), len(_FREE))
        ahead, behind = self.depart(free + steps, putter, target)
        return np.moveaxis((ahead - behind) / (2 * _STEP), 0, -1)

    def settle(self, putter: Floats, start: Floats, target: Mapping[str, Floats]) -> Floats:
        """Return the least uncomfortable setup of one body with each putter, (N, 7).

        Parameters
        ----------
        putter : (N,)
            Lengths, cm.
        start : (7,)
        target : mapping of str to number
        """
        many = len(putter)

        def residuals(flat: Floats) -> Floats:
            return self.depart(flat.reshape(many, -1), putter, target).ravel()

        def jacobian(flat: Floats) -> Floats:
            return np.asarray(block_diag(*self.slopes(flat.reshape(many, -1), putter, target)))

        found = least_squares(
            residuals,
            np.tile(np.clip(start, _LOW + _INSIDE, _HIGH - _INSIDE), many),
            jac=jacobian,
            bounds=(np.tile(_LOW, many), np.tile(_HIGH, many)),
            x_scale=np.tile(10.0, many * len(_FREE)),
        )
        return np.asarray(found.x.reshape(many, -1))

    def settle_each(self, putter: Floats, start: Floats, target: Mapping[str, Floats]) -> Floats:
        """Return the least uncomfortable setup of each of many bodies with one putter, (M, 7).

        Parameters
        ----------
        putter : number
            Length, cm.
        start : (M, 7)
        target : mapping of str to (M,)

        Notes
        -----
        The steps of Levenberg and Marquardt for all bodies at once, each with its own damping. What is at a bound and
        would go beyond it stays there.
        """
        free = np.clip(start, _LOW + _INSIDE, _HIGH - _INSIDE)
        left = self.depart(free, putter, target)
        cost, damping = np.sum(left**2, axis=-1), np.full(len(free), _DAMPING)
        for _ in range(_STEPS):
            slopes = self.slopes(free, putter, target)
            turned = np.swapaxes(slopes, -1, -2)
            down, bend = (turned @ left[..., None])[..., 0], turned @ slopes
            stuck = ((free <= _LOW) & (down > 0)) | ((free >= _HIGH) & (down < 0)) | ~np.isfinite(down)
            down = np.where(stuck, 0.0, down)
            bend = np.where(stuck[..., :, None] | stuck[..., None, :], 0.0, bend)
            along = np.einsum("...ii->...i", bend)
            along += np.where(stuck, 1.0, damping[:, None] * along)
            step = np.linalg.solve(bend, -down[..., None])[..., 0]
            tried = np.clip(free + step, _LOW, _HIGH)
            left_then = self.depart(tried, putter, target)
            cost_then = np.sum(left_then**2, axis=-1)
            better = cost_then <= cost
            free, left = (np.where(better[:, None], *each) for each in ((tried, free), (left_then, left)))
            cost = np.where(better, cost_then, cost)
            damping = np.where(better, damping / _EASE, damping * _EASE)
        return free

    def hold(self, free: Floats, putter: Floats) -> dict[str, Floats]:
        """Return all measures of setups with a putter in hand.

        Parameters
        ----------
        free : (…, 7)
            In the order of `_FREE`.
        putter : (…)
            Length, cm.
        """
        return self.stand(free, putter)[1]

    def stand(self, free: Floats, putter: Floats) -> tuple[Pose, dict[str, Floats]]:
        """Return bodies with a putter in hand, and all measures of their setups.

        Parameters
        ----------
        free : (…, 7)
            In the order of `_FREE`.
        putter : (…)
            Length, cm.
        """
        asked = dict(zip(_FREE, np.moveaxis(free, -1, 0), strict=True))
        arm = find_arm(self.lengths)
        reach = arm.reach(asked["bend_seen"])
        offset = np.clip(asked["hand_offset"], -0.99 * reach, 0.99 * reach)
        back = arm.upper_arm_back(asked["bend_seen"], offset)
        pose = place_body(
            self.lengths,
            sole=self.lengths["sole"],
            knee_flex=asked["knee_flex"],
            tilt=asked["tilt"],
            back_rounding=asked["back_rounding"],
            head_drop=asked["head_drop"],
            head_pitch=90 - self.wanted.eyes_lowered_deg,
            upper_arm_back=back,
            elbow_bend_seen=asked["bend_seen"],
            balance=self.wanted.balance_percent,
            sex=self.sex,
        )
        lie = np.radians(asked["lie"])
        below = putter - self.lengths["hold"] - self.wanted.grip_down_cm
        height = pose.z("hands") + self.lengths["slack"] + self.lengths["change"]
        ball = pose.y("hands") + below * np.cos(lie)
        return pose, asked | {
            "curl": asked["back_rounding"] - REACH_ROUNDS * _outside(asked["hand_offset"]),
            "neck": asked["head_drop"] - CURL / 2 * asked["back_rounding"],
            "elbow_bend": arm.bend_in_space(asked["bend_seen"]),
            "elbow_depth": arm.upper * np.sin(np.radians(asked["tilt"] - back)) - self.lengths["ribs"],
            "eye_offset": pose.y("eye") - ball,
            "room": pose.y("hands") - pose.y("hip"),
            "gap": height - below * np.sin(lie),
            "hand_height": height,
            "ball_distance": ball - pose.y("toe"),
        }


def find_curves(
    body: Mapping[str, Floats],
    wanted: WantedSetup,
    best: Mapping[str, float],
    *,
    sex: Sex | None,
    lengths_cm: Floats = CURVE_LENGTHS_CM,
    suggested_cm: float | None = None,
    current_cm: float | None = None,
) -> PutterCurves:
    """Find the least uncomfortable setup for each putter length.

    Parameters
    ----------
    body : mapping of str to number
        One body: the lengths of the model, with ``sole``, ``slack``, ``change`` and ``hold``.
    wanted : WantedSetup
    best : mapping of str to float
        The wanted setup as this body holds it: ``spine_tilt``, ``back_rounding``, ``head_drop``, ``knee_flex``,
        ``elbow_bend``, ``hand_offset``, ``lie``.
    sex : {"female", "male"}, optional
    lengths_cm : (N,)
        Increasing; 30 to 37 inches by default.
    suggested_cm, current_cm : float, optional
        Marked in the curves, cm.
    """
    student = BodyWithPutter(lengths=body, wanted=wanted, sex=sex)
    start, target = student.find_target({name: np.asarray(value) for name, value in best.items()})
    lengths = np.asarray(lengths_cm, dtype=np.float64)
    free = student.settle(lengths, start, target)
    held = student.hold(free, lengths)
    return PutterCurves(
        putter_length_cm=lengths,
        spine_tilt=held["tilt"],
        back_rounding=held["back_rounding"],
        head_drop=held["head_drop"],
        knee_flex=held["knee_flex"],
        elbow_bend=held["elbow_bend"],
        lie=held["lie"],
        hand_offset=held["hand_offset"],
        elbow_depth=held["elbow_depth"],
        eye_offset=held["eye_offset"],
        hand_height=held["hand_height"],
        ball_distance=held["ball_distance"],
        strain=np.linalg.norm(student.depart(free, lengths, target), axis=-1),
        suggested_cm=suggested_cm,
        current_cm=current_cm,
    )


def _outside(offset: Floats) -> Floats:
    """Return how far hands are outside the shoulders, cm, about 0 where they are inside; smooth at 0."""
    return np.asarray(SOFT_CM * np.logaddexp(0.0, offset / SOFT_CM))
