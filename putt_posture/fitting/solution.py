"""A wanted setup solved for one student: the putter, and the setup it is for, as numbers and as a figure."""

from collections.abc import Callable, Iterator, Mapping, Sequence
from typing import Final

import numpy as np
from attrs import field, frozen

from putt_posture.body import SHORTEST_PUTTER_CM
from putt_posture.fitting.body_model import BodySetup, Gaussian, Pose, find_setup, say_obstacle
from putt_posture.fitting.geometry import find_length
from putt_posture.fitting.limits import STEEPEST_LIE_DEG
from putt_posture.fitting.posterior import Datum, Posterior, update
from putt_posture.values import Estimate, Floats, Sex, StandingFigure, WantedSetup, absent

__all__ = ["QUANTITIES", "SetupSolution", "find_figure", "make_figure", "solve_setup"]

BALL_RADIUS_CM = 4.267 / 2
"""The R&A and USGA, Equipment Rules, Part 4, 3: a ball is at least 1.680 inches (42.67 mm) across."""
USUAL_TILT: Final = Estimate(value=38.0, standard_uncertainty=4.0, unit="deg", method="common practice")
"""Tilt of setups that coaches call good (common practice; the range of what is taught is wider). It matters for a body
with deeper or flatter ribs than most. For it coaches do not ask for much more or less tilt; they let the elbows bend
more or less, or be a little off the front of the ribs."""
HARDLY_SHARE: Final = 0.6
"""Least share of the possible bodies of the student that must be able to stand as wanted."""
QUANTITIES: Final[Mapping[str, tuple[str, Callable[[BodySetup], Floats]]]] = {
    "spine_tilt": ("deg", lambda setup: setup.tilt),
    "back_rounding": ("deg", lambda setup: setup.back_rounding),
    "head_drop": ("deg", lambda setup: setup.head_drop),
    "knee_flex": ("deg", lambda setup: setup.knee_flex),
    "elbow_bend": ("deg", lambda setup: setup.elbow_bend),
    "hand_offset": ("cm", lambda setup: setup.hand_offset),
    "elbow_depth": ("cm", lambda setup: setup.elbow_depth),
    "hand_height": ("cm", lambda setup: setup.hand_height),
    "eye_offset": ("cm", lambda setup: setup.eye_offset),
    "ball_distance": ("cm", lambda setup: setup.ball_distance),
    "balance": ("%", lambda setup: setup.pose.balance),
}
"""What is said of a setup: its unit, and where it is read."""


@frozen(kw_only=True, eq=False)
class SetupSolution:
    """The putter for a wanted setup.

    Attributes
    ----------
    length, lie : Estimate
        cm and deg; absent, with the reason, where the setup is impossible.
    posterior : Posterior
        How the data changed the model: first the data that were given, in their order.
    setup : mapping of str to Estimate
        Named as in `Fit.setup`; empty where the setup is impossible.
    body : mapping of str to float
        The posterior mean of the model.
    stands : BodySetup or None
        That body in the wanted setup; None where it is impossible.
    prior, samples : (bodies, BodySetup) or None
        The body before the data, one, and the samples of the model, (M,) each; both in the wanted setup. None where it
        is impossible.
    """

    length: Estimate
    lie: Estimate
    posterior: Posterior = field(repr=False)
    setup: Mapping[str, Estimate] = field(factory=dict)
    body: Mapping[str, Floats] = field(repr=False, factory=dict)
    stands: BodySetup | None = None
    prior: tuple[Mapping[str, Floats], BodySetup] | None = field(repr=False, default=None)
    samples: tuple[Mapping[str, Floats], BodySetup] | None = field(repr=False, default=None)


def find_figure(stands: BodySetup, *, putter_cm: float) -> StandingFigure:
    """Find joints, putter and ball of a body in its setup.

    Parameters
    ----------
    stands : BodySetup
        Of one body. Its hands are drawn on the putter, a little off the ends of the stiff arms.
    putter_cm : float
        Length of the putter.
    """
    return make_figure(
        stands.pose,
        hand_height=float(stands.hand_height),
        lie_deg=float(stands.lie),
        back_rounding_deg=float(stands.back_rounding),
        putter_cm=putter_cm,
    )


def make_figure(
    pose: Pose, *, hand_height: float, lie_deg: float, back_rounding_deg: float, putter_cm: float
) -> StandingFigure:
    """Return joints, putter and ball of a body with its hands on a putter.

    Parameters
    ----------
    pose : Pose
        Of one body.
    hand_height : float
        Of the hands on the putter, cm.
    lie_deg : float
        Of the shaft as it is held, deg.
    back_rounding_deg : float
    putter_cm : float
        Length of the putter.
    """
    joints = {name: (float(place[0]), float(place[1])) for name, place in pose.joints.items()}
    lie = np.radians(lie_deg)
    hands_y, _ = joints["hands"]
    joints["hands"] = (hands_y, hand_height)
    sole: Floats = np.array([hands_y + hand_height / np.tan(lie), 0.0])
    butt = sole + putter_cm * np.array([-np.cos(lie), np.sin(lie)])
    return StandingFigure(
        joints=joints,
        butt=(float(butt[0]), float(butt[1])),
        sole=(float(sole[0]), 0.0),
        ball=(float(sole[0]), BALL_RADIUS_CM),
        back_rounding_deg=back_rounding_deg,
    )


def solve_setup(
    model: Gaussian,
    samples: Mapping[str, Floats],
    wanted: WantedSetup,
    *,
    sex: Sex | None,
    data: Sequence[Datum] = (),
    shown_tilt: Estimate | None = None,
) -> SetupSolution:
    """Put a body model into a wanted setup and measure the putter that it holds there.

    Parameters
    ----------
    model : Gaussian
        As `find_student_model` puts it together.
    samples : mapping of name to (M,)
        Of the model.
    wanted : WantedSetup
    sex : {"female", "male"}, optional
    data : sequence of Datum
        What was measured.
    shown_tilt : Estimate, optional
        Tilt of a filmed setup that the wanted one may also have, deg; its error is then in the model as
        ``filmed_tilt``.
    """
    centre = model.centre()
    before, spread = _stand(centre, wanted, sex), _stand(samples, wanted, sex)
    error = samples.get("filmed_tilt", np.zeros(()))
    posterior = update((*data, *_know_tilt(before, spread, wanted, shown_tilt, error)))
    moved = {name: centre[name] + posterior.shift(float(centre[name]), samples[name]) for name in model.names}
    best = _stand(moved, wanted, sex)
    obstacle = say_obstacle(best, wanted)
    possible = np.isfinite(spread.lie) & np.isfinite(spread.pose.balance) & np.isfinite(spread.elbow_bend)
    if obstacle is None and possible.mean() < HARDLY_SHARE:
        obstacle = "Many bodies of this size cannot stand as wanted; ask for less."
    if obstacle is not None:
        return SetupSolution(
            length=absent(obstacle, unit="cm"), lie=absent(obstacle, unit="deg"), body=moved, posterior=posterior
        )

    def sum_up(name: str, unit: str, read: Callable[[BodySetup], Floats], *, floor: float | None = None) -> Estimate:
        return Estimate(
            value=float(read(best)),
            standard_uncertainty=_uncertainty(posterior, read(before), read(spread)),
            unit=unit,
            method=f"{name} of the jointed body model in the wanted setup",
            floor=floor,
        )

    def hold(body: Mapping[str, Floats]) -> Floats:
        return body["hold"] + wanted.grip_down_cm

    lengths = [
        find_length(setup.hand_height, np.minimum(setup.lie, STEEPEST_LIE_DEG), hold(body))
        for setup, body in ((best, moved), (before, centre), (spread, samples))
    ]
    length = Estimate(
        value=float(lengths[0]),
        standard_uncertainty=_uncertainty(posterior, lengths[1], lengths[2]),
        unit="cm",
        method="jointed body model in the wanted setup",
        floor=SHORTEST_PUTTER_CM,
    )
    return SetupSolution(
        length=length,
        lie=sum_up("lie", "deg", lambda setup: setup.lie),
        setup={name: sum_up(name, unit, read) for name, (unit, read) in QUANTITIES.items()},
        body=moved,
        stands=best,
        posterior=posterior,
        prior=(centre, before),
        samples=(samples, spread),
    )


def _know_tilt(
    before: BodySetup, spread: BodySetup, wanted: WantedSetup, shown: Estimate | None, error: Floats
) -> Iterator[Datum]:
    """Yield what is known of the tilt, where the coach asks for neither a tilt nor an elbow bend."""
    if wanted.tilt_deg is not None or wanted.elbow_bend_deg is not None:
        return
    for known, miss in ((USUAL_TILT, np.zeros(())), (shown, error)):
        if known is not None:
            yield Datum(
                predicted=float(before.tilt),
                samples=spread.tilt + miss,
                measured=known.value,
                standard_uncertainty=known.standard_uncertainty,
            )


def _stand(body: Mapping[str, Floats], wanted: WantedSetup, sex: Sex | None) -> BodySetup:
    return find_setup({**body, "slack": body["slack"] + body["change"]}, wanted, sex=sex)


def _uncertainty(posterior: Posterior, centre: Floats, samples: Floats) -> float:
    return posterior.standard_uncertainty(float(centre), np.broadcast_to(samples, np.shape(samples)))
