"""Where a measure was filmed and where it should be, as points and areas of the picture; nothing is drawn here.

Points are pixels of the full-size upright picture, v down. What is wanted is placed from what was filmed: as far from
the student's own joints as the wanted value is from the filmed one. So it is right for this picture even where one
frame differs a little from the number of the lesson. "Up" is the true vertical; "ahead" is level, toward the ball (down
the line) or the target (face on).
"""

import math
from collections.abc import Callable, Mapping
from functools import partial
from typing import Final

import numpy as np
from attrs import frozen

from putt_posture.drawing.feet import BALL_CM, Standing
from putt_posture.posture.trunk_shape import ARM_RADIUS_CM
from putt_posture.values import HAND_POINTS, LANDMARK_INDEX, Floats, Handed, MeasureName, Segment, Whose, side_of

__all__ = ["STEP_PLANS", "Band", "StepPlan", "StepView"]

_SURE: Final = 128
_STRIP_CM: Final = 7.0
"""Half of the length of a strip that shows where a point should be."""
_STATIONS: Final = tuple(np.linspace(0.08, 0.98, 19))
"""Along the spine line, 0 hips, 1 shoulders: where the back is looked for."""
_BACK_CM: Final = 12.0
"""From the spine line to the skin of the back, where no outline shows it (judged)."""
_BAR_CM: Final = 5.0
"""How far below the toes the bar of the balance is drawn: under the soles."""
_ABOVE_SHOE_CM: Final = 8.0
"""How far above the ankles the middle of a strip is, so that it ends above the shoe."""
_TICK_CM: Final = 2.2
"""Half of the height of the band on that bar."""
_ROUND: Final = 24


@frozen(kw_only=True, eq=False)
class StepView:
    """What a plan needs of one view.

    Attributes
    ----------
    standing : Standing
        Joints, outline, ball and scale.
    up, ahead : (2,)
        True directions in the picture, of length 1.
    forward : {-1, +1}
        As in `Scene`.
    handed : Handed
    shaft_px : Segment or None
    """

    standing: Standing
    up: Floats
    ahead: Floats
    forward: int
    handed: Handed
    shaft_px: Segment | None = None

    def joint(self, name: str) -> Floats:
        """Return a joint, (2,) pixels; NaN where it is unseen.

        Parameters
        ----------
        name : str
            One of `LANDMARK_NAMES`.
        """
        return np.asarray(self.standing.joints_px[LANDMARK_INDEX[name]], dtype=np.float64)

    def middle(self, part: str) -> Floats:
        """Return the middle between the left and the right of a part, (2,) pixels.

        Parameters
        ----------
        part : str
            Such as ``"hip"``.
        """
        return np.asarray((self.joint(f"left_{part}") + self.joint(f"right_{part}")) / 2)

    @property
    def hands(self) -> Floats:
        """The hand centre, (2,) pixels."""
        names = [f"{side}_{part}" for side in ("left", "right") for part in HAND_POINTS]
        return np.asarray(np.mean([self.joint(name) for name in names], axis=0))

    @property
    def near(self) -> str:
        """The side nearer the camera, down the line."""
        return "right" if self.forward > 0 else "left"

    @property
    def cm(self) -> float:
        """Pixels of one centimetre; NaN without a scale."""
        return math.nan if self.standing.px_per_cm is None else self.standing.px_per_cm


@frozen(kw_only=True, eq=False)
class StepPlan:
    """What is drawn for a step, as (N, 2) pixels.

    Attributes
    ----------
    reference : tuple of lines
        Plumb, level, or the line from which the measure counts.
    filmed : tuple of lines
    filmed_at : (2,)
        Where the label of what was filmed points.
    wanted : tuple of lines
        The line of the band.
    band : tuple of areas
        All of what is wanted.
    wanted_at : (2,)
    bracket : (2, 2) or None
        The ends of a distance that was filmed.
    dots : tuple of (2,)
        Key points that were filmed.
    filmed_way, wanted_way : (float, float)
        Best directions for the labels: ahead, up.
    """

    reference: tuple[Floats, ...] = ()
    filmed: tuple[Floats, ...] = ()
    filmed_at: Floats
    wanted: tuple[Floats, ...]
    band: tuple[Floats, ...]
    wanted_at: Floats
    bracket: Floats | None = None
    dots: tuple[Floats, ...] = ()
    filmed_way: tuple[float, float] = (-1.0, 0.3)
    wanted_way: tuple[float, float] = (1.0, 0.3)

    @property
    def points(self) -> Floats:
        """All of its points, (N, 2)."""
        lines = (*self.reference, *self.filmed, *self.wanted, *self.band, self.filmed_at[None], self.wanted_at[None])
        return np.concatenate(lines)


@frozen
class Band:
    """What of a band is drawn: from `low` to `high`, with a line at one value; in the unit of the measure."""

    low: float
    high: float
    line: float


Planner = Callable[[StepView, float, Band], StepPlan]
"""From a view, the filmed value and the band to the plan; points are NaN where something is unseen."""


def _turn(view: StepView, way: Floats, by_deg: float) -> Floats:
    """Turn a direction from up toward ahead."""
    along, up = way @ view.ahead, way @ view.up
    turn = math.radians(by_deg)
    return np.asarray(
        (along * math.cos(turn) + up * math.sin(turn)) * view.ahead
        + (up * math.cos(turn) - along * math.sin(turn)) * view.up
    )


def _strip(middle: Floats, along: Floats, half: float) -> Floats:
    return np.array([middle - half * along, middle + half * along])


def _area(one: Floats, two: Floats) -> Floats:
    """Return the area between two lines."""
    return np.concatenate([one, two[::-1]])


def _plan_turn(
    view: StepView, filmed: float, band: Band, *, pivot: Floats, end: Floats, reference: Floats,
    filmed_way: tuple[float, float] = (-1.0, 0.4), wanted_way: tuple[float, float] = (1.0, 0.4),
) -> StepPlan:  # fmt: skip
    """Plan a line that turns about one of its ends."""
    way = end - pivot
    rim = np.array([pivot + _turn(view, way, each - filmed) for each in np.linspace(band.low, band.high, _ROUND)])
    wanted = np.array([pivot, pivot + _turn(view, way, band.line - filmed)])
    return StepPlan(
        reference=(reference,),
        filmed=(np.array([pivot, end]),),
        filmed_at=pivot + 0.6 * way,
        wanted=(wanted,),
        band=(np.concatenate([pivot[None], rim]),),
        wanted_at=wanted[0] + 0.85 * (wanted[1] - wanted[0]),
        dots=(pivot, end),
        filmed_way=filmed_way,
        wanted_way=wanted_way,
    )


def _plan_tilt(view: StepView, filmed: float, band: Band) -> StepPlan:
    hip, shoulder = view.middle("hip"), view.middle("shoulder")
    plumb = np.array([hip, hip + 1.05 * np.linalg.norm(shoulder - hip) * view.up])
    return _plan_turn(view, filmed, band, pivot=hip, end=shoulder, reference=plumb)


def _plan_head(view: StepView, filmed: float, band: Band) -> StepPlan:
    hip, shoulder, ear = (view.middle(part) for part in ("hip", "shoulder", "ear"))
    spine = (shoulder - hip) / np.linalg.norm(shoulder - hip)
    onward = np.array([shoulder, shoulder + 1.2 * np.linalg.norm(ear - shoulder) * spine])
    return _plan_turn(view, filmed, band, pivot=shoulder, end=ear, reference=onward,
                      filmed_way=(1.0, 0.0), wanted_way=(-1.0, 0.6))  # fmt: skip


def _plan_lie(view: StepView, filmed: float, band: Band) -> StepPlan:
    butt, sole = np.array(view.shaft_px) if view.shaft_px is not None else np.full((2, 2), np.nan)
    level = np.array([sole, sole - 0.35 * np.linalg.norm(butt - sole) * view.ahead])
    return _plan_turn(view, filmed, band, pivot=sole, end=butt, reference=level,
                      filmed_way=(1.0, 0.4), wanted_way=(-1.0, 0.4))  # fmt: skip


def _plan_knee(view: StepView, filmed: float, band: Band) -> StepPlan:
    hip, knee, ankle = (view.joint(f"{view.near}_{part}") for part in ("hip", "knee", "ankle"))

    def leg(value: float) -> Floats:
        bend = (value - filmed) / 2
        bent_knee = ankle + _turn(view, knee - ankle, bend)
        return np.array([bent_knee + _turn(view, hip - knee, -bend), bent_knee, ankle])

    wanted = leg(band.line)
    return StepPlan(
        filmed=(np.array([hip, knee, ankle]),),
        filmed_at=(hip + knee) / 2,
        wanted=(wanted,),
        band=(_area(leg(band.low), leg(band.high)),),
        wanted_at=(wanted[1] + wanted[2]) / 2,
        dots=(knee,),
        wanted_way=(1.0, -0.2),
    )


def _plan_back(view: StepView, filmed: float, band: Band) -> StepPlan:
    hip, shoulder = view.middle("hip"), view.middle("shoulder")
    spine = shoulder - hip
    backward = _turn(view, spine, -90.0) / np.linalg.norm(spine)
    shares = np.array(_STATIONS)
    back = np.array([_find_skin(view.standing, hip + share * spine, backward, view.cm) for share in shares])

    def bent(value: float) -> Floats:
        sagitta = (math.tan(math.radians(value) / 4) - math.tan(math.radians(filmed) / 4)) / 2 * np.linalg.norm(spine)
        return np.asarray(back + (4 * sagitta * shares * (1 - shares))[:, None] * backward)

    wanted = bent(band.line)
    return StepPlan(
        filmed=(back,),
        filmed_at=back[len(back) // 2],
        wanted=(wanted,),
        band=(_area(bent(band.low), bent(band.high)),),
        wanted_at=wanted[len(back) // 3],
        filmed_way=(-1.0, 0.6),
        wanted_way=(-1.0, -0.6),
    )


def _find_skin(standing: Standing, start: Floats, way: Floats, cm: float) -> Floats:
    """Walk from a point of the spine line to where the student ends; a usual distance where no outline shows it."""
    corner = np.array(standing.outline_corner_px)
    rows, columns = standing.outline.shape if standing.outline.ndim == 2 else (0, 0)
    for step in np.arange(0.0, max(rows, columns), 1.0) if np.isfinite(start).all() else ():
        column, row = (start + step * way - corner).astype(int)
        if not (0 <= row < rows and 0 <= column < columns) or standing.outline[row, column] < _SURE:
            return np.asarray(start + (step if step > 1 else _BACK_CM * cm) * way)
    return np.asarray(start + _BACK_CM * cm * way)


def _plan_level(
    view: StepView, filmed: float, band: Band, *, point: Floats, zero_line: Floats | None = None,
    ends_at: Floats | None = None,
) -> StepPlan:  # fmt: skip
    """Plan a point that moves level, along `ahead`, and the plumb line that it is counted from."""

    def at(value: float) -> Floats:
        return _strip(point + (value - filmed) * view.cm * view.ahead, view.up, _STRIP_CM * view.cm)

    zero = point - filmed * view.cm * view.ahead if ends_at is None else ends_at
    wanted = at(band.line)
    return StepPlan(
        reference=() if zero_line is None else (zero_line,),
        bracket=np.array([zero, point]),
        filmed_at=point,
        wanted=(wanted,),
        band=(_area(at(band.low), at(band.high)),),
        wanted_at=wanted[0],
        filmed_way=(1.0, 0.4),
        wanted_way=(-1.0, -0.5),
    )


def _plan_hands(view: StepView, filmed: float, band: Band) -> StepPlan:
    hands, shoulder = view.hands, view.middle("shoulder")
    under = hands - filmed * view.cm * view.ahead
    top = under + ((shoulder - under) @ view.up) * view.up
    plumb = np.array([top, under - 1.3 * _STRIP_CM * view.cm * view.up])
    return _plan_level(view, filmed, band, point=hands, zero_line=plumb)


def _plan_eyes(view: StepView, filmed: float, band: Band) -> StepPlan:
    eyes, ball = view.middle("eye"), _ball(view)
    over = eyes - filmed * view.cm * view.ahead
    level = 3 * BALL_CM * view.cm - (over - ball) @ view.up
    down = [each + level * view.up for each in (over, eyes)]

    def plumb(value: float) -> Floats:
        aside = (value - filmed) * view.cm * view.ahead
        return np.array([eyes + aside, down[1] + aside])

    wanted = plumb(band.line)
    return StepPlan(
        filmed=(np.array([eyes, down[1]]),),
        bracket=np.array(down),
        filmed_at=(down[0] + down[1]) / 2,
        wanted=(wanted,),
        band=(_area(plumb(band.low), plumb(band.high)),),
        wanted_at=wanted[0] + 0.4 * (wanted[1] - wanted[0]),
        dots=(eyes,),
    )


def _plan_ball(view: StepView, filmed: float, band: Band) -> StepPlan:
    ball, ankles = _ball(view), view.middle("ankle")
    under = ball - 2.2 * BALL_CM * view.cm * view.up
    zero = under - filmed * view.cm * view.ahead
    plumb = np.array([zero + ((ankles - zero) @ view.up) * view.up, zero])
    return _plan_level(view, filmed, band, point=under, zero_line=plumb, ends_at=zero)


def _ball(view: StepView) -> Floats:
    return np.full(2, np.nan) if view.standing.ball_px is None else np.array(view.standing.ball_px)


def _plan_depth(view: StepView, filmed: float, band: Band) -> StepPlan:
    hip, shoulder, elbow = view.middle("hip"), view.middle("shoulder"), view.joint(f"{view.near}_elbow")
    along = (shoulder - hip) / np.linalg.norm(shoulder - hip)
    frontward = _turn(view, along, 90.0)
    front = elbow - filmed * view.cm * frontward

    def at(value: float) -> Floats:
        return _strip(front + value * view.cm * frontward, along, _STRIP_CM * view.cm)

    wanted = at(band.line)
    return StepPlan(
        reference=(_strip(front, along, 1.3 * _STRIP_CM * view.cm),),
        bracket=np.array([front, elbow]),
        filmed_at=elbow,
        wanted=(wanted,),
        band=(_area(at(band.low), at(band.high)),),
        wanted_at=wanted[1],
        dots=(elbow,),
        filmed_way=(1.0, -0.3),
        wanted_way=(1.0, 0.6),
    )


def _plan_gap(view: StepView, filmed: float, band: Band, *, whose: Whose) -> StepPlan:
    elbow = view.joint(f"{side_of(whose, view.handed)}_elbow")
    inward = view.ahead * (1.0 if whose == "trail" else -1.0)
    skin = elbow + ARM_RADIUS_CM * view.cm * inward
    ribs = skin + filmed * view.cm * inward

    def at(value: float) -> Floats:
        return _strip(ribs - value * view.cm * inward, view.up, _STRIP_CM * view.cm)

    wanted = at(band.line)
    return StepPlan(
        reference=(_strip(ribs, view.up, 1.3 * _STRIP_CM * view.cm),),
        bracket=np.array([skin, ribs]),
        filmed_at=elbow,
        wanted=(wanted,),
        band=(_area(at(band.low), at(band.high)),),
        wanted_at=wanted[0],
        dots=(elbow,),
        filmed_way=(-1.0 if whose == "trail" else 1.0, 0.3),
        wanted_way=(-1.0 if whose == "trail" else 1.0, -0.6),
    )


def _plan_balance(view: StepView, filmed: float, band: Band) -> StepPlan:
    heel, toe, hip = view.middle("heel"), view.middle("foot_index"), view.middle("hip")
    ends = np.array([heel, toe])
    lowest = float(np.min([view.joint(f"{side}_foot_index") @ view.up for side in ("left", "right")]))
    below = lowest - _BAR_CM * view.cm
    bar = ends + ((below - ends @ view.up)[:, None] * view.up)

    def at(share: float) -> Floats:
        return np.asarray(bar[0] + share / 100 * (bar[1] - bar[0]))

    def tick(share: float) -> Floats:
        return _strip(at(share), view.up, _TICK_CM * view.cm)

    point, wanted = at(filmed), tick(band.line)
    return StepPlan(
        reference=(np.array([point + ((hip - point) @ view.up) * view.up, point]),),
        bracket=bar,
        filmed_at=point,
        wanted=(wanted,),
        band=(_area(tick(band.low), tick(band.high)),),
        wanted_at=wanted[0],
        dots=(point,),
        filmed_way=(-1.0, -0.6),
        wanted_way=(1.0, -0.6),
    )


def _plan_stance(view: StepView, filmed: float, band: Band) -> StepPlan:
    left, right = sorted((view.joint("left_ankle"), view.joint("right_ankle")), key=lambda point: float(point[0]))
    outward = view.ahead * view.forward
    wide = (right - left) @ outward

    def at(value: float, side: int) -> Floats:
        half = (wide + (value - filmed) * view.cm) / 2
        foot = (left + right) / 2 + side * half * outward
        return _strip(foot + _ABOVE_SHOE_CM * view.cm * view.up, view.up, _STRIP_CM * view.cm)

    wanted = tuple(at(band.line, side) for side in (-1, 1))
    return StepPlan(
        bracket=np.array([left, left + wide * outward]),
        filmed_at=left + 0.5 * wide * outward,
        wanted=wanted,
        band=tuple(_area(at(band.low, side), at(band.high, side)) for side in (-1, 1)),
        wanted_at=wanted[1 if view.forward > 0 else 0][1],
        dots=(left, right),
        wanted_way=(1.0, 0.5),
    )


STEP_PLANS: Final[Mapping[MeasureName, Planner]] = {
    MeasureName(name): planner
    for name, planner in (
        ("spine_tilt", _plan_tilt),
        ("back_rounding", _plan_back),
        ("head_drop", _plan_head),
        ("knee_flex", _plan_knee),
        ("hand_offset", _plan_hands),
        ("elbow_gap_lead", partial(_plan_gap, whose="lead")),
        ("elbow_gap_trail", partial(_plan_gap, whose="trail")),
        ("elbow_depth", _plan_depth),
        ("eye_offset", _plan_eyes),
        ("balance", _plan_balance),
        ("shaft_lie", _plan_lie),
        ("stance_width", _plan_stance),
        ("ball_position", _plan_ball),
    )
}
"""What can be drawn as a step of a rebuild."""
