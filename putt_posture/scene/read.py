"""The scene of each view of one lesson: scale, camera, ground, putter and ball."""

import math
from collections.abc import Mapping
from typing import Final

import numpy as np
from attrs import evolve

from putt_posture.body import SHOE_SOLE, predict, predict_joint_length
from putt_posture.errors import StudentNotFound
from putt_posture.scene.camera import assumed_yaw, find_distance, find_forward, warn_of_camera, warn_of_side
from putt_posture.scene.putter import (
    add_putter,
    find_no_putter,
    find_putter_scale,
    find_putters,
    find_shafts,
    say_without_putter,
)
from putt_posture.scene.roll import find_roll, given_roll, level_roll
from putt_posture.scene.scale import (
    CLICK_SD_PX,
    FRONT_RISE_SHARE,
    LEG_UPRIGHT,
    LEGS_ALONE_SHARE_SD,
    LEGS_SHARE_SD,
    TAPE_SHARE_SD,
    TRUNK_SHARE_SD,
    find_scale_from_body,
    find_scale_from_object,
    find_scale_from_rise,
    find_scale_from_trunk,
    leg_rise_px,
    trunk_rise_px,
    warn_of_scale,
)
from putt_posture.scene.seen import Seen
from putt_posture.scene.setup_check import check_body
from putt_posture.scene.target import find_target_yaw, join_yaws
from putt_posture.values import (
    Estimate,
    Landmarks,
    PictureFinds,
    Point,
    ScaleSource,
    Scene,
    Student,
    View,
)

__all__ = ["find_in_pictures", "look_for_roll", "read_roll", "read_scenes"]

GROUND_SD_CM: Final = 0.8
"""One sigma of the ground from heels and toes, or from ankles, cm (accuracy study)."""
GIVEN_GROUND_SD_CM: Final = 0.4
"""One sigma of the ground where a person marked it, without that of the click, cm: the shoe hides where a foot stands
(judged: half of that from heels and toes)."""
ANKLE_ALONG_FOOT: Final = 0.25
"""Place of the ankle along a shoe, from 0 at the heel to 1 at the toe: there the ground is the same in both views
(rendered golfers)."""

_TRUSTED: Final = ("object", "putter")

_Scales = dict[View, tuple[Estimate, ScaleSource]]


def read_scenes(seen: Mapping[View, Seen], student: Student) -> dict[View, Scene]:
    """Read the scene of each view; the view with the better scale lends it to the other.

    Parameters
    ----------
    seen : mapping of View to Seen
        One or two views of the same setup, in px.
    student : Student
        Body sizes, handedness and putter length as typed.

    Returns
    -------
    dict of View to Scene
        Each has a scale: where nothing better is given, from stature.

    Raises
    ------
    StudentNotFound
        Too little of the body is visible for a scale.
    """
    return find_in_pictures(seen, student)[0]


def find_in_pictures(
    seen: Mapping[View, Seen], student: Student, *, without_putter: bool = False
) -> tuple[dict[View, Scene], dict[View, PictureFinds]]:
    """Read the scene of each view, as `read_scenes` does, and return what was found in the pictures on the way.

    With the finds as `Seen.kept`, the scenes are the same without the pictures.

    Parameters
    ----------
    seen : mapping of View to Seen
        One or two views of the same setup, in px.
    student : Student
        Body sizes, handedness and putter length as typed.
    without_putter : bool
        Whether the clips were filmed without putter and ball. Neither is looked for then: a crease of the trousers or
        an edge of the floor could be taken for a shaft.

    Returns
    -------
    scenes : dict of View to Scene
        As `read_scenes` returns them.
    finds : dict of View to PictureFinds
        What was found in each picture, even where the coach gave it by hand.

    Raises
    ------
    StudentNotFound
        Too little of the body is visible for a scale.
    """
    found_roll = {view: look_for_roll(what) for view, what in seen.items()}
    rolls = {view: _used_roll(what, found_roll[view]) for view, what in seen.items()}

    def bare(scales: _Scales) -> dict[View, Scene]:
        return {view: _scene(what, *scales[view], rolls[view], student) for view, what in seen.items()}

    scenes = bare(_scales(seen, student))
    if without_putter:
        for view, what in seen.items():
            told = _warn_of_drawn_length(scenes[view], what, student)
            scenes[view] = say_without_putter(evolve(scenes[view], warnings=(*scenes[view].warnings, *told)))
        return scenes, {view: find_no_putter(what, found_roll[view]) for view, what in seen.items()}
    shafts = find_shafts(seen, scenes, student)
    putters = find_putters(seen, scenes, shafts)
    side = scenes.get("down_the_line")
    putter_scale, warning = find_putter_scale(putters.get("down_the_line"), side, student)
    if putter_scale is not None:
        scenes = bare(_scales(seen, student, putter_scale=putter_scale))
    if warning:
        scenes["down_the_line"] = evolve(scenes["down_the_line"], warnings=(*scenes["down_the_line"].warnings, warning))
    for view, what in seen.items():
        scenes[view] = evolve(
            scenes[view], warnings=(*scenes[view].warnings, *_warn_of_drawn_length(scenes[view], what, student))
        )
    finds = {}
    for view, what in seen.items():
        scenes[view], ball, ball_warnings = add_putter(scenes[view], what, putters.get(view), handed=student.handed)
        finds[view] = PictureFinds(
            resolution_px=what.resolution_px,
            roll=found_roll[view],
            shaft=shafts[view],
            butt_lent=what.kept is not None and what.kept.butt_lent,
            ball=ball,
            ball_warnings=ball_warnings,
        )
    return scenes, finds


def _scales(seen: Mapping[View, Seen], student: Student, *, putter_scale: Estimate | None = None) -> _Scales:
    """Return the best scale of each view; `putter_scale` is from a putter found down the line."""
    scales: _Scales = {}
    for view, what in seen.items():
        direct = _direct_scale(what, student)
        if direct is not None:
            scales[view] = direct
    if putter_scale is not None:
        scales.setdefault("down_the_line", (putter_scale, "putter"))
    if "down_the_line" in seen and "down_the_line" not in scales:
        lent = _lent_scale("down_the_line", seen, scales)
        scales["down_the_line"] = lent or (_side_scale(seen["down_the_line"], student), "stature")
    if "face_on" in seen and "face_on" not in scales:
        lent = _lent_scale("face_on", seen, scales)
        scales["face_on"] = lent or (_front_scale(seen["face_on"], student), "stature")
    return scales


def _direct_scale(what: Seen, student: Student) -> tuple[Estimate, ScaleSource] | None:
    given, view = what.given, what.landmarks.view
    if given.scale_object is not None:
        length, segment = given.scale_object
        scale = find_scale_from_object(segment, length_cm=length, view=view, what=f"an object of {length:g} cm")
        return scale, "object"
    if given.shaft_px is not None and student.putter_length_cm is not None and view == "down_the_line":
        scale = find_scale_from_object(
            given.shaft_px,
            length_cm=student.putter_length_cm,
            view=view,
            what="the putter's measured length",
            extra_share_sd=TAPE_SHARE_SD,
        )
        return scale, "putter"
    return None


def _warn_of_drawn_length(scene: Scene, what: Seen, student: Student) -> tuple[str, ...]:
    """Compare a known length that the coach drew with the stature; empty where the body gives no scale."""
    drawn = _direct_scale(what, student)
    if drawn is None:
        return ()
    length_cm = what.given.scale_object[0] if what.given.scale_object is not None else student.putter_length_cm
    try:
        stature = (_side_scale if scene.view == "down_the_line" else _front_scale)(what, student)
    except StudentNotFound:
        return ()
    if length_cm is None:
        return ()
    return warn_of_scale(*drawn, stature, view=scene.view, stature_cm=student.stature_cm, length_cm=length_cm)


def _lent_scale(
    view: View, seen: Mapping[View, Seen], scales: Mapping[View, tuple[Estimate, ScaleSource]]
) -> tuple[Estimate, ScaleSource] | None:
    """Return a scale by the other view's: the height of hips or shoulders is the same in both.

    None where the other view has no scale to lend; down the line it takes only one from a known length.
    """
    other: View = "face_on" if view == "down_the_line" else "down_the_line"
    if other not in seen or other not in scales:
        return None
    scale, source = scales[other]
    if view == "down_the_line" and source not in _TRUSTED:
        return None
    lower = FRONT_RISE_SHARE if view == "face_on" else 1 / FRONT_RISE_SHARE
    ways = (
        (leg_rise_px, "the hips' height", LEGS_SHARE_SD, lower),
        (trunk_rise_px, "the shoulders' height above the hips", TRUNK_SHARE_SD, 1.0),
    )
    for rise_px, what, missed, found in ways:
        rise, own = rise_px(seen[other].landmarks), rise_px(seen[view].landmarks)
        if not (np.isfinite(rise).any() and np.isfinite(own).any()):
            continue
        lent = find_scale_from_rise(
            seen[view].landmarks,
            own,
            rise_cm=found * float(np.nanmedian(rise)) / scale.value,
            share_sd=math.hypot(missed, scale.standard_uncertainty / scale.value),
            method=f"{what} in the other view, scaled {scale.method}",
        )
        return lent, "other_view"
    return None


def _side_scale(what: Seen, student: Student) -> Estimate:
    check_body(what.landmarks, file=what.file)
    total = _length("shoulder_height", student).value - _length("ankle_height", student).value
    if not np.isfinite(leg_rise_px(what.landmarks)).any():
        trunk = _length("trunk", student)
        return find_scale_from_trunk(
            what.landmarks,
            legs_and_trunk_cm=total,
            trunk_cm=trunk.value,
            share_sd=trunk.standard_uncertainty / trunk.value,
        )
    people = predict("acromial_height", student.stature_cm, student.sex, wrist_floor_cm=student.wrist_floor_cm)
    share = people.standard_uncertainty / total
    return find_scale_from_body(what.landmarks, legs_and_trunk_cm=total, share_sd=share)


def _front_scale(what: Seen, student: Student) -> Estimate:
    check_body(what.landmarks, file=what.file)
    rise = LEG_UPRIGHT * (_length("hip_height", student).value - _length("ankle_height", student).value)
    return find_scale_from_rise(
        what.landmarks,
        leg_rise_px(what.landmarks),
        rise_cm=rise,
        share_sd=LEGS_ALONE_SHARE_SD,
        method="the student's height through the legs alone",
    )


def read_roll(what: Seen) -> Estimate:
    """Return the camera's roll in one view, deg: given by the coach, or found in the picture.

    Parameters
    ----------
    what : Seen
        What the view shows and what was given.

    Returns
    -------
    Estimate
        Deg, + = content turned clockwise.
    """
    return _used_roll(what, look_for_roll(what))


def look_for_roll(what: Seen) -> Estimate:
    """Return the camera's roll as found in the picture of one view, deg, whatever the coach gave.

    Parameters
    ----------
    what : Seen
        What the view shows.

    Returns
    -------
    Estimate
        Deg, + = content turned clockwise; level with a wide uncertainty where no picture shows it.
    """
    view = what.landmarks.view
    if what.roll is not None:
        return what.roll
    if what.kept is not None:
        return what.kept.roll
    if what.picture is None:
        return level_roll(view=view)
    return find_roll(what.picture, view=view, ignore_px=_student_box(what.landmarks))


def _used_roll(what: Seen, found: Estimate) -> Estimate:
    given = what.given.roll_deg
    return found if given is None else given_roll(given, view=what.landmarks.view)


def _scene(what: Seen, scale: Estimate, source: ScaleSource, roll: Estimate, student: Student) -> Scene:
    """Return the scene without putter and ball."""
    landmarks, given = what.landmarks, what.given
    view = landmarks.view
    forward = find_forward(landmarks, student)
    if given.ground_px is None:
        ground = _ground(landmarks, scale, student)
    else:
        ground = _given_ground(given.ground_px, landmarks, scale, roll)
    distance = find_distance(landmarks, px_per_cm=scale.value, given_cm=given.distance_cm)
    yaw = what.yaw or assumed_yaw(view)
    if given.target_px is not None:
        level = Scene(
            view=view,
            px_per_cm=scale,
            scale_source=source,
            roll=roll,
            yaw=yaw,
            forward=forward,
            ground_v_px=ground,
            distance_cm=distance,
        )
        yaw = join_yaws(find_target_yaw(given.target_px, level, landmarks.size_px), yaw)
    warnings = warn_of_side(landmarks, student, forward=forward) + warn_of_camera(
        landmarks,
        px_per_cm=scale.value,
        stature_cm=student.stature_cm,
        ground_v_px=ground.value,
        distance=distance,
        yaw=yaw,
    )
    return Scene(
        view=view,
        px_per_cm=scale,
        scale_source=source,
        roll=roll,
        yaw=yaw,
        forward=forward,
        ground_v_px=ground,
        distance_cm=distance,
        given=given.names(),
        warnings=warnings,
    )


def _ground(landmarks: Landmarks, scale: Estimate, student: Student) -> Estimate:
    heels, toes = (landmarks.middle(part)[:, 1] for part in ("heel", "foot_index"))
    ground = heels + ANKLE_ALONG_FOOT * (toes - heels)
    seen, below, method = ground[np.isfinite(ground)], 0.0, "heel and toe of the shoes"
    if seen.size == 0:
        ankles = landmarks.middle("ankle")[:, 1]
        seen = ankles[np.isfinite(ankles)]
        below = (_length("ankle_height", student).value + SHOE_SOLE.value) * scale.value
        method = "ankle height and shoe below the ankle joints"
    where = float(np.median(seen)) if seen.size else float(landmarks.size_px[1])
    return Estimate(
        value=where + below,
        standard_uncertainty=GROUND_SD_CM * scale.value,
        unit="px",
        view=landmarks.view,
        frames=seen.size,
        method=method,
    )


def _given_ground(point_px: Point, landmarks: Landmarks, scale: Estimate, roll: Estimate) -> Estimate:
    """Return v of the ground under the feet, px, from a marked point of the ground beside them and the camera roll."""
    feet = np.concatenate([landmarks.middle(part)[:, 0] for part in ("heel", "foot_index", "ankle")])
    seen = feet[np.isfinite(feet)]
    across = float(np.median(seen)) - point_px[0] if seen.size else 0.0
    return Estimate(
        value=point_px[1] + across * math.tan(math.radians(roll.value)),
        standard_uncertainty=math.hypot(CLICK_SD_PX, GIVEN_GROUND_SD_CM * scale.value),
        unit="px",
        view=landmarks.view,
        frames=1,
        method="given",
    )


def _length(name: str, student: Student) -> Estimate:
    return predict_joint_length(name, student.stature_cm, student.sex, wrist_floor_cm=student.wrist_floor_cm)


def _student_box(landmarks: Landmarks) -> tuple[float, float, float, float]:
    u, v = landmarks.points_px[..., 0], landmarks.points_px[..., 1]
    margin = 0.15 * (float(np.nanmax(v)) - float(np.nanmin(v)))
    return (
        float(np.nanmin(u)) - margin,
        float(np.nanmin(v)) - margin,
        float(np.nanmax(u)) + margin,
        float(np.nanmax(v)) + margin,
    )
