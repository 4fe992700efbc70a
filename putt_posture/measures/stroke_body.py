"""The measures of what the body does in a stroke: how still it stays, and what changes from address to impact.

Movements and changes are those of one point or one measure against itself at address, so that what a landmark is
constantly off is not in them. How each is measured is in `putt_posture.strokes`.

Nothing here says that a still head or a still body is wanted: in a study experts and novices moved the head by about as
much, the novices with the putter and the experts against it (Lee, Ishikura, Kegel, Gonzalez and Passmore 2008, J. Mot.
Behav. 40; secondary). Scatter from stroke to stroke is judged.
"""

from typing import Final, Literal

from putt_posture.measures.record import DOWN_THE_LINE, FACE_ON, Said, Shift, StrokeMeasure, Words
from putt_posture.values import Whose

__all__ = [
    "ELBOW_GAP_CHANGE_LEAD",
    "ELBOW_GAP_CHANGE_TRAIL",
    "ELBOW_SLIDE_LEAD",
    "ELBOW_SLIDE_TRAIL",
    "HEAD_ACROSS",
    "HEAD_ALONG",
    "HEAD_UP",
    "HIPS_ACROSS",
    "HIPS_ALONG",
    "HIPS_UP",
    "KNEES_ACROSS",
    "KNEES_ALONG",
    "KNEES_UP",
    "ROUNDING_CHANGE",
    "STERNUM_ACROSS",
    "STERNUM_ALONG",
    "STERNUM_UP",
    "TILT_CHANGE",
    "WRIST_CHANGE",
]

_Point = Literal["head", "sternum", "hips", "knees"]
_Way = Literal["along", "across", "up"]
_WHAT: Final[dict[_Point, str]] = {
    "head": "the head, midway between the ears",
    "sternum": "the sternum, taken where the line between the shoulder joints has its middle",
    "hips": "the point midway between the hip joints",
    "knees": "the point midway between the knees",
}
_MOVES: Final[dict[_Point, str]] = {
    "head": "The head moves",
    "sternum": "The sternum moves",
    "hips": "The hips move",
    "knees": "The knees move",
}
_SIDES: Final[dict[_Way, tuple[str, str, str, str]]] = {
    "along": ("toward the target", "away from the target", "toward target", "away from target"),
    "across": ("toward the ball", "away from the ball", "toward ball", "away from ball"),
    "up": ("up", "down", "up", "down"),
}
_MODEL_SD: Final[dict[_Point, tuple[float, float, float]]] = {
    "head": (0.4, 0.4, 0.7),
    "sternum": (0.5, 0.45, 0.5),
    "hips": (1.5, 1.1, 3.0),
    "knees": (1.0, 0.6, 1.6),
}
"""Errors along, across and up, one sigma, cm. Arms that swing before hips and knees pull their landmarks along: in the
sample clips, where they stood, both models moved the hips by up to 3.8 cm up and down and 2.3 cm along. Root mean
square errors of fourteen rendered strokes, rounded up. People may differ from renders."""
_AXES: Final[dict[_Way, str]] = {"along": "x", "across": "y", "up": "z"}
_TENDS: Final[dict[_Way, str]] = {
    "along": "A body that sways along the line tends to take the low point of the swing with it.",
    "across": "A body that sways across the line tends to take the path of the putter with it.",
    "up": "A body that rises or sinks tends to take the bottom of the swing with it.",
}
_TAKES: Final[dict[_Way, str]] = {
    "along": "the low point of the swing tends to go with it",
    "across": "the path of the putter tends to go with it",
    "up": "the bottom of the swing tends to go with it",
}


def _movement(point: _Point, way: _Way, order: int) -> StrokeMeasure:
    """Return the record of how far a point of the body moves one way from start to impact."""
    plus, minus, short_plus, short_minus = _SIDES[way]
    title = {"along": "along the line", "across": "across the line", "up": "up or down"}[way]
    return StrokeMeasure(
        name=f"{point}_{way}",
        order=order,
        group="stillness",
        unit="cm",
        views=DOWN_THE_LINE if way == "across" else FACE_ON,
        axes=_AXES[way],
        title=f"{point.capitalize()} {'moves' if point in ('head', 'sternum') else 'move'} {title}",
        definition=f"Largest displacement from address between start and impact, with its sign, of {_WHAT[point]}.",
        words=Words(
            what=f"How far {_MOVES[point][0].lower()}{_MOVES[point][1:].removesuffix('s')}"
            f"{'s' if _MOVES[point].endswith('s') else ''} {title} before the ball is hit.",
            direction=f"0 cm is where it was at address; + is {plus}, − is {minus}.",
            stroke=_TENDS[way],
            plus=plus,
            minus=minus,
            zero="still, within the margin",
            said=Said(plus=plus, minus=minus, short_plus=short_plus, short_minus=short_minus),
        ),
        shift=Shift(
            more=f"{_MOVES[point]} more {plus} in the stroke, or less {minus}: {_TAKES[way]}.",
            less=f"{_MOVES[point]} more {minus} in the stroke, or less {plus}: {_TAKES[way]}.",
        ),
        model_sd=_MODEL_SD[point][("along", "across", "up").index(way)],
        scatter_sd=0.4,
    )


HEAD_ALONG: Final = _movement("head", "along", 1310)
STERNUM_ALONG: Final = _movement("sternum", "along", 1320)
HIPS_ALONG: Final = _movement("hips", "along", 1330)
KNEES_ALONG: Final = _movement("knees", "along", 1340)
HEAD_ACROSS: Final = _movement("head", "across", 1350)
STERNUM_ACROSS: Final = _movement("sternum", "across", 1360)
HIPS_ACROSS: Final = _movement("hips", "across", 1370)
KNEES_ACROSS: Final = _movement("knees", "across", 1380)
HEAD_UP: Final = _movement("head", "up", 1390)
STERNUM_UP: Final = _movement("sternum", "up", 1400)
HIPS_UP: Final = _movement("hips", "up", 1410)
KNEES_UP: Final = _movement("knees", "up", 1420)

TILT_CHANGE: Final = StrokeMeasure(
    name="tilt_change",
    order=1510,
    group="change",
    unit="deg",
    views=DOWN_THE_LINE,
    axes="y–z",
    title="Change of spine tilt",
    definition="Spine tilt at impact less spine tilt at address.",
    words=Words(
        what="How much the spine tilts further, or stands up, from address to impact.",
        direction="0° is no change; + is leaning further toward the ball, − is standing up.",
        stroke="A trunk that stands up tends to raise the bottom of the swing, one that leans further to lower it.",
        plus="leaning further",
        minus="standing up",
        zero="no change, within the margin",
        said=Said(
            plus="further over",
            minus="more upright",
            short_plus="leaning further",
            short_minus="standing up",
        ),
    ),
    shift=Shift(
        more="The trunk leans further during the stroke, or stands up less: the bottom of the swing tends to be lower.",
        less="The trunk stands up more during the stroke, or leans less: the bottom of the swing tends to be higher.",
    ),
    model_sd=0.5,  # judged
    scatter_sd=0.5,
)

ROUNDING_CHANGE: Final = StrokeMeasure(
    name="rounding_change",
    order=1520,
    group="change",
    unit="deg",
    views=DOWN_THE_LINE,
    axes="y–z",
    title="Change of back rounding",
    definition="Back rounding at impact less back rounding at address.",
    words=Words(
        what="How much rounder or flatter the back gets from address to impact.",
        direction="0° is no change; + is rounder, − is flatter.",
        stroke="A back that changes its shape tends to move the middle of the shoulders, about which the arms swing.",
        plus="rounder",
        minus="flatter",
        zero="no change, within the margin",
        said=Said(plus="rounder", minus="flatter", short_plus="rounder", short_minus="flatter"),
    ),
    shift=Shift(
        more="The back gets rounder during the stroke, or flattens less: the shoulders tend to come down.",
        less="The back gets flatter during the stroke, or rounds less: the shoulders tend to come up.",
    ),
    model_sd=1.5,  # judged: folds of a shirt move with the arms
    scatter_sd=1.0,
)


def _gap_change(whose: Whose, order: int) -> StrokeMeasure:
    return StrokeMeasure(
        name=f"elbow_gap_change_{whose}",
        order=order,
        group="change",
        unit="cm",
        views=FACE_ON,
        axes="in space",
        title=f"{whose.capitalize()} elbow leaves the ribs",
        definition=f"Gap between the skin of the {whose} elbow and that of the trunk at impact, less that at address.",
        words=Words(
            what=f"How much farther from the ribs the {whose} elbow is at impact than at address.",
            direction="0 cm is no change; + is away from the ribs, − is closer to them.",
            stroke="An elbow that leaves the ribs tends to let the arm swing apart from the trunk.",
            plus="leaves the ribs",
            minus="comes to the ribs",
            zero="stays, within the margin",
            said=Said(plus="away from the ribs", minus="closer to the ribs", short_plus="away", short_minus="closer"),
        ),
        shift=Shift(
            more=f"The {whose} elbow leaves the ribs more: the arm tends to swing apart from the trunk.",
            less=f"The {whose} elbow leaves the ribs less: the arm tends to swing with the trunk.",
        ),
        model_sd=0.9,  # of two rendered strokes, both elbows
        scatter_sd=0.5,
    )


def _slide(whose: Whose, order: int) -> StrokeMeasure:
    return StrokeMeasure(
        name=f"elbow_slide_{whose}",
        order=order,
        group="change",
        unit="cm",
        views=DOWN_THE_LINE,
        axes="y–z",
        title=f"{whose.capitalize()} elbow slides",
        definition=f"Largest displacement of the {whose} elbow square to the spine line, against the shoulder of the "
        "same side, with which the ribs turn, between start and impact, with its sign.",
        words=Words(
            what=f"How far the {whose} elbow slides forward or backward along the ribs.",
            direction="0 cm is where it was at address; + is toward the front, − is toward the back.",
            stroke="An elbow that slides along the ribs tends to let the arm lead or follow the turn of the shoulders.",
            plus="toward the front",
            minus="toward the back",
            zero="stays, within the margin",
            said=Said(
                plus="toward the front", minus="toward the back", short_plus="to the front", short_minus="to the back"
            ),
        ),
        shift=Shift(
            more=f"The {whose} elbow slides more toward the front: the arm tends to swing across the body.",
            less=f"The {whose} elbow slides more toward the back: the arm tends to go back along the ribs.",
        ),
        model_sd=1.2,  # judged: the landmark of an elbow that swings is pulled along with the hands
        scatter_sd=0.5,
    )


ELBOW_GAP_CHANGE_LEAD: Final = _gap_change("lead", 1530)
ELBOW_GAP_CHANGE_TRAIL: Final = _gap_change("trail", 1540)
ELBOW_SLIDE_LEAD: Final = _slide("lead", 1550)
ELBOW_SLIDE_TRAIL: Final = _slide("trail", 1560)

WRIST_CHANGE: Final = StrokeMeasure(
    name="wrist_change",
    order=1570,
    group="change",
    unit="deg",
    views=FACE_ON,
    axes="x–z",
    title="Lead wrist change",
    definition="Angle between forearm and hand of the lead arm as seen face on, at impact less at address.",
    words=Words(
        what="How much the lead wrist bends between address and impact.",
        direction="0° is no change; + is bent more back, the back of the hand toward the forearm, − is bowed.",
        stroke="A lead wrist that bends back tends to add loft and to let the putter head pass the hands; one that "
        "bows tends to take loft off.",
        plus="bent back",
        minus="bowed",
        zero="no change, within the margin",
        said=Said(plus="more bent back", minus="more bowed", short_plus="bent back", short_minus="bowed"),
    ),
    shift=Shift(
        more="The lead wrist bends back more at the ball: the putter head tends to pass the hands sooner.",
        less="The lead wrist bends back less at the ball: the hands tend to stay ahead of the putter head.",
    ),
    model_sd=3.5,  # of fourteen rendered strokes, rounded up
    scatter_sd=2.0,
)
