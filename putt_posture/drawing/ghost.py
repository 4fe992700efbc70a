"""The ghost: the same body in the wanted setup with the suggested putter, at scale over the student's own still.

The ghost is a picture, and nothing is measured from it.
"""

from collections.abc import Iterable, Mapping, Sequence
from typing import Final

import cv2
import numpy as np
from attrs import field, frozen
from numpy.typing import NDArray
from PIL import Image, ImageDraw

from putt_posture.drawing.colours import PART_COLOURS
from putt_posture.drawing.feet import BALL_CM, Standing, find_feet_and_ball
from putt_posture.drawing.ghost_labels import draw_ghost_changes, find_ghost_changes, say_ghost, tag_ghost
from putt_posture.drawing.placing import Crop, Placing, find_crop
from putt_posture.drawing.sheet import Sheet
from putt_posture.drawing.silhouette import Silhouette, circle, outline_body
from putt_posture.drawing.sketches import Pen, midway
from putt_posture.values import (
    Estimate,
    Floats,
    Lesson,
    Picture,
    Point,
    StandingFigure,
    ViewResult,
)

__all__ = [
    "Ghost",
    "GhostLines",
    "draw_ghost",
    "find_ghost_crop",
    "find_legs",
    "stand_in_footprints",
    "trace_ghost",
]


COLOUR: Final = "#FFFFFF"
_WASH: Final = 0.38
"""How much of the photograph the ghost covers."""
_ROUND_CM: Final = 3.0
"""Radius to which notches between two limbs are rounded, for looks."""
_EVERY: Final = 3
"""Pixels between two points of an outline."""
_HEAD_CM: Final = 11.0
"""Heel to toe of a putter head (common practice)."""
_FOOT_PIECES: Final = 3
"""The first pieces of a leg."""
_WHOLE_FOOT: Final = 3
"""Landmarks of a foot: heel, tip of the toe and ankle."""
_SURE: Final = 128
_SOLE_QUANTILE: Final = 0.8
"""Of the lowest places of the outline along a foot: the sole, less the tips that a shadow or a lace adds."""


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


@frozen(kw_only=True)
class GhostLines:
    """The ghost as lines in the picture, pixels of the full-size upright picture.

    Attributes
    ----------
    outlines : tuple of tuple of Point
        Closed lines around the body, and around the arms, which lie in front of it.
    putter : (Point, Point)
        Butt and sole of the suggested putter.
    head : (Point, Point)
        Heel and toe of its head.
    ball : Point
        Centre of the ball.
    ball_radius_px : float
    """

    outlines: tuple[tuple[Point, ...], ...] = field(repr=False)
    putter: tuple[Point, Point]
    head: tuple[Point, Point]
    ball: Point
    ball_radius_px: float


def draw_ghost(
    lesson: Lesson,
    figure: StandingFigure,
    *,
    wanted: Mapping[str, Estimate],
    putter_cm: float,
) -> Ghost | None:
    """Draw the ghost over the still taken down the line.

    It stands in the student's own footprints: the middles of the feet meet, so does the ground, and each foot stands
    on the sole of one of the student's. Named is what changes by more than the margin of what was filmed.

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
    place = stand_in_footprints(lesson, figure)
    if place is None:
        return None
    result = lesson.views["down_the_line"]
    shape = outline_body(figure, lesson.student)
    crop = _crop(lesson, figure, shape, place)
    legs = find_legs(lesson, figure)
    parts = _find_parts(lesson, figure, shape, place, crop)
    mask = parts[0] | parts[1]
    body = np.maximum(crop.cut_mask(result, Sheet.grid_size(crop.size)), _shrink(mask, Sheet.grid_size(crop.size)))
    changes = find_ghost_changes(lesson, wanted)
    outlines = [line for part in parts for line in _outline(crop, part)]
    standing = find_feet_and_ball(Standing.of(result), crop)
    feet_and_ball = [*(piece for leg in legs for piece in leg[:_FOOT_PIECES]), place.points(_ball(figure))]
    standing |= _shrink(_rasterise(crop, feet_and_ball, 0.0), standing.shape[::-1]) > 0
    without: set[str] = set()
    while True:
        sheet = Sheet(crop.cut(result), crop=crop, roll_deg=place.roll_deg, body=body)
        sheet.keep_labels_off(standing)
        sheet.wash(mask, colour=COLOUR, alpha=_WASH)
        for line in outlines:
            sheet.line(*line, colour=COLOUR, width=0.13)
        pen = Pen(sheet=sheet, marks={}, forward=place.forward)
        named = {name: pair for name, pair in changes.items() if name not in without}
        _draw_putter(pen, place, figure)
        draw_ghost_changes(pen, place, figure, lesson.student, named)
        for tag in tag_ghost(pen, place, figure, lesson=lesson, changes=named, putter_cm=putter_cm):
            sheet.tag(tag)
        homeless = {tag.name for tag in sheet.tags} - {placed.label.key for placed in sheet.place()}
        if not homeless - without:
            break
        without |= homeless
    picture, tags = sheet.finish()
    return Ghost(picture=picture, says=say_ghost(tags, putter_cm))


def find_legs(lesson: Lesson, figure: StandingFigure) -> list[list[list[Point]]]:
    """Return the pieces of each leg of the ghost in the picture, the near leg first; none where it cannot stand.

    Parameters
    ----------
    lesson : Lesson
    figure : StandingFigure
    """
    place = stand_in_footprints(lesson, figure)
    if place is None:
        return []
    shape = outline_body(figure, lesson.student)
    return [
        [_on_foot(place.points(piece), piece, figure, apart) for piece in shape.leg]
        for apart in _feet_apart(lesson.views["down_the_line"], place)
    ]


def trace_ghost(lesson: Lesson, figure: StandingFigure | None = None, *, crop: Crop | None = None) -> GhostLines | None:
    """Trace a ghost as lines, for a page that draws it over the still by itself.

    Parameters
    ----------
    lesson : Lesson
    figure : StandingFigure, optional
        The body in another setup, or with another putter; that of the lesson's fit by default.
    crop : Crop, optional
        The part of the picture that has room for it, and how finely it is traced; as for `draw_ghost` by default.

    Returns
    -------
    GhostLines or None
        The same outlines as in `draw_ghost`; None where there is no ghost.
    """
    if figure is None and lesson.fit.putter_length:
        figure = lesson.fit.figure
    place = None if figure is None else stand_in_footprints(lesson, figure)
    if figure is None or place is None:
        return None
    shape = outline_body(figure, lesson.student)
    crop = crop or _crop(lesson, figure, shape, place)
    outlines = [line for part in _find_parts(lesson, figure, shape, place, crop) for line in _outline(crop, part)]
    return GhostLines(
        outlines=tuple(tuple(line) for line in outlines),
        putter=(place.point(figure.butt), place.point(figure.sole)),
        head=_head_ends(place, figure),
        ball=place.point(figure.ball),
        ball_radius_px=BALL_CM * place.px_per_cm,
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
    place = stand_in_footprints(lesson, figure)
    return None if place is None else _crop(lesson, figure, outline_body(figure, lesson.student), place)


def stand_in_footprints(lesson: Lesson, figure: StandingFigure) -> Placing | None:
    """Put the figure into the student's footprints; None where there are none, or no scale.

    Parameters
    ----------
    lesson : Lesson
    figure : StandingFigure
    """
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
    """Return the window that holds student, marks, figure and putter."""
    outline = [point for piece in (*shape.leg, *shape.body, *shape.arm) for point in place.points(piece)]
    ends = [place.point(figure.butt), place.point(figure.sole)]
    marks = [point for points in lesson.posture.marks["down_the_line"].values() for point in points]
    return find_crop(lesson.views["down_the_line"], [*outline, *ends, *marks])


def _find_parts(
    lesson: Lesson, figure: StandingFigure, shape: Silhouette, place: Placing, crop: Crop
) -> list[NDArray[np.bool_]]:
    """Return where trunk, head and legs are, and where the arms are, (height, width) of the still each."""
    legs = find_legs(lesson, figure)
    trunk, arm = ([place.points(piece) for piece in pieces] for pieces in (shape.body, shape.arm))
    across = place.px_per_cm * _ROUND_CM
    return [
        _rasterise(crop, [*trunk, *legs[0]], across) | _rasterise(crop, [*trunk, *legs[-1]], across),
        _rasterise(crop, arm, across),
    ]


def _head_ends(place: Placing, figure: StandingFigure) -> tuple[Point, Point]:
    """Return heel and toe of the putter's head in the picture, pixels."""
    y, z = figure.sole
    return place.point((y - _HEAD_CM / 2, z)), place.point((y + _HEAD_CM / 2, z))


def _rasterise(crop: Crop, pieces: Iterable[Sequence[Point]], round_px: float) -> NDArray[np.bool_]:
    """Return where the union of pieces is, (height, width) of the still; its notches rounded, full-size pixels."""
    canvas = Image.new("1", crop.size)
    pencil = ImageDraw.Draw(canvas)
    for piece in pieces:
        pencil.polygon([crop.place(point) for point in piece], fill=1)
    across = 2 * round(round_px * crop.scale) + 1
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


def _feet_apart(result: ViewResult, place: Placing) -> list[Point]:
    """Return how far each of the student's soles lies from the middle of both in the picture, pixels; near first.

    The camera sees the near foot lower than the far one. The sole of the near foot is where the outline ends below its
    landmarks; the far one, half hidden, lies as far to the other side.
    """
    standing = Standing.of(result)
    sides = ("right", "left") if place.forward > 0 else ("left", "right")
    near, far = (standing.foot(side) for side in sides)
    if len(near) < _WHOLE_FOOT or len(far) < _WHOLE_FOOT:
        return [(0.0, 0.0)]
    ahead = float((near[:2] - far[:2]).mean(axis=0)[0]) / 2
    down = _find_sole(standing, near) - place.anchor_px[1]
    return [(ahead, down), (-ahead, -down)]


def _find_sole(standing: Standing, foot: Floats) -> float:
    """Return the v of the lowest part of the student below a foot; the lowest landmark where it is not seen."""
    left, right = (round(edge) - standing.outline_corner_px[0] for edge in sorted(foot[:2, 0]))
    top = round(float(foot[:2, 1].min())) - standing.outline_corner_px[1]
    under = standing.outline[max(top, 0) :, max(left, 0) : right + 1] > _SURE
    rows = [int(np.flatnonzero(column)[-1]) for column in under.T if column.any()]
    if not rows:
        return float(foot[:2, 1].max())
    return standing.outline_corner_px[1] + max(top, 0) + float(np.quantile(rows, _SOLE_QUANTILE)) + 1.0


def _on_foot(points: Sequence[Point], plane: Floats, figure: StandingFigure, apart: Point) -> list[Point]:
    """Move a leg to one of the feet: its sole by the whole way, what is as high as the hip not at all."""
    shares = np.clip(1 - plane[:, 1] / figure.joints["hip"][1], 0.0, 1.0)
    return [(u + share * apart[0], v + share * apart[1]) for (u, v), share in zip(points, shares, strict=True)]


def _ball(figure: StandingFigure) -> Floats:
    return circle(np.array(figure.ball), BALL_CM)


def _draw_putter(pen: Pen, place: Placing, figure: StandingFigure) -> None:
    """Draw the putter, and the ball where it would lie."""
    colour = PART_COLOURS["club"]
    heel, toe = _head_ends(place, figure)
    pen.sheet.line(place.point(figure.butt), place.point(figure.sole), colour=colour, width=0.16)
    pen.sheet.line(heel, toe, colour=colour, width=0.34)
    radius = BALL_CM * place.px_per_cm / pen.sheet.letters(1.0)
    pen.sheet.dot(place.point(figure.ball), colour=COLOUR, radius=radius)
