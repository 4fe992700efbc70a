"""Putter and ball of a lesson: found in each view where the coach gave none, and joined over the views."""

import math
from collections.abc import Mapping
from typing import Final

from attrs import evolve, frozen

from putt_posture.body import BALL_CM, find_grip_distance
from putt_posture.figures import format_length
from putt_posture.scene.ball import find_ball_by_hand, warn_of_ball_side
from putt_posture.scene.grip import ABOVE_HANDS_CM
from putt_posture.scene.scale import PLANE_SHARE_SD, TAPE_SHARE_SD, differ
from putt_posture.scene.seen import Seen
from putt_posture.scene.shaft import SOLE_AHEAD_CM, find_shaft
from putt_posture.values import (
    VIEW_TITLES,
    ButtSource,
    Estimate,
    FoundBall,
    FoundShaft,
    Handed,
    PictureFinds,
    Scene,
    Student,
    View,
)

__all__ = [
    "Putter",
    "add_putter",
    "find_butt_from_other_view",
    "find_no_putter",
    "find_putter_scale",
    "find_putters",
    "find_shafts",
    "nearness",
    "say_without_putter",
]

BALL_MISFIT: Final = 0.25
_NOT_LOOKED_FOR: Final = "it was not looked for while the picture was there"
_NO_PUTTER: Final = "the clip was filmed without a putter"

LENT_BUTT_SD_CM: Final = 1.4
"""One sigma of a butt end from the other view alone, cm (rendered golfers)."""
_MISFIT: Final = 2.0
"""Farther than this many combined sigmas from the judged butt end, something else was mistaken for the end of the grip
in one of the two pictures."""


@frozen(kw_only=True, eq=False)
class Putter:
    """What was found of the putter in one view.

    Attributes
    ----------
    shaft : FoundShaft
        Falsy where none was found.
    butt_source : ButtSource
        How the place of the butt end is known.
    """

    shaft: FoundShaft
    butt_source: ButtSource


def find_shafts(seen: Mapping[View, Seen], scenes: Mapping[View, Scene], student: Student) -> dict[View, FoundShaft]:
    """Find the shaft in each picture alone; where a picture was read before, return what was found then.

    Parameters
    ----------
    seen : mapping of View to Seen
        What each view shows.
    scenes : mapping of View to Scene
        Without putter and ball.
    student : Student
        For where hands usually sit on the grip.

    Returns
    -------
    dict of View to FoundShaft
        Falsy with a reason where none was found.
    """
    usual = find_grip_distance(student)
    found: dict[View, FoundShaft] = {}
    for view, what in seen.items():
        if what.kept is not None:
            found[view] = what.kept.shaft
        elif what.picture is None:
            found[view] = FoundShaft(why_not=_NOT_LOOKED_FOR)
        else:
            found[view] = find_shaft(what.picture, hands_px=what.hands_px(), scene=scenes[view], grip_distance=usual)
    return found


def find_putters(
    seen: Mapping[View, Seen], scenes: Mapping[View, Scene], shafts: Mapping[View, FoundShaft]
) -> dict[View, Putter]:
    """Return the putter of every view where the coach gave none; one view may lend the other its butt end.

    Parameters
    ----------
    seen : mapping of View to Seen
        What each view shows.
    scenes : mapping of View to Scene
        Without putter and ball.
    shafts : mapping of View to FoundShaft
        As found in each picture alone.

    Returns
    -------
    dict of View to Putter
        Only views in which the coach drew no shaft.
    """
    found: dict[View, Putter] = {}
    for view, what in seen.items():
        if what.given.shaft_px is not None:
            continue
        shaft = shafts[view]
        source: ButtSource = "none" if not shaft else "seen" if shaft.butt_seen else "judged"
        if shaft and what.kept is not None and what.kept.butt_lent:
            source = "other_view"
        found[view] = Putter(shaft=shaft, butt_source=source)
    side, front = found.get("down_the_line"), found.get("face_on")
    if side and front and side.butt_source == "judged" and front.butt_source == "seen":
        lent = find_butt_from_other_view(side.shaft, front.shaft, scenes)
        if lent is not None:
            found["down_the_line"] = Putter(shaft=lent, butt_source="other_view")
    return found


def find_putter_scale(putter: Putter | None, scene: Scene | None, student: Student) -> tuple[Estimate | None, str]:
    """Return the scale from a found putter of known length, and a sentence where it and stature disagree.

    Parameters
    ----------
    putter : Putter or None
        As found down the line; None where the coach drew the shaft.
    scene : Scene or None
        Of that view; a scale that is not from stature is kept.
    student : Student
        For the typed putter length, cm.

    Returns
    -------
    scale : Estimate or None
        None where an end does not show, where the length was not typed, and where the two disagree.
    warning : str
        Empty where there is none.
    """
    length_cm = student.putter_length_cm
    if putter is None or scene is None or length_cm is None or scene.scale_source != "stature":
        return None, ""
    shaft = putter.shaft
    if shaft.ends_px is None or not (shaft.butt_seen and shaft.sole_seen):
        return None, ""
    value = math.dist(*shaft.ends_px) / length_cm
    share = math.hypot(shaft.length_sd_cm / length_cm, PLANE_SHARE_SD, TAPE_SHARE_SD)
    scale = Estimate(
        value=value,
        standard_uncertainty=share * value,
        unit="px/cm",
        view=scene.view,
        frames=1,
        method="from the putter's measured length, its ends as found in the picture",
    )
    apart = differ(scale, scene.px_per_cm)
    if apart != 0.0:
        return None, (
            f"Down the line the putter of {format_length(length_cm)} looks "
            f"{format_length(math.exp(apart) * length_cm)} long beside the "
            "student's height, which is more than the two can differ by; check both. The scale is from the height."
        )
    return scale, ""


def add_putter(
    scene: Scene, what: Seen, putter: Putter | None, *, handed: Handed
) -> tuple[Scene, FoundBall | None, tuple[str, ...]]:
    """Return the scene with shaft and ball: as given, else as found, else with the reason why not.

    Parameters
    ----------
    scene : Scene
        Of one view, without putter and ball.
    what : Seen
        What the same view shows.
    putter : Putter or None
        None where the coach gave the shaft.
    handed : Handed
        As typed; the side of the head on which the ball lies must fit it.

    Returns
    -------
    scene : Scene
        With shaft and ball, and with warnings about them.
    ball : FoundBall or None
        As found in the picture, even where the coach gave one; None where it was not looked for.
    warnings : tuple of str
        On the side of the head on which the found ball lies.
    """
    given = what.given
    if putter is None:
        changed = evolve(scene, shaft_px=given.shaft_px, shaft_source="given", butt_source="given")
    else:
        changed = evolve(
            scene,
            shaft_px=putter.shaft.ends_px,
            shaft_source="found" if putter.shaft else "none",
            butt_source=putter.butt_source,
            putter_sd_cm=putter.shaft.length_sd_cm if putter.shaft else 0.0,
            shaft_why_not=putter.shaft.why_not,
        )
    near = nearness(changed)
    found, wrong = _find_ball(changed, what, near=near, handed=handed)
    if given.ball_px is not None:
        marked = evolve(changed, ball_px=given.ball_px, ball_source="given")
        if changed.shaft_px is not None:
            aside = warn_of_ball_side(given.ball_px, shaft_px=changed.shaft_px, scene=changed, handed=handed)
            marked = evolve(marked, warnings=marked.warnings + aside)
        return marked, found, wrong
    if changed.shaft_px is None:
        why_not = "it is looked for at the putter's head, and no shaft was found"
        return evolve(changed, ball_why_not=why_not), found, wrong
    ball = found or FoundBall(why_not=_NOT_LOOKED_FOR if found is None else found.why_not)
    with_ball = evolve(
        changed,
        ball_px=ball.centre_px,
        ball_source="found" if ball else "none",
        ball_why_not=ball.why_not,
        warnings=changed.warnings + wrong + _warn_of_ball(ball, changed, near=near),
    )
    return with_ball, found, wrong


def say_without_putter(scene: Scene) -> Scene:
    """Return the scene of a clip that was filmed without putter and ball.

    Parameters
    ----------
    scene : Scene
        Without putter and ball.

    Returns
    -------
    Scene
        It says so beside shaft and ball.
    """
    return evolve(scene, without_putter=True, shaft_why_not=_NO_PUTTER, ball_why_not=_NO_PUTTER)


def find_no_putter(what: Seen, roll: Estimate) -> PictureFinds:
    """Return what there is to find in a picture without putter and ball.

    Parameters
    ----------
    what : Seen
        The view.
    roll : Estimate
        Camera roll as the picture tells it, deg.

    Returns
    -------
    PictureFinds
        With neither shaft nor ball.
    """
    return PictureFinds(resolution_px=what.resolution_px, roll=roll, shaft=FoundShaft(why_not=_NO_PUTTER))


def find_butt_from_other_view(side: FoundShaft, front: FoundShaft, scenes: Mapping[View, Scene]) -> FoundShaft | None:
    """Return the down-the-line shaft with its butt placed by the face-on picture; None where that is impossible.

    The end of the grip is visible in both pictures. It divides the putter in the same ratio in both, after a correction
    for the sole, which is nearer to the face-on camera than the butt.

    Parameters
    ----------
    side : FoundShaft
        Shaft down the line, its butt end judged from hands and grip.
    front : FoundShaft
        Shaft face on, its butt end seen.
    scenes : mapping of View to Scene
        Both views: scale down the line, camera distance face on.

    Returns
    -------
    FoundShaft or None
        None where a picture does not show the end of the grip, or where the two pictures contradict each other.
    """
    if side.ends_px is None or not (math.isfinite(side.grip_share) and math.isfinite(front.grip_share)):
        return None
    (butt_u, butt_v), (sole_u, sole_v) = side.ends_px
    scale = scenes["down_the_line"].px_per_cm.value
    near = scenes["face_on"].distance_cm.value - SOLE_AHEAD_CM
    deeper = abs(butt_u - sole_u) / scale
    share = front.grip_share * near / (near + deeper - front.grip_share * deeper)
    stretch = side.grip_share / share
    low, high = ABOVE_HANDS_CM
    above = side.butt_above_cm + (stretch - 1) * math.dist(*side.ends_px) / scale
    apart = abs(above - side.butt_above_cm)
    if apart > _MISFIT * math.hypot(side.butt_sd_cm, LENT_BUTT_SD_CM) or not low <= above <= high:
        return None
    # The estimate from hands and grip still counts.
    weight = side.butt_sd_cm**2 / (side.butt_sd_cm**2 + LENT_BUTT_SD_CM**2)
    above = weight * above + (1 - weight) * side.butt_above_cm
    stretch = 1 + (above - side.butt_above_cm) * scale / math.dist(*side.ends_px)
    lent = (sole_u + stretch * (butt_u - sole_u), sole_v + stretch * (butt_v - sole_v))
    return evolve(
        side, ends_px=(lent, side.ends_px[1]), butt_above_cm=above, butt_sd_cm=math.sqrt(weight) * LENT_BUTT_SD_CM
    )


def _find_ball(scene: Scene, what: Seen, *, near: float, handed: Handed) -> tuple[FoundBall | None, tuple[str, ...]]:
    """Return the ball in the picture and sentences on its side; None without a shaft or a picture."""
    if what.kept is not None:
        return what.kept.ball, what.kept.ball_warnings
    if scene.shaft_px is None or what.picture is None:
        return None, ()
    return find_ball_by_hand(
        what.picture,
        shaft_px=scene.shaft_px,
        scene=scene,
        px_per_cm=near * scene.px_per_cm.value,
        handed=handed,
    )


def nearness(scene: Scene) -> float:
    """Return how much larger things look at the putter's head than at the feet, as a ratio.

    Parameters
    ----------
    scene : Scene
        View and distance.

    Returns
    -------
    float
        1 down the line, above 1 face on.
    """
    if scene.view == "down_the_line":
        return 1.0
    return scene.distance_cm.value / (scene.distance_cm.value - SOLE_AHEAD_CM)


def _warn_of_ball(ball: FoundBall, scene: Scene, *, near: float) -> tuple[str, ...]:
    if not ball or scene.view == "down_the_line" or not math.isfinite(ball.diameter_px):
        return ()  # Down the line the head hides half of it, and its size was helped by the scale.
    looks_cm = ball.diameter_px / (near * scene.px_per_cm.value)
    if abs(looks_cm / BALL_CM - 1) <= BALL_MISFIT:
        return ()
    return (
        f"{VIEW_TITLES[scene.view]} the ball looks {looks_cm:.1f} cm wide, which should be {BALL_CM:.1f} cm; check the "
        "height and the other lengths that were typed, or give the ball's centre with --ball-at.",
    )
