"""The page that defines the measures, made from their records.

It is kept beside this file as ``measures.md``. After a change of a record, make it again:

    python -m putt_posture.measures.page > putt_posture/measures/measures.md
"""

from collections.abc import Iterable
from typing import Final

from putt_posture.measures.record import Part, Record, StrokeGroup
from putt_posture.measures.registry import MEASURES, STROKE_MEASURES
from putt_posture.values import VIEW_TITLES

__all__ = ["make_page"]

_PARTS: Final[dict[Part, str]] = {
    "trunk": "Trunk",
    "head": "Head and eyes",
    "arms": "Arms and hands",
    "legs": "Legs and stance",
    "balance": "Balance",
    "club": "Putter and ball",
}
_GROUPS: Final[dict[StrokeGroup, tuple[str, str]]] = {
    "timing": ("Timing", "stroke_paths"),
    "hands": ("Hands", "stroke_paths"),
    "putter": ("Putter head", "stroke_paths"),
    "stillness": ("How still the body is", "stroke_body"),
    "change": ("What changes from address to impact", "stroke_body"),
    "ball": ("Ball", "stroke_paths"),
}
_UNITS: Final = {"deg": "°", "cm": " cm", "%": " %", "s": " s", "ratio": ""}
_HEAD: Final = """\
# The measures

What each number means: its axes, its signs, its unit. This page is made from the records in this folder, one for each
measure, from which the tables, pages, pictures and documents of the program are made as well. Change a record and make
the page anew (`page.py` says how); a test compares the two.

## Axes and views

**Golfer.** x runs along the target line, + toward the target. y is level and square to x, + from the golfer toward the
ball. z points up. The lead side is the one nearer the target: the left of a right-hander, the right of a left-hander.
The origin is on the ground below the middle of the ankles.

**Picture.** Pixels from the top left corner, u to the right and v down, of the upright picture.

**Down the line** the camera stands behind the trail side, on the line through the hands, and looks toward the target
along +x. It sees the y–z plane, the sagittal plane of the golfer. **Face on** it stands square to the chest and looks
at the golfer along −y. It sees the x–z plane.

**Units.** Degrees, centimetres and seconds in files and on screens, the putter's length in inches beside them. With
`--units inches` screens and pages show inches; files stay.

## Joints

A joint is the centre that the bones turn about. It is neither the skin over it nor the bone of a drawn figure, and a
landmark of the pose model does not count as one until a study has shown how far off it is (`putt_posture/joints/`).

| joint | centre |
|---|---|
| hip | of the head of the thigh bone, from the front and back spines of the pelvis (Harrington and others 2007) |
| shoulder | of the joint between upper arm and shoulder blade (the glenohumeral joint) |
| elbow, knee, ankle | midway between the epicondyles or the malleoli |
| wrist | midway between the styloids |

## The measures of a setup, one by one
"""
_STROKE: Final = """
## The measures of a stroke, one by one

**Events.** Start: the last still moment before the putter head moves away. Top: the last moment before it moves back.
Impact: the ball's first motion, or where no ball is seen the return of the putter head. Finish: the farthest point
after impact (names by McLaughlin 2008, secondary). Times are real seconds; slow motion is taken out.

**Places.** Lengths are how far one and the same point moved in the golfer's plane, so that what a landmark is always
off by is not in them. The motion of a camera that is held in the hand is taken out by what stands still behind the
student. Nothing is smoothed across impact.

**Head, sternum, hips, knees.** "With the hands" is said of a movement to the side to which the hands move at the same
moment, "against the hands" of the other. No number of these is a norm: experts and novices moved the head by about as
much in the one study that was found (Lee and others 2008, secondary).

**Several strokes.** From three putts on a number is their mean, with an interval by Student's t; with fewer it is that
of the stroke that follows the measured setup. How much strokes scatter is said from ten on, without what the measuring
itself scatters. Practice strokes and putts are never mixed.

The angle of the putter's face is not measured: a degree of a face 10 cm long is 1.7 mm of its edge, less than a phone's
clip shows.
"""
_TAIL: Final = """
## What comes with every number

The value, its standard uncertainty (one sigma, in the same unit), the 95 % interval, how many frames have it, and its
view and method. A number that cannot be measured is absent, with the reason in a sentence, and is never guessed: one
hidden joint is enough.

The uncertainty adds up its known parts: the scatter from frame to frame, the landmark errors (from the accuracy study),
the error of the measure itself (below), the scale, and the roll and yaw of the camera.

| measure | error of the measure itself, one sigma | scatter between setups or strokes, judged, one sigma |
|---|---|---|
{errors}

## Facts that the geometry uses

- A camera that is off square by ψ shows a lean θ as atan(tan θ · cos ψ): 40° looks like 39.6° where ψ is 10°, and like
  38.3° where it is 20°. A camera that is turned about its own axis adds its whole roll.
- What is nearer to the camera than the plane of the scale by d, with the plane at a distance D, looks larger by d/D:
  5 % for 20 cm at 4 m.
- The length along the shaft is the hand height over the sine of the lie, and what lies above the hand centre. About
  71 cm and 71°, each centimetre of hand height is worth 1.06 cm of length, and each degree of lie 0.45 cm.
- One measure in two lessons, tested alone, changed only where the difference is more than 1.96 · √(u₁² + u₂²). Of
  {count} measures at least one does so by chance in most pairs of lessons, so headlines count how many were tested.
- No reviewed study was found that says what tilt, knee flex, eye position or stance is normal at a putting address.
  What the program compares a setup with is the coach's own; what it is shipped with is marked as common practice.
"""


def make_page() -> str:
    """Make the text of ``measures.md``: Markdown, a line feed at the end."""
    parts = "".join(
        _section(title, f"Records and formulas: [`{part}.py`]({part}.py)", _of_part(part))
        for part, title in _PARTS.items()
    )
    groups = "".join(
        _section(title, f"Records: [`{file}.py`]({file}.py)", _of_group(group))
        for group, (title, file) in _GROUPS.items()
    )
    errors = "\n".join(_errors(each) for each in (*MEASURES.values(), *STROKE_MEASURES.values()))
    return _HEAD + parts + _STROKE + groups + _TAIL.format(errors=errors, count=len(MEASURES))


def _of_part(part: Part) -> list[Record]:
    return [each for each in MEASURES.values() if each.part == part]


def _of_group(group: StrokeGroup) -> list[Record]:
    return [each for each in STROKE_MEASURES.values() if each.group == group]


def _section(title: str, where: str, records: Iterable[Record]) -> str:
    rows = "\n".join(map(_row, records))
    return (
        f"\n### {title}\n\n{where}\n\n"
        f"| measure | view | axes | unit | definition | signs |\n|---|---|---|---|---|---|\n{rows}\n"
    )


def _row(each: Record) -> str:
    views = " and ".join(VIEW_TITLES[view].lower() for view in each.views)
    return (
        f"| **{each.title}** `{each.name}` | {views} | {each.axes} | {each.unit} | {each.definition} | "
        f"{each.words.direction} |"
    )


def _errors(each: Record) -> str:
    unit = _UNITS[each.unit]
    scatter = "does not" if each.scatter_sd is None else f"{each.scatter_sd:g}{unit}"
    return f"| `{each.name}` | {each.model_sd:g}{unit} | {scatter} |"


if __name__ == "__main__":
    print(make_page(), end="")
