"""The measures of a stroke's timing, of the paths of hands and putter head, and of the ball's start.

Lengths are in the golfer's plane, from where the same point was at address: displacements of one point, so that a
landmark's constant offset is not in them. Events and signs are those of ``measures.md`` beside this file; how each is
measured is in `putt_posture.strokes`.

Scatter from stroke to stroke is judged for an amateur who putts several balls to one hole: about 4 % of a duration or a
length. Published scatter is between players (99 tour players: 90 ms of 670 ms back, 35 ms of 317 ms through, 38 mm of
241 mm back), and one player's strokes are nearer to each other than players are.
"""

from typing import Final

from putt_posture.measures.record import DOWN_THE_LINE, FACE_ON, Said, Shift, StrokeMeasure, Words
from putt_posture.values import View

__all__ = [
    "BACKSWING_TIME",
    "FOLLOW_TIME",
    "HANDS_BACK",
    "HANDS_LOW_POINT",
    "HANDS_RISE_BACK",
    "HANDS_RISE_THROUGH",
    "HANDS_SIDEWAYS_BACK",
    "HANDS_SIDEWAYS_THROUGH",
    "HANDS_STRAIGHTNESS",
    "HANDS_THROUGH",
    "PUTTER_BACK",
    "PUTTER_RISE_BACK",
    "PUTTER_RISE_THROUGH",
    "PUTTER_SIDEWAYS_BACK",
    "PUTTER_SIDEWAYS_THROUGH",
    "PUTTER_THROUGH",
    "START_DIRECTION",
    "TEMPO_RATIO",
    "THROUGH_TIME",
]

_FACE_ON_FIRST: Final[tuple[View, ...]] = ("face_on", "down_the_line")
_LONGER_PUTT: Final = "A longer putt takes more, so compare strokes to holes at one distance."
_RISES: Final = Said(plus="up", minus="down", short_plus="up", short_minus="down")
_OUTWARD: Final = Said(
    plus="toward the ball's side", minus="toward the feet", short_plus="outside", short_minus="inside"
)

BACKSWING_TIME: Final = StrokeMeasure(
    name="backswing_time",
    order=1010,
    group="timing",
    unit="s",
    views=_FACE_ON_FIRST,
    axes="time",
    title="Backswing time",
    definition="Real time from the last still moment before the putter head moves away to the top of the backswing.",
    words=Words(
        what="How long the backswing takes.",
        direction="More is slower.",
        stroke="A slower backswing takes the same length with less effort and tends to ask for more speed at the ball "
        "from the way through.",
    ),
    shift=Shift(
        more="The backswing takes longer: the turn at the top tends to be softer.",
        less="The backswing takes less time: the turn at the top tends to be sharper.",
    ),
    floor=0.0,
    model_sd=0.01,
    scatter_sd=0.03,
)

THROUGH_TIME: Final = StrokeMeasure(
    name="through_time",
    order=1020,
    group="timing",
    unit="s",
    views=_FACE_ON_FIRST,
    axes="time",
    title="Time to the ball",
    definition="Real time from the top of the backswing to impact.",
    words=Words(
        what="How long the putter takes from the top to the ball.",
        direction="More is slower.",
        stroke="With one length of backswing, less time to the ball tends to give a faster ball.",
    ),
    shift=Shift(
        more="The way to the ball takes longer: from one length of backswing the ball tends to leave slower.",
        less="The way to the ball takes less time: from one length of backswing the ball tends to leave faster.",
    ),
    floor=0.0,
    model_sd=0.008,
    scatter_sd=0.015,
)

FOLLOW_TIME: Final = StrokeMeasure(
    name="follow_time",
    order=1030,
    group="timing",
    unit="s",
    views=_FACE_ON_FIRST,
    axes="time",
    title="Time after the ball",
    definition="Real time from impact to the finish, the farthest point after it.",
    words=Words(
        what="How long the putter goes on after the ball.",
        direction="More is slower.",
        stroke="It tells how the stroke is slowed down, and can do nothing to a ball that has left.",
    ),
    shift=Shift(
        more="The putter takes longer to come to its finish: it tends to be let go on.",
        less="The putter takes less time to come to its finish: it tends to be held back.",
    ),
    floor=0.0,
    model_sd=0.02,
    scatter_sd=0.05,
)

TEMPO_RATIO: Final = StrokeMeasure(
    name="tempo_ratio",
    order=1040,
    group="timing",
    unit="ratio",
    views=_FACE_ON_FIRST,
    axes="time",
    title="Back to through",
    definition="Backswing time divided by the time from the top to impact.",
    words=Words(
        what="How many times as long the backswing takes as the way from the top to the ball.",
        direction="2 is a backswing that takes twice as long; it does not depend on slow motion.",
        stroke="A ratio that stays the same over putts of many lengths tends to go with a length that sets the speed.",
    ),
    shift=Shift(
        more="The backswing takes a larger share of the stroke: the way to the ball tends to be the quicker part.",
        less="The backswing takes a smaller share of the stroke: the way to the ball tends to be slower beside it.",
    ),
    floor=0.0,
    model_sd=0.03,
    scatter_sd=0.08,
)


def _length(of: str, name: str, order: int, *, back: bool, model_sd: float, scatter_sd: float) -> StrokeMeasure:
    """Return the record of how far hands or head go along the line, back to the top or on to the finish."""
    hands = of == "hands"
    point, centre = ("hands", "hand centre") if hands else ("putter head", "putter head")
    s = "" if hands else "es"
    if back:
        title, ends, way = "back", "from address to the top", f"go{s} back"
        direction = "More is farther from the target."
        stroke = "A longer backswing tends to give a faster ball from the same time to the ball."
        shift = Shift(
            more=f"The {point} {way} farther: the ball tends to leave faster from one tempo.",
            less=f"The {point} {way} less: the ball tends to leave slower from one tempo.",
        )
    else:
        title, ends, way = "through", "from impact to the finish", f"go{s} on after the ball"
        direction = "More is farther toward the target."
        stroke = "It tends to be long where the putter still gains speed at the ball, and short where it is held back."
        putter = "the putter" if hands else "it"
        shift = Shift(
            more=f"The {point} go{s} on farther after the ball: {putter} tends to be let go on.",
            less=f"The {point} stop{'' if hands else 's'} sooner after the ball: {putter} tends to be held back.",
        )
    return StrokeMeasure(
        name=name,
        order=order,
        group="hands" if hands else "putter",
        unit="cm",
        views=FACE_ON,
        axes="x",
        title=f"{point.capitalize()} {title}",
        definition=f"Length along the target line of the way of the {centre} {ends}.",
        words=Words(what=f"How far the {point} {way}.", direction=f"{direction} {_LONGER_PUTT}", stroke=stroke),
        shift=shift,
        floor=0.0,
        model_sd=model_sd,
        scatter_sd=scatter_sd,
    )


HANDS_BACK: Final = _length(
    "hands", "hands_back", 1110, back=True,
    model_sd=0.3,  # judged: landmarks of the hands lie nearer to the axis of the swing than the hands do
    scatter_sd=0.6,
)  # fmt: skip

HANDS_THROUGH: Final = _length(
    "hands", "hands_through", 1120, back=False,
    model_sd=0.5,  # judged: as on the way back
    scatter_sd=1.0,
)  # fmt: skip


def _rise(of: str, name: str, order: int, *, back: bool, model_sd: float, scatter_sd: float) -> StrokeMeasure:
    """Return the record of how far hands or head rise from address to the top, or from impact to the finish."""
    point, plural = ("hands", True) if of == "hands" else ("putter head", False)
    centre = "hand centre" if of == "hands" else "putter head"
    ends, half = ("the top", "back") if back else ("the finish", "through")
    start = "at address" if back else "at impact"
    rise, sink = ("rise", "sink") if plural else ("rises", "sinks")
    steeper = "lifted" if back else "swung up"
    return StrokeMeasure(
        name=name,
        order=order,
        group="hands" if of == "hands" else "putter",
        unit="cm",
        views=FACE_ON,
        axes="z",
        title=f"{point.capitalize()} rise {half}" if plural else f"Putter head rise {half}",
        definition=f"Height of the {centre} at {ends} less its height {start}.",
        words=Words(
            what=f"How much higher the {point} {'are' if plural else 'is'} at {ends} than {start}.",
            direction="0 cm is level; + is up.",
            stroke=f"A putter that is {steeper} steeply tends to meet the ball in a shorter part of its flat bottom.",
            plus=rise,
            minus=sink,
            zero="level, within the margin",
            said=_RISES,
        ),
        shift=Shift(
            more=f"The {point} {rise} more on the way {half}: the path tends to be steeper.",
            less=f"The {point} {rise} less on the way {half}: the path tends to be flatter.",
        ),
        model_sd=model_sd,
        scatter_sd=scatter_sd,
    )


HANDS_RISE_BACK: Final = _rise("hands", "hands_rise_back", 1130, back=True, model_sd=0.4, scatter_sd=0.3)
HANDS_RISE_THROUGH: Final = _rise("hands", "hands_rise_through", 1140, back=False, model_sd=0.7, scatter_sd=0.4)

HANDS_LOW_POINT: Final = StrokeMeasure(
    name="hands_low_point",
    order=1150,
    group="hands",
    unit="cm",
    views=FACE_ON,
    axes="x",
    title="Low point of the hands",
    definition="Where the path of the hand centre from the top to the finish is lowest, less where the centre of the "
    "ball is.",
    words=Words(
        what="Where the hands are lowest, against the ball.",
        direction="0 cm is level with the ball; + is toward the target.",
        stroke="Hands that are lowest ahead of the ball tend to lead a putter that still goes down, behind it one that "
        "goes up.",
        plus="ahead of the ball",
        minus="behind the ball",
        zero="level with the ball, within the margin",
        said=Said(plus="ahead of the ball", minus="behind the ball", short_plus="ahead", short_minus="behind"),
    ),
    shift=Shift(
        more="The low point of the hands moved toward the target: the putter tends to meet the ball earlier in its way "
        "down.",
        less="The low point of the hands moved from the target: the putter tends to meet the ball more on its way up.",
    ),
    model_sd=1.0,  # judged
    scatter_sd=1.5,
)


def _sideways(of: str, name: str, order: int, *, back: bool, model_sd: float, scatter_sd: float) -> StrokeMeasure:
    """Return the record of how far hands or head leave the line to either side, at the top or at the finish."""
    hands = of == "hands"
    centre = "hand centre" if hands else "putter head"
    ends, half = ("top", "back") if back else ("finish", "through")
    what = "The hands move" if hands else "The putter head moves"
    path = (
        "Hands that leave the line tend to take the path of the putter head with them."
        if hands
        else "A putter that swings on a plane that leans tends to come inside on both ends; how far is its arc."
    )
    return StrokeMeasure(
        name=name,
        order=order,
        group="hands" if hands else "putter",
        unit="cm",
        views=DOWN_THE_LINE,
        axes="y",
        title=f"{'Hands' if hands else 'Putter head'} sideways {half}",
        definition=f"Where the {centre} is across the target line at the {ends}, less where it was at address.",
        words=Words(
            what=f"How far the {'hands are' if hands else 'putter head is'} from the target line at the {ends}.",
            direction="0 cm is on the line of the address; + is outside, away from the golfer, − is inside.",
            stroke=path,
            plus="outside",
            minus="inside",
            zero="on the line, within the margin",
            said=_OUTWARD,
        ),
        shift=Shift(
            more=f"{what} more to the outside on the way {half}: the path tends to be less of an arc around the body.",
            less=f"{what} more to the inside on the way {half}: the path tends to be more of an arc around the body.",
        ),
        model_sd=model_sd,
        scatter_sd=scatter_sd,
    )


HANDS_SIDEWAYS_BACK: Final = _sideways("hands", "hands_sideways_back", 1160, back=True, model_sd=0.2, scatter_sd=0.3)
HANDS_SIDEWAYS_THROUGH: Final = _sideways(
    "hands", "hands_sideways_through", 1170, back=False, model_sd=0.2, scatter_sd=0.3
)

HANDS_STRAIGHTNESS: Final = StrokeMeasure(
    name="hands_straightness",
    order=1180,
    group="hands",
    unit="cm",
    views=DOWN_THE_LINE,
    axes="y",
    title="Hands off a straight line",
    definition="Root mean square distance of the hand centre from a straight line across start to finish, seen from "
    "above, without what the landmarks scatter.",
    words=Words(
        what="How far the hands are from a straight line on average.",
        direction="0 cm is straight; more is a path that bends or wanders.",
        stroke="Hands that keep to a straight line tend to swing under the shoulders, others around the body.",
    ),
    shift=Shift(
        more="The path of the hands bends or wanders more: the putter head tends to follow it.",
        less="The path of the hands is straighter: the putter head tends to follow it.",
    ),
    floor=0.0,
    model_sd=0.1,  # judged
    scatter_sd=0.15,
)

PUTTER_BACK: Final = _length(
    "putter", "putter_back", 1210, back=True,
    model_sd=0.4,  # judged
    scatter_sd=1.2,
)  # fmt: skip

PUTTER_THROUGH: Final = _length(
    "putter", "putter_through", 1220, back=False,
    model_sd=0.6,  # judged
    scatter_sd=2.0,
)  # fmt: skip

PUTTER_RISE_BACK: Final = _rise("putter", "putter_rise_back", 1230, back=True, model_sd=0.55, scatter_sd=0.5)
PUTTER_RISE_THROUGH: Final = _rise("putter", "putter_rise_through", 1240, back=False, model_sd=0.6, scatter_sd=0.8)
PUTTER_SIDEWAYS_BACK: Final = _sideways("putter", "putter_sideways_back", 1250, back=True, model_sd=0.4, scatter_sd=0.5)
PUTTER_SIDEWAYS_THROUGH: Final = _sideways(
    "putter", "putter_sideways_through", 1260, back=False, model_sd=0.5, scatter_sd=0.7
)

START_DIRECTION: Final = StrokeMeasure(
    name="start_direction",
    order=1610,
    group="ball",
    unit="deg",
    views=DOWN_THE_LINE,
    axes="x–y",
    title="Start direction of the ball",
    definition="Angle on the ground between the way of the ball over its first half metre and the target line that the "
    "coach gives.",
    words=Words(
        what="Which way the ball leaves, against the line that the coach gives.",
        direction="0° is along the line; + is away from the golfer, − toward the golfer.",
        stroke="The face of the putter decides most of it, its path the rest (about 80 to 83 % and 17 %, published).",
        plus="away from the golfer",
        minus="toward the golfer",
        zero="on the line, within the margin",
        said=Said(plus="away from the golfer", minus="toward the golfer", short_plus="outward", short_minus="inward"),
    ),
    shift=Shift(
        more="The ball leaves more to the side away from the golfer: it tends to miss on that side.",
        less="The ball leaves more to the golfer's own side: it tends to miss on that side.",
    ),
    model_sd=0.2,  # judged
    scatter_sd=0.8,
)
