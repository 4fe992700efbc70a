"""A given putter in a student's hands: the setup that the body takes up for it, and what that costs.

The same search as in `curves`, for one putter, whose lie may be another than that of the wanted setup. How sure the
numbers are follows from the bodies that the student may have: each of them holds the putter, and departs from its own
wanted setup.
"""

import math
from collections.abc import Mapping
from typing import Final

import numpy as np
from attrs import evolve

from putt_posture.body import LONGEST_PUTTER_CM, SHORTEST_PUTTER_CM
from putt_posture.errors import UsageError
from putt_posture.figures import format_given, format_length
from putt_posture.fitting.body_model import BodySetup
from putt_posture.fitting.curves import TOLERATED_DEPARTURES, BodyWithPutter
from putt_posture.fitting.limits import check_putter_lie
from putt_posture.fitting.solution import QUANTITIES, make_figure
from putt_posture.fitting.suggestion import FittedBody, estimate_toe_lift
from putt_posture.values import Estimate, Floats, HeldPutter, absent

__all__ = ["TOLERATED", "check_putter_length", "hold_putter"]

_CLOSED_CM: Final = 0.5
"""A sole that is farther from the ground is not on it, cm; the search keeps it nearer wherever a body can."""
_BODIES: Final = 128
"""How many of the bodies that the student may have hold the putter; they are evenly spread."""
_NAMES: Final[Mapping[str, str]] = {"spine_tilt": "tilt"}
"""Where the search calls a quantity otherwise."""
TOLERATED: Final[Mapping[str, float]] = {
    name: TOLERATED_DEPARTURES[_NAMES.get(name, name)]
    for name in QUANTITIES
    if _NAMES.get(name, name) in TOLERATED_DEPARTURES
}
"""Departures from the wanted setup that are easily tolerated, by the names of `Fit.setup` (judged; see `curves`)."""


def check_putter_length(length_cm: float) -> float:
    """Check that a putter may have a length and return it.

    Parameters
    ----------
    length_cm : float
        Butt to sole along the shaft.

    Raises
    ------
    UsageError
        If it is out of range.
    """
    if not SHORTEST_PUTTER_CM <= length_cm <= LONGEST_PUTTER_CM:
        raise UsageError(
            f"The putter length of {format_given(length_cm, 'cm')} is out of range; {SHORTEST_PUTTER_CM:g} to "
            f"{LONGEST_PUTTER_CM:g} cm is possible; check the number and its unit."
        )
    return length_cm


def hold_putter(body: FittedBody, *, length_cm: float | None = None, lie_deg: float | None = None) -> HeldPutter | None:
    """Put a putter into the hands of a body that was fitted.

    Parameters
    ----------
    body : FittedBody
        How far below the usual place the hands hold the grip is in its wanted setup.
    length_cm : float, optional
        The suggested length by default.
    lie_deg : float, optional
        The suggested lie by default.

    Returns
    -------
    HeldPutter or None
        None where no length was found for the wanted setup, so that there is no body to hold anything.

    Raises
    ------
    UsageError
        If there is no such putter.
    """
    if length_cm is not None:
        check_putter_length(length_cm)
    if lie_deg is not None:
        check_putter_lie(lie_deg)
    solution, wanted, sex = body.solution, body.wanted, body.student.sex
    if solution is None or solution.stands is None or solution.prior is None or solution.samples is None:
        return None
    length = body.fit.putter_length.value if length_cm is None else length_cm
    lie = body.fit.lie.value if lie_deg is None else lie_deg
    putter = np.array([length])
    best = BodyWithPutter(lengths=solution.body, wanted=wanted, sex=sex)
    start, target = best.find_target(_as_asked(solution.stands), lie_deg=lie)
    free = best.settle(putter, start, target)[0]
    pose, held = best.stand(free, np.asarray(length))
    gap = float(held["gap"])
    if not abs(gap) <= _CLOSED_CM:
        return _refuse(length, lie, wanted.grip_down_cm, gap)
    bodies, asked = _join(solution.prior, solution.samples)
    many = BodyWithPutter(lengths=bodies, wanted=wanted, sex=sex)
    starts, targets = many.find_target(asked, lie_deg=lie)
    of_many = many.hold(many.settle_each(np.asarray(length), starts, targets), np.asarray(length))
    posterior = evolve(solution.posterior, spread=solution.posterior.spread[:_BODIES])

    def sum_up(unit: str, value: Floats, spread: Floats) -> Estimate:
        first, *rest = np.broadcast_to(spread, (len(starts),))
        return Estimate(
            value=float(value),
            standard_uncertainty=posterior.standard_uncertainty(float(first), np.array(rest)),
            unit=unit,
            method=f"jointed body model with a putter of {format_length(length)}",
        )

    names = {name: (_NAMES.get(name, name), unit) for name, (unit, _) in QUANTITIES.items() if name != "balance"}
    setup = {name: sum_up(unit, held[key], of_many[key]) for name, (key, unit) in names.items()}
    departures = {
        name: sum_up(unit, held[key] - target[key], of_many[key] - targets[key]) for name, (key, unit) in names.items()
    }
    shaft_lie = sum_up("deg", held["lie"], of_many["lie"])
    return HeldPutter(
        length_cm=length,
        lie_deg=lie,
        grip_down_cm=wanted.grip_down_cm,
        setup=setup,
        departures=departures,
        shaft_lie=shaft_lie,
        toe_lift=estimate_toe_lift(shaft_lie, lie),
        strain=float(np.linalg.norm(best.depart(free, np.asarray(length), target))),
        figure=make_figure(
            pose,
            hand_height=float(held["hand_height"]),
            lie_deg=float(held["lie"]),
            back_rounding_deg=float(held["back_rounding"]),
            putter_cm=length,
        ),
    )


def _as_asked(setup: BodySetup) -> dict[str, Floats]:
    return {
        "spine_tilt": setup.tilt,
        "back_rounding": setup.back_rounding,
        "head_drop": setup.head_drop,
        "knee_flex": setup.knee_flex,
        "elbow_bend": setup.elbow_bend,
        "hand_offset": setup.hand_offset,
        "lie": setup.lie,
    }


def _join(
    prior: tuple[Mapping[str, Floats], BodySetup], samples: tuple[Mapping[str, Floats], BodySetup]
) -> tuple[dict[str, Floats], dict[str, Floats]]:
    """Return the body before the data and some of the samples, (1 + M,) each, and the wanted setup of each of them."""

    def put_together(one: Mapping[str, Floats], many: Mapping[str, Floats]) -> dict[str, Floats]:
        return {name: np.append(one[name], _first(many[name])) for name in one}

    return put_together(prior[0], samples[0]), put_together(_as_asked(prior[1]), _as_asked(samples[1]))


def _first(values: Floats) -> Floats:
    return np.broadcast_to(values, (_BODIES,)) if np.ndim(values) == 0 else values[:_BODIES]


def _refuse(length: float, lie: float, grip_down: float, gap: float) -> HeldPutter:
    other = "longer" if math.isfinite(gap) and gap > 0 else "shorter"
    reason = (
        f"This body cannot hold a putter of {format_length(length)} so that its sole is on the ground; try a {other} "
        "one."
    )
    nothing = {name: absent(reason, unit=unit) for name, (unit, _) in QUANTITIES.items()}
    return HeldPutter(
        length_cm=length,
        lie_deg=lie,
        grip_down_cm=grip_down,
        setup=nothing,
        departures=nothing,
        shaft_lie=absent(reason, unit="deg"),
        toe_lift=absent(reason, unit="cm"),
        strain=math.nan,
        absent=reason,
    )
