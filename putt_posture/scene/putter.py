"""Putter and ball of a lesson: found in each view where the coach gave none, and joined over the views."""

import math
from collections.abc import Mapping
from typing import Final

from attrs import evolve, frozen

from putt_posture.body import find_grip_distance
from putt_posture.figures import format_length
from putt_posture.scene.agreement import differ
from putt_posture.scene.ball import BALL_CM
from putt_posture.scene.ball_side import find_ball_by_hand, warn_of_ball_side
from putt_posture.scene.butt_from_other_view import find_butt_from_other_view
from putt_posture.scene.scale import PLANE_SHARE_SD, TAPE_SHARE_SD
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
    "find_no_putter",
    "find_putter_scale",
    "find_putters",
    "find_shafts",
    "say_without_putter",
]

BALL_MISFIT: Final = 0.25
_NOT_LOOKED_FOR: Final = "it was not looked for while the picture was there"
_NO_PUTTER: Final = "the clip was filmed without a putter"


@frozen(kw_only=True, eq=False)
class Putter:
    """What was found of the putter in one view, and where its butt end is known from."""

    shaft: FoundShaft
    butt_source: ButtSource


def find_shafts(seen: Mapping[View, Seen], scenes: Mapping[View, Scene], student: Student) -> dict[View, FoundShaft]:
    """Find the shaft in every picture, each by itself; what was found in a picture before is taken from there.

    Parameters
    ----------
    seen : mapping of View to Seen
    scenes : mapping of View to Scene
        Without putter and ball.
    student : Student
        For where hands usually sit on the grip.
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
    scenes : mapping of View to Scene
        Without putter and ball.
    shafts : mapping of View to FoundShaft
        By each picture alone.
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
        As found down the line.
    scene : Scene or None
        Of that view; where it is not scaled from stature, its scale is kept.
    student : Student

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
    what : Seen
    putter : Putter or None
        None where the coach gave the shaft.
    handed : Handed
        As typed; the ball's side is held against it.

    Returns
    -------
    scene : Scene
    ball : FoundBall or None
        As found in the picture, even where the coach gave one; None where it was not looked for.
    warnings : tuple of str
        Sentences on the side of the head that the found ball lies on.
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
    near = _nearness(changed)
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
    """
    return evolve(scene, without_putter=True, shaft_why_not=_NO_PUTTER, ball_why_not=_NO_PUTTER)


def find_no_putter(what: Seen, roll: Estimate) -> PictureFinds:
    """Return what there is to find in a picture without putter and ball.

    Parameters
    ----------
    what : Seen
    roll : Estimate
        Camera roll as the picture tells it, deg.
    """
    return PictureFinds(resolution_px=what.resolution_px, roll=roll, shaft=FoundShaft(why_not=_NO_PUTTER))


def _find_ball(scene: Scene, what: Seen, *, near: float, handed: Handed) -> tuple[FoundBall | None, tuple[str, ...]]:
    """Return the ball in the picture and sentences on its side; None where no shaft or no picture is there."""
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


def _nearness(scene: Scene) -> float:
    """Return how much larger than at the feet things look at the putter's head."""
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
