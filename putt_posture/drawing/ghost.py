"""The ghost: the same body in the wanted setup with the suggested putter, at scale over the student's own still.

Thicknesses come from the body tables where those have them; the others are shares of stature, judged from people of
average build. The ghost is a picture, and nothing is measured from it.
"""

from collections.abc import Iterable, Mapping, Sequence
from itertools import pairwise
from typing import Final

import cv2
import numpy as np
from attrs import field, frozen
from numpy.typing import NDArray
from PIL import Image, ImageDraw
from scipy.spatial import ConvexHull

from putt_posture.body import predict
from putt_posture.drawing.colours import PART_COLOURS
from putt_posture.drawing.placing import Crop, Placing, find_crop
from putt_posture.drawing.sheet import Sheet, Tag
from putt_posture.drawing.sketches import Pen, midway
from putt_posture.figures import format_length, format_value, inches
from putt_posture.measures.arms import HAND_OFFSET
from putt_posture.measures.club import PUTTER_LENGTH
from putt_posture.measures.legs import KNEE_FLEX
from putt_posture.measures.trunk import SPINE_TILT
from putt_posture.shown_units import in_shown_unit
from putt_posture.values import Estimate, Floats, Lesson, MeasureName, Picture, Point, StandingFigure, Student

__all__ = ["Ghost", "Silhouette", "draw_ghost", "find_ghost_crop", "outline_body"]

_ANKLE: Final = 0.024
_CALF: Final = 0.034
_KNEE: Final = 0.034
_THIGH: Final = 0.050
_NECK: Final = 0.034
_SHOULDER: Final = 0.036
_ELBOW: Final = 0.025
_FOREARM: Final = 0.026
_WRIST: Final = 0.017
_HAND: Final = 0.026
"""Half of the thickness from the side, share of stature (judged)."""
_CALF_AT: Final = 0.68
"""Thickest part of the shank, share of the way up from the ankle (judged)."""
_HEAD_TALL: Final = 0.067
"""Half of the head's height, share of stature: an eighth of it (common practice in figure drawing)."""
_EAR_BEHIND_MIDDLE_CM: Final = 1.0
_CIRCLE: Final = 40
_RIBS: Final = 12
"""Steps along the trunk."""


@frozen(kw_only=True, eq=False)
class Silhouette:
    """Convex pieces that together make a body.

    Attributes
    ----------
    body, arm : tuple of (N, 2)
        Legs, trunk and head; and the arms, which lie in front of them. y and z as in `StandingFigure`, cm.
    """

    body: tuple[Floats, ...]
    arm: tuple[Floats, ...]


COLOUR: Final = "#FFFFFF"
NO_BREAK: Final = "\N{NO-BREAK SPACE}"
_WASH: Final = 0.38
"""How much of the photograph the ghost covers."""
_ROUND_CM: Final = 3.0
"""Radius to which notches between two limbs are rounded, for looks."""
_EVERY: Final = 3
"""Pixels between two points of an outline."""
_HEAD_CM: Final = 11.0
"""Heel to toe of a putter head (common practice)."""
_DRAWN: Final = (SPINE_TILT, HAND_OFFSET, KNEE_FLEX)


@frozen(kw_only=True, eq=False)
class Ghost:
    """The still with the ghost.

    Attributes
    ----------
    picture : (H, W, 3) uint8
        RGB.
    says : str
        What it shows, in one or two sentences, for the caption and for people who cannot see it.
    """

    picture: Picture = field(repr=False)
    says: str


def outline_body(figure: StandingFigure, student: Student) -> Silhouette:
    """Find the outline of a figure for a student's stature and sex.

    Parameters
    ----------
    figure : StandingFigure
    student : Student
    """
    stature = student.stature_cm
    j = {name: np.array(place) for name, place in figure.joints.items()}
    calf = j["ankle"] + _CALF_AT * (j["knee"] - j["ankle"])
    seat = predict("buttock_depth", stature, student.sex).value / 2
    body = [
        *_foot(j["heel"], j["toe"], j["ankle"], _ANKLE * stature),
        *_chain([(j["ankle"], _ANKLE), (calf, _CALF), (j["knee"], _KNEE)], stature),
        _link(j["knee"], _KNEE * stature, j["hip"], _THIGH * stature),
        *_trunk(figure, student, seat),
        *_head(j["shoulder"], j["ear"], j["eye"], student),
    ]
    arm = [
        _link(j["shoulder"], _SHOULDER * stature, j["elbow"], _ELBOW * stature),
        *_chain([(j["elbow"], _FOREARM), (j["wrist"], _WRIST)], stature),
        _link(j["wrist"], _WRIST * stature, j["hands"], _HAND * stature),
    ]
    return Silhouette(body=tuple(body), arm=tuple(arm))


def draw_ghost(
    lesson: Lesson,
    figure: StandingFigure,
    *,
    wanted: Mapping[str, Estimate],
    putter_cm: float,
) -> Ghost | None:
    """Draw the ghost over the still taken down the line.

    It stands in the student's own footprints: the middle of the feet and the ground are the same.

    Parameters
    ----------
    lesson : Lesson
    figure : StandingFigure
        The same body in the wanted setup.
    wanted : mapping of measure name to Estimate
        Measures of that setup, for the labels.
    putter_cm : float
        Length of the suggested putter.

    Returns
    -------
    Ghost or None
        None where there is no still of that view, no scale, or no feet to stand in.
    """
    place = _stand(lesson, figure)
    if place is None:
        return None
    result = lesson.views["down_the_line"]
    shape = outline_body(figure, lesson.student)
    crop = _crop(lesson, figure, shape, place)
    parts = [_rasterise(crop, place, pieces) for pieces in (shape.body, shape.arm)]
    mask = parts[0] | parts[1]
    body = np.maximum(crop.cut_mask(result, Sheet.grid_size(crop.size)), _shrink(mask, Sheet.grid_size(crop.size)))
    sheet = Sheet(crop.cut(result), crop=crop, roll_deg=place.roll_deg, body=body)
    sheet.wash(mask, colour=COLOUR, alpha=_WASH)
    for part in parts:
        for line in _outline(crop, part):
            sheet.line(*line, colour=COLOUR, width=0.13)
    pen = Pen(sheet=sheet, marks={}, forward=place.forward)
    _draw_putter(pen, place, figure)
    _label(pen, place, figure, lesson=lesson, wanted=wanted, putter_cm=putter_cm)
    picture, tags = sheet.finish()
    changes = "; ".join(tag.says for tag in tags)
    return Ghost(
        picture=picture,
        says="The white figure is the same body, by its estimated lengths, in the wanted setup with a putter of "
        f"{format_length(putter_cm)}, drawn to scale in the student's own footprints: {changes}.",
    )


def find_ghost_crop(lesson: Lesson) -> Crop | None:
    """Find the part of the picture that the ghost of a lesson is drawn over; None where it has none.

    Parameters
    ----------
    lesson : Lesson
    """
    figure = lesson.fit.figure
    if figure is None or not lesson.fit.putter_length:
        return None
    place = _stand(lesson, figure)
    return None if place is None else _crop(lesson, figure, outline_body(figure, lesson.student), place)


def _trunk(figure: StandingFigure, student: Student, seat: float) -> list[Floats]:
    """Return the pieces of the trunk, along an arc from hip to shoulder that bends like the back."""
    hip, shoulder = np.array(figure.joints["hip"]), np.array(figure.joints["shoulder"])
    chest = predict("chest_depth", student.stature_cm, student.sex).value / 2
    along = shoulder - hip
    backward = np.array([-along[1], along[0]])
    share = np.linspace(0.0, 1.0, _RIBS + 1)
    sagitta = np.tan(np.radians(figure.back_rounding_deg) / 4) / 2
    middles = hip + share[:, None] * along + (4 * sagitta * share * (1 - share))[:, None] * backward
    halves = np.interp(share, [0.0, 0.35, 0.75, 1.0], [seat, 0.92 * chest, chest, 0.72 * chest])
    return [
        _link(low, float(thin), high, float(thick))
        for low, thin, high, thick in zip(middles[:-1], halves[:-1], middles[1:], halves[1:], strict=True)
    ]


def _head(shoulder: Floats, ear: Floats, eye: Floats, student: Student) -> list[Floats]:
    stature = student.stature_cm
    forward = (eye - ear) / np.linalg.norm(eye - ear)
    upward = np.array([-forward[1], forward[0]])
    if upward @ (ear - shoulder) < 0:
        upward = -upward
    middle = ear + _EAR_BEHIND_MIDDLE_CM * forward + 0.02 * stature * upward
    long = predict("head_length", stature, student.sex).value / 2
    angle = np.linspace(0.0, 2 * np.pi, _CIRCLE, endpoint=False)[:, None]
    skull = middle + long * np.cos(angle) * forward + _HEAD_TALL * stature * np.sin(angle) * upward
    return [_link(shoulder, 1.15 * _NECK * stature, ear, _NECK * stature), skull]


def _foot(heel: Floats, toe: Floats, ankle: Floats, half: float) -> list[Floats]:
    low, high = 2.4, 1.9
    back, tip = heel + (low, low), toe + (-high, high)
    return [_hull([*_circle(back, low), *_circle(tip, high)]), _hull([*_circle(back, low), *_circle(ankle, half)]),
            _hull([*_circle(ankle, half), *_circle(heel + 0.55 * (toe - heel) + (0.0, low), low)])]  # fmt: skip


def _chain(places: list[tuple[Floats, float]], stature: float) -> list[Floats]:
    return [_link(one, thick * stature, two, thin * stature) for (one, thick), (two, thin) in pairwise(places)]


def _link(one: Floats, thick: float, two: Floats, thin: float) -> Floats:
    """Return a tapered capsule, (N, 2)."""
    return _hull([*_circle(one, thick), *_circle(two, thin)])


def _circle(middle: Floats, radius: float) -> Floats:
    angle = np.linspace(0.0, 2 * np.pi, _CIRCLE, endpoint=False)
    return np.asarray(middle + radius * np.stack([np.cos(angle), np.sin(angle)], axis=-1))


def _hull(points: Iterable[Floats]) -> Floats:
    cloud = np.array(list(points))
    return np.asarray(cloud[ConvexHull(cloud).vertices])


def _stand(lesson: Lesson, figure: StandingFigure) -> Placing | None:
    """Put the figure into the student's footprints; None where there are none, or no scale."""
    result = lesson.views.get("down_the_line")
    marks = lesson.posture.marks.get("down_the_line", {})
    if result is None or not result.scene.px_per_cm or "foot" not in marks:
        return None
    scene = result.scene
    return Placing(
        anchor_px=midway(*marks["foot"]),
        anchor_cm=(figure.joints["heel"][0] + figure.joints["toe"][0]) / 2,
        px_per_cm=scene.px_per_cm.value,
        forward=scene.forward,
        roll_deg=scene.roll.value if scene.roll else 0.0,
    )


def _crop(lesson: Lesson, figure: StandingFigure, shape: Silhouette, place: Placing) -> Crop:
    """Return the window around student, marks, figure and putter."""
    outline = [point for piece in (*shape.body, *shape.arm) for point in place.points(piece)]
    ends = [place.point(figure.butt), place.point(figure.sole)]
    marks = [point for points in lesson.posture.marks["down_the_line"].values() for point in points]
    return find_crop(lesson.views["down_the_line"], [*outline, *ends, *marks])


def _rasterise(crop: Crop, place: Placing, pieces: tuple[Floats, ...]) -> NDArray[np.bool_]:
    """Return where the joined pieces are, with rounded notches, (height, width) of the still."""
    canvas = Image.new("1", crop.size)
    pencil = ImageDraw.Draw(canvas)
    for piece in pieces:
        pencil.polygon([crop.place(point) for point in place.points(piece)], fill=1)
    across = 2 * round(_ROUND_CM * place.px_per_cm * crop.scale) + 1
    disc = cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (across, across))
    edge = across
    drawn = np.asarray(canvas, dtype=np.uint8)
    left, top, wide, high = cv2.boundingRect(drawn)
    part = np.s_[top : top + high, left : left + wide]
    padded = cv2.copyMakeBorder(drawn[part], edge, edge, edge, edge, cv2.BORDER_CONSTANT)
    closed = np.zeros(drawn.shape, dtype=bool)
    closed[part] = cv2.morphologyEx(padded, cv2.MORPH_CLOSE, disc)[edge:-edge, edge:-edge]
    return closed


def _outline(crop: Crop, mask: NDArray[np.bool_]) -> list[list[Point]]:
    """Return the outer edges of a mask of the still as closed lines in full-size pixels."""
    found, _ = cv2.findContours(mask.astype(np.uint8), cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_NONE)
    left, top = crop.box_px[:2]
    lines = []
    for contour in found:
        ring = (contour[::_EVERY, 0, :] + 0.5) / crop.scale + (left, top)
        lines.append([(float(u), float(v)) for u, v in (*ring, ring[0])])
    return lines


def _shrink(mask: NDArray[np.bool_], size: tuple[int, int]) -> Floats:
    small = Image.fromarray(mask).convert("L").resize(size, Image.Resampling.BOX)
    return np.asarray(small, dtype=np.float64) / 255


def _draw_putter(pen: Pen, place: Placing, figure: StandingFigure) -> None:
    colour = PART_COLOURS["club"]
    y, z = figure.sole
    heel, toe = place.point((y - _HEAD_CM / 2, z)), place.point((y + _HEAD_CM / 2, z))
    pen.sheet.line(place.point(figure.butt), place.point(figure.sole), colour=colour, width=0.16)
    pen.sheet.line(heel, toe, colour=colour, width=0.34)


def _label(
    pen: Pen,
    place: Placing,
    figure: StandingFigure,
    *,
    lesson: Lesson,
    wanted: Mapping[str, Estimate],
    putter_cm: float,
) -> None:
    """Ask for labels: each measure now and in the wanted setup, and the putter."""
    joints = {name: place.point(point) for name, point in figure.joints.items()}
    current = lesson.student.putter_length_cm
    ends = (putter_cm,) if current is None else (current, putter_cm)
    pen.sheet.tag(
        Tag(
            name=PUTTER_LENGTH.name,
            title="Putter",
            figure=_from_to([inches(each) for each in ends], "in"),
            more=_from_to(ends, "cm"),
            anchor=midway(place.point(figure.butt), place.point(figure.sole), share=0.6),
            wanted=pen.toward(ahead=1.0),
            colour=PART_COLOURS["club"],
        )
    )
    anchors: dict[MeasureName, tuple[Point, tuple[float, float]]] = {
        SPINE_TILT.name: (midway(joints["hip"], joints["shoulder"], share=0.6), pen.toward(ahead=-1.0, up=0.7)),
        HAND_OFFSET.name: (joints["hands"], pen.toward(ahead=1.0, up=0.3)),
        KNEE_FLEX.name: (joints["knee"], pen.toward(ahead=-1.0)),
    }
    for measure in _DRAWN:
        now, then = lesson.posture[measure.name], wanted.get(measure.name)
        if not now or not then:
            continue
        anchor, direction = anchors[measure.name]
        shown = in_shown_unit(now), in_shown_unit(then)
        from_to = _from_to([each.value for each in shown], shown[0].unit, signed=measure.signed)
        pen.sheet.tag(
            Tag(name=measure.name, title=measure.short, figure=from_to, anchor=anchor, wanted=direction,
                colour=PART_COLOURS[measure.part])
        )  # fmt: skip


def _from_to(ends: Sequence[float], unit: str, *, signed: bool = False) -> str:
    """Write a number, or two with an arrow between them, and the unit once."""
    *before, after = (format_value(end, unit, signed=signed) for end in ends)
    return "".join(f"{each.split(NO_BREAK)[0].removesuffix('°')} → " for each in before) + after
