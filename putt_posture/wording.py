"""What every measure is called and what it means, in sentences for a student.

Nothing here says good or bad: no published norm exists for posture at a putting address. What a measure tends to do
to the stroke is common practice among coaches, not a law. Signs follow `putt_posture.values.MEASURES`.
"""

from collections.abc import Mapping
from typing import Final, Literal

from attrs import frozen

from putt_posture.values import MeasureName

__all__ = [
    "BACK_CAUTIONS",
    "CAUTIONS",
    "FACES",
    "FACES_HIDDEN",
    "LENGTH_CONVENTION",
    "NO_NORM",
    "SCALE_SOURCES",
    "SHOWN_ON",
    "UNCERTAINTY",
    "WORDS",
    "Part",
    "Words",
]

Part = Literal["trunk", "head", "arms", "legs", "balance", "club"]
"""Part of the body (or the club) that a measure belongs to; it picks the colour, never the verdict."""


@frozen(kw_only=True)
class Words:
    """The wording of one measure.

    Attributes
    ----------
    title : str
        Full name.
    short : str
        Name on a still, at most about 15 letters.
    part : Part
    what : str
        One sentence: what the number is.
    direction : str
        One sentence: which way is more, and where nought lies.
    stroke : str
        One sentence: what it tends to do to the stroke (common practice).
    plus, minus, nought : str
        For a measure with two directions: a few words for a value surely above, surely below, and not told from nought;
        empty where the measure has one direction only.
    """

    title: str
    short: str
    part: Part
    what: str
    direction: str
    stroke: str
    plus: str = ""
    minus: str = ""
    nought: str = ""


SCALE_SOURCES: Final[Mapping[str, str]] = {
    "object": "an object of known length in the student's plane",
    "putter": "the measured length of the putter",
    "stature": "the student's stature, through the lengths of the body's segments",
    "other_view": "the other view of the same student",
    "none": "nothing; lengths are absent",
}
SHOWN_ON: Final = (
    "It is meant to hold the true value 19 times out of 20. That was tried on rendered golfers, whose true values are "
    "known: there it did so in 88 to 100 % of the shots, by measure. On people only the spine tilt was looked at, and "
    "only of a few."
)
"""Of a margin. The shares are those of the table in DEVELOPERS.md (24 golfers, usual shots) and what was shown on
people is in `tests/accuracy/results.md`."""
UNCERTAINTY: Final = (
    f"The number after ± is the 95 % margin. {SHOWN_ON} From one lesson to the next, a difference of less than about "
    "one and a half margins is no change, and one of some twenty measures passes that by chance; a comparison of both "
    "lessons takes that into account."
)
"""Two equal margins m make a margin of m·√2 on their difference."""
NO_NORM: Final = (
    "There is no published norm for any of these at a putting address. The numbers say where the student stands, "
    "not where they ought to; what a measure tends to do to the stroke is common practice among coaches."
)
LENGTH_CONVENTION: Final = "from the top of the grip, along the shaft's axis, to the sole"
FACES: Final = "Faces"
FACES_HIDDEN: Final = "hidden for good in every picture here"
BACK_CAUTIONS: Final[tuple[str, ...]] = (
    "Long practice in a bent posture can load the back: take breaks, stand up and walk a little between sets.",
    "Stop at pain, and see a clinician about pain that stays or comes back.",
)
"""What is said wherever a setup is suggested, filmed or not."""
CAUTIONS: Final[tuple[str, ...]] = (
    *BACK_CAUTIONS,
    "This is no medical measurement. Back rounding is read from the outline of clothes and skin; it is not a "
    "clinical angle of the spine.",
    "The coach and the club-builder decide; this report gives them numbers with their margins and no more.",
)
WORDS: Final[Mapping[MeasureName, Words]] = {
    "spine_tilt": Words(
        title="Spine tilt",
        short="Spine tilt",
        part="trunk",
        what="How far the line from the hips to the shoulders leans from the vertical.",
        direction="0° is upright; more leans further toward the ball.",
        stroke="With more tilt the shoulders rock more up and down, and the putter head tends to run straighter; "
        "with less tilt they turn more around, and it tends to swing on more of an arc.",
    ),
    "back_rounding": Words(
        title="Back rounding",
        short="Back rounding",
        part="trunk",
        what="How much the outline of the back bends between the pelvis and the base of the neck.",
        direction="0° is a flat back; more is rounder. It is the outline of clothes and skin, not a clinical angle.",
        stroke="With more rounding the shoulders tend to sit further forward and lower, so that the arms hang "
        "nearer the knees and the shoulders have less of a straight line to turn about.",
        plus="rounded",
        minus="hollow",
        nought="not told from flat",
    ),
    "head_drop": Words(
        title="Head drop",
        short="Head drop",
        part="head",
        what="How far the line from the shoulders to the ears hangs beyond the line of the spine.",
        direction="0° carries the spine's line on; + brings the chin toward the chest, − lifts it.",
        stroke="It sets the line of sight: with the chin down the eyes look straight at the ball, with the chin up "
        "they look down along the cheeks, and the line to the hole can seem to run differently.",
        plus="chin toward the chest",
        minus="chin lifted",
        nought="in line with the spine, within the margin",
    ),
    "knee_flex": Words(
        title="Knee flex",
        short="Knee flex",
        part="legs",
        what="How far the knee nearest the camera is bent.",
        direction="0° is a straight leg; more is a deeper bend.",
        stroke="A deeper bend lowers the hips and the hands and so asks for a shorter putter or a flatter shaft; a "
        "bend that changes between putts tends to change the height of the hands.",
    ),
    "elbow_bend_lead": Words(
        title="Lead elbow bend",
        short="Lead elbow",
        part="arms",
        what="How far the elbow of the lead arm (the one nearer the target) is bent.",
        direction="0° is a straight arm; more is a deeper bend.",
        stroke="A bent elbow shortens the arm and brings the forearm nearer the line of the shaft; a straighter "
        "arm tends to swing as one with the shoulder.",
    ),
    "elbow_bend_trail": Words(
        title="Trail elbow bend",
        short="Trail elbow",
        part="arms",
        what="How far the elbow of the trail arm (the one farther from the target) is bent.",
        direction="0° is a straight arm; more is a deeper bend.",
        stroke="Where it differs from the lead elbow, one forearm lies above the other and the shoulders tend to "
        "open or close to the line.",
    ),
    "hand_offset": Words(
        title="Hands from under the shoulders",
        short="Hands off plumb",
        part="arms",
        what="How far the hands are in front of or behind a plumb line through the shoulders.",
        direction="0 is straight under the shoulders; + is outside, toward the ball; − is inside, toward the feet.",
        stroke="Hands that hang under the shoulders need little holding; hands further out tend to be held there "
        "by the arms and to swing on more of an arc, hands further in tend to have less room past the legs.",
        plus="outside the shoulders, toward the ball",
        minus="inside the shoulders, toward the feet",
        nought="not told from straight under the shoulders",
    ),
    "hand_height": Words(
        title="Hand height",
        short="Hand height",
        part="arms",
        what="How high the middle of the two hands is above the ground.",
        direction="More is higher.",
        stroke="Together with the shaft's angle it decides the length of putter that reaches the ground; higher "
        "hands ask for a longer or a more upright putter.",
    ),
    "elbow_gap_lead": Words(
        title="Lead elbow to ribs",
        short="Lead elbow gap",
        part="arms",
        what="The shortest way from the skin of the lead elbow to the skin of the trunk.",
        direction="0 is touching; more is further away.",
        stroke="An elbow close to the ribs tends to move with the trunk; one further away moves more freely from it.",
    ),
    "elbow_gap_trail": Words(
        title="Trail elbow to ribs",
        short="Trail elbow gap",
        part="arms",
        what="The shortest way from the skin of the trail elbow to the skin of the trunk.",
        direction="0 is touching; more is further away.",
        stroke="An elbow close to the ribs tends to move with the trunk; where the two gaps differ, the arms tend "
        "to follow the trunk unequally.",
    ),
    "elbow_depth": Words(
        title="Elbow along the ribs",
        short="Elbow depth",
        part="arms",
        what="Where the elbow nearest the camera sits along the depth of the trunk.",
        direction="0 is level with the front of the ribs; + is in front of it, − is behind it.",
        stroke="An elbow in front of the ribs can swing past them; one behind the front tends to meet the side of "
        "the trunk on the way through.",
        plus="in front of the ribs",
        minus="behind the front of the ribs",
        nought="level with the front of the ribs, within the margin",
    ),
    "eye_offset": Words(
        title="Eyes over the ball",
        short="Eyes to ball",
        part="head",
        what="How far the eyes are beyond or inside the ball, seen down the line.",
        direction="0 is straight above the ball; + is beyond it, − is inside it, toward the feet.",
        stroke="Where the eyes are can change how the line to the hole seems to run; which way differs from one "
        "golfer to the next, so it is best tried out with the student's own aim.",
        plus="beyond the ball",
        minus="inside the ball, toward the feet",
        nought="not told from straight above the ball",
    ),
    "ball_distance": Words(
        title="Ball from the toes",
        short="Ball to toes",
        part="club",
        what="How far the middle of the ball is in front of the toes.",
        direction="More is further away.",
        stroke="A ball further away tends to bring the hands out and the shaft down; a nearer one tends to bring "
        "the hands in and the shaft up.",
    ),
    "balance": Words(
        title="Balance, heel to toe",
        short="Balance",
        part="balance",
        what="Where the body's centre of mass falls along the foot, from the shape of the body, the putter left out.",
        direction="0 % is the back of the heel, 100 % the tip of the toe.",
        stroke="The nearer it is to either end, the less room there is to sway before the feet have to work, and "
        "the less still the body tends to be over the ball.",
    ),
    "shaft_lie": Words(
        title="Lie of the shaft",
        short="Shaft lie",
        part="club",
        what="The angle of the shaft above the ground, seen down the line.",
        direction="More is more upright.",
        stroke="A more upright shaft tends to swing on less of an arc; a putter whose own lie differs from it "
        "stands on its heel or its toe, and the face then points a little off line.",
    ),
    "putter_length": Words(
        title="Putter as filmed",
        short="Putter",
        part="club",
        what=f"The length of the putter in the picture, {LENGTH_CONVENTION}.",
        direction="More is longer.",
        stroke="A putter longer than the posture asks for tends to push the hands up or out; a shorter one tends "
        "to pull the golfer down.",
    ),
    "stance_width": Words(
        title="Stance width",
        short="Stance",
        part="legs",
        what="The distance between the two ankle joints along the line to the target.",
        direction="More is wider.",
        stroke="A wider stance tends to keep the hips stiller and lowers the body; a narrower one lets the golfer "
        "stand taller.",
    ),
    "ball_position": Words(
        title="Ball along the stance",
        short="Ball position",
        part="club",
        what="How far the ball is from the middle of the stance, along the line to the target.",
        direction="0 is the middle; + is toward the target, − is away from it.",
        stroke="A ball further forward tends to be met later, with the putter head more on its way up and further "
        "around; one further back tends to be met earlier.",
        plus="toward the target",
        minus="away from the target",
        nought="not told from the middle of the stance",
    ),
    "shoulder_level": Words(
        title="Shoulder level",
        short="Shoulder level",
        part="trunk",
        what="The slope of the line through the two shoulders, seen face on.",
        direction="0° is level; + is the lead shoulder higher, − is the trail shoulder higher.",
        stroke="A higher lead shoulder tends to send the putter head upward through the ball, a lower one downward.",
        plus="lead shoulder higher",
        minus="trail shoulder higher",
        nought="not told from level",
    ),
    "side_bend": Words(
        title="Side bend",
        short="Side bend",
        part="trunk",
        what="How far the line from the hips to the shoulders leans sideways, seen face on.",
        direction="0° is upright; + is away from the target, − is toward it.",
        stroke="A lean away from the target tends to move the low point of the swing back, a lean toward it tends "
        "to move it forward.",
        plus="away from the target",
        minus="toward the target",
        nought="not told from upright",
    ),
    "head_position": Words(
        title="Head along the line",
        short="Head to ball",
        part="head",
        what="How far the eyes are ahead of or behind the ball, seen face on.",
        direction="0 is above the ball; + is ahead of it, toward the target; − is behind it.",
        stroke="Eyes behind the ball look along the line from behind it, eyes ahead of it look back at it; either "
        "can change how the line to the hole seems to run.",
        plus="ahead of the ball",
        minus="behind the ball",
        nought="not told from above the ball",
    ),
    "shaft_lean": Words(
        title="Shaft lean",
        short="Shaft lean",
        part="club",
        what="How far the shaft leans along the line to the target, seen face on.",
        direction="0° is upright; + is the hands toward the target, − is the hands away from it.",
        stroke="Hands toward the target take loft off the face, hands away from it add loft, and the ball tends to "
        "start lower or higher.",
        plus="hands toward the target",
        minus="hands away from the target",
        nought="not told from upright",
    ),
    "sideways_balance": Words(
        title="Balance, foot to foot",
        short="Balance",
        part="balance",
        what="Where the body's centre of mass falls between the ankles, from the shape of the body, the putter "
        "left out.",
        direction="0 % is the trail ankle, 100 % the lead ankle, 50 % the middle.",
        stroke="Further onto the lead foot the low point of the swing tends to move forward, further onto the "
        "trail foot it tends to move back.",
    ),
}
"""Wording of every measure, in the order of the report."""
