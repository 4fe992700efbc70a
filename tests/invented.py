"""A lesson about an invented student.

Nothing is measured here: the numbers of the measures follow from the joints by arithmetic written down once more, so
that what is drawn and what is printed belong together.
"""

import math
from datetime import date
from pathlib import Path

import numpy as np
from attrs import evolve
from invented_golfer import (
    DROP,
    FLEX,
    GROUND_V,
    LIE,
    PX_PER_CM,
    SIZE,
    TILT,
    front_joints,
    front_parts,
    picture_and_mask,
    px,
    side_joints,
    side_parts,
    side_shaft,
)

from putt_posture.findings import find_findings, find_steps, make_plan
from putt_posture.measures import MEASURES
from putt_posture.values import (
    LANDMARK_INDEX,
    Clip,
    Estimate,
    Evidence,
    Fit,
    Frame,
    Landmarks,
    Lesson,
    Posture,
    Scene,
    Setup,
    Student,
    ViewResult,
    absent,
)

MADE_ON = date(2026, 5, 17)


def _landmarks(
    view: str, points: dict[str, tuple[float, float]], mask: np.ndarray, times: tuple[float, ...]
) -> Landmarks:
    frames = len(times)
    places = np.full((frames, 33, 2), np.nan)
    for name, point in points.items():
        places[:, LANDMARK_INDEX[name]] = point
    rows, columns = np.nonzero(mask)
    box = (int(columns.min()), int(rows.min()), int(columns.max()) + 1, int(rows.max()) + 1)
    cut = mask[box[1] : box[3], box[0] : box[2]]
    return Landmarks(
        view=view,
        times_s=np.array(times),
        setup_index=np.zeros(frames, dtype=np.int64),
        points_px=places,
        visibility=np.where(np.isnan(places[..., 0]), 0.0, 0.9),
        depth=np.zeros((frames, 33)),
        masks=np.repeat(cut[None], frames, axis=0),
        mask_box_px=box,
        size_px=SIZE,
        model="pose model, large",
    )


def _clip(view: str, name: str) -> Clip:
    return Clip(
        path=Path("/clips") / name,
        sha256="ab12" * 16,
        view=view,
        kind="video",
        width=SIZE[0],
        height=SIZE[1],
        duration_s=9.8,
        rate_hz=59.94,
        codec="h264",
        pixel_format="yuv420p",
        rotation_deg=90,
    )


def _scene(view: str, forward: int, roll_deg: float) -> Scene:
    return Scene(
        view=view,
        px_per_cm=Estimate(value=PX_PER_CM, standard_uncertainty=0.13, unit="px/cm", view=view, method="stature"),
        scale_source="stature",
        roll=Estimate(value=roll_deg, standard_uncertainty=0.8, unit="deg", view=view, method="verticals"),
        yaw=Estimate(value=1.0, standard_uncertainty=2.5, unit="deg", view=view, method="invented"),
        forward=forward,
        ground_v_px=Estimate(value=GROUND_V, standard_uncertainty=6, unit="px", view=view),
        distance_cm=Estimate(value=350, standard_uncertainty=40, unit="cm", view=view, method="usual field of view"),
        warnings=("The camera stands lower than the hips, so angles near the ground are less sure.",)
        if view == "face_on"
        else (),
    )


MADE_ON = date(2026, 5, 17)

SETUP = Setup(
    moment_s=2.4,
    times_s=(2.3, 2.4, 2.5),
    window_s=(1.9, 3.1),
    stroke_s=(3.3, 4.4),
    reason="The longest quiet stretch before the stroke at 3.3 s.",
)


def _side_view(forward: int, roll_deg: float) -> tuple[ViewResult, dict]:
    j = side_joints()
    p = {name: px(*point, forward) for name, point in j.items()}
    butt, sole = side_shaft()
    picture, mask = picture_and_mask(side_parts(), forward, butt, sole)
    side = "right" if forward > 0 else "left"
    named = {f"{side}_{n}": p[n] for n in ("shoulder", "elbow", "wrist", "hip", "knee", "ankle", "heel", "ear")}
    marks = _landmarks(
        "down_the_line", named | {f"{side}_foot_index": p["toe"], "nose": p["nose"]}, mask, SETUP.times_s
    )
    spine = j["shoulder"] - j["hip"]
    normal = np.array([-spine[1], spine[0]]) / np.linalg.norm(spine)
    back = [
        px(*(j["hip"] + t * spine + normal * (12 + 3 * math.sin(math.pi * t))), forward) for t in np.linspace(0, 1, 9)
    ]
    mass = np.array([6.0, 92.0])
    result = ViewResult(
        clip=_clip("down_the_line", "side.mov"),
        setups=(SETUP,),
        landmarks=marks,
        scene=_scene("down_the_line", forward, roll_deg),
        still=Frame(time_s=2.4, picture=picture),
        still_index=1,
    )
    along = spine / np.linalg.norm(spine)
    front = j["elbow"] + 2.2 * np.array([along[1], -along[0]])  # the elbow is 2.2 cm behind the front of the ribs
    depth = (j["elbow"], front, front - 9 * along, front + 9 * along)
    return result, {
        "spine": (p["hip"], p["shoulder"]),
        "head": (p["shoulder"], p["ear"]),
        "near_leg": (p["hip"], p["knee"], p["ankle"]),
        "near_arm": (p["shoulder"], p["elbow"], p["wrist"]),
        "hands": (p["hands"],),
        "eyes": (p["eyes"],),
        "foot": (p["heel"], p["toe"]),
        "balance": (px(*mass, forward), px(mass[0], 0.0, forward)),
        "back": tuple(back),
        "back_tangents": (back[0], back[2], back[8], back[6]),
        "elbow_depth": tuple(px(*point, forward) for point in depth),
        "ground": (px(-40, 0, forward), px(60, 0, forward)),
        "shaft": (px(*butt, forward), px(*sole, forward)),
        "ball": (p["ball"],),
    }


def _front_view(forward: int) -> tuple[ViewResult, dict]:
    j = front_joints()
    p = {name: px(*point, forward) for name, point in j.items()}
    butt, sole = j["hands"] + (2.0, 12.0), np.array([-0.5, 0.8])
    picture, mask = picture_and_mask(front_parts(), forward, butt, sole)
    sides = {"lead": "left", "trail": "right"} if forward > 0 else {"lead": "right", "trail": "left"}
    named = {f"{sides[n.split('_')[0]]}_{n.split('_')[1]}": q for n, q in p.items() if "_" in n}
    marks = _landmarks("face_on", named, mask, SETUP.times_s)
    result = ViewResult(
        clip=_clip("face_on", "front.mov"),
        setups=(SETUP,),
        landmarks=marks,
        scene=_scene("face_on", forward, 0.0),
        still=Frame(time_s=2.4, picture=picture),
        still_index=1,
    )
    middle = {
        n: ((p[f"trail_{n}"][0] + p[f"lead_{n}"][0]) / 2, (p[f"trail_{n}"][1] + p[f"lead_{n}"][1]) / 2)
        for n in ("hip", "shoulder")
    }
    gaps = {
        f"elbow_gap_{s}": (
            px(j[f"{s}_elbow"][0] - k * 3.4, j[f"{s}_elbow"][1], forward),
            px(k * 14.5 - 1.5, j[f"{s}_elbow"][1] + 1, forward),
        )
        for s, k in (("lead", 1), ("trail", -1))
    }
    mass = np.array([-1.0, 90.0])
    return result, gaps | {
        "spine": (middle["hip"], middle["shoulder"]),
        "shoulders": (p["trail_shoulder"], p["lead_shoulder"]),
        "hips": (p["trail_hip"], p["lead_hip"]),
        "ankles": (p["trail_ankle"], p["lead_ankle"]),
        **{
            f"{s}_{part}": tuple(p[f"{s}_{n}"] for n in names)
            for s in ("lead", "trail")
            for part, names in (("arm", ("shoulder", "elbow", "wrist")), ("leg", ("hip", "knee", "ankle")))
        },
        "hands": (p["hands"],),
        "eyes": (p["eyes"],),
        "balance": (px(*mass, forward), px(mass[0], 0.0, forward)),
        "ground": (px(-50, 0, forward), px(50, 0, forward)),
        "shaft": (px(*butt, forward), px(*sole, forward)),
        "ball": (p["ball"],),
    }


def _estimates(views: tuple[str, ...], widen: float) -> dict:
    j, f = side_joints(), front_joints()
    lean = math.degrees(math.atan2(f["lead_shoulder"][1] - f["trail_shoulder"][1], 36.0))
    values = {
        "spine_tilt": (TILT, 2.1),
        "back_rounding": (17.3, 3.4),
        "head_drop": (DROP, 3.0),
        "knee_flex": (FLEX + 4, 2.6),
        "elbow_bend_lead": (24.6, 4.0),
        "elbow_bend_trail": (23.0, 3.5),
        "hand_offset": (j["hands"][0] - j["shoulder"][0], 1.4),
        "hand_height": (j["hands"][1], 1.6),
        "elbow_gap_lead": (2.1, 1.5),
        "elbow_gap_trail": (3.6, 1.1),
        "elbow_depth": (-2.2, 1.9),
        "eye_offset": (j["eyes"][0] - j["ball"][0], 1.8),
        "ball_distance": (40.0, 1.7),
        "balance": (46.2, 4.0),
        "shaft_lie": (LIE, 1.3),
        "putter_length": None,
        "stance_width": (32.0, 1.1),
        "ball_position": (4.0, 1.2),
        "shoulder_level": (lean, 1.2),
        "side_bend": (2.4, 1.6),
        "head_position": (-8.0, 1.9),
        "shaft_lean": (4.1, 1.5),
        "sideways_balance": (46.9, 3.2),
    }
    found = {}
    for name, measure in MEASURES.items():
        unit, possible = measure.unit, measure.views
        view = next((each for each in possible if each in views), None)
        if "elbow_gap" in name and "face_on" in views:
            view = "face_on"
        if view is None or values.get(name) is None:
            reason = "The butt end of the grip is not seen." if view else "There is no clip of the view that it needs."
            found[name] = absent(reason, unit=unit)
        else:
            value, sigma = values[name]
            found[name] = Estimate(
                value=value,
                standard_uncertainty=sigma * widen,
                unit=unit,
                view=view,
                frames=3,
                method="landmarks",
                floor=0.0 if "gap" in name else None,
            )
    return found


def make_fit(widen: float = 1.0) -> Fit:
    """Return a length suggestion from two made-up ways."""

    def length(value: float, sigma: float) -> Estimate:
        return Estimate(
            value=value, standard_uncertainty=sigma * widen, unit="cm", frames=3, method="hand height and lie"
        )

    return Fit(
        putter_length=length(86.4, 1.5),
        stock_length_in=34.0,
        lie=Estimate(value=70.6, standard_uncertainty=1.3, unit="deg", frames=3, method="shaft"),
        evidence=(
            Evidence(
                name="measured_setup",
                title="At this setup",
                length=length(87.2, 1.9),
                says="From the height of the hands and the lie of the shaft as filmed.",
            ),
            Evidence(
                name="moved_setup",
                title="With the hands under the shoulders",
                length=length(85.1, 2.6),
                says="The same student with the hands hanging straight under the shoulders.",
            ),
        ),
        assumptions=("The grip ends 8 cm above the middle of the hands.", "The ground is level under feet and ball."),
    )


def advise(lesson: Lesson) -> Lesson:
    """Return the lesson with what to do first, the steps and the plan, by the shipped values."""
    measured = lesson.posture, lesson.fit, lesson.student
    findings = find_findings(*measured)
    return evolve(lesson, findings=findings, steps=find_steps(*measured), plan=make_plan(findings))


def make_lesson(
    *,
    name: str | None = "Robin Example",
    views: tuple[str, ...] = ("down_the_line", "face_on"),
    handed: str = "right",
    widen: float = 1.0,
    roll_deg: float = 0.0,
    fit: Fit | None = None,
) -> Lesson:
    """Return a lesson about the invented student.

    `widen` multiplies every standard uncertainty; `roll_deg` is what the scene says of the camera down the line.
    """
    forward = 1 if handed == "right" else -1
    built = {"down_the_line": lambda: _side_view(forward, roll_deg), "face_on": lambda: _front_view(forward)}
    results = {view: built[view]() for view in views}
    posture = Posture(estimates=_estimates(views, widen), marks={view: marks for view, (_, marks) in results.items()})
    return Lesson(
        student=Student(stature_cm=178.0, handed=handed, name=name, sex="female", wrist_floor_cm=85.5),
        views={view: result for view, (result, _) in results.items()},
        posture=posture,
        fit=fit or make_fit(widen),
        warnings=("The camera stands lower than the hips, so angles near the ground are less sure.",),
        versions={"putt_posture": "0.1.0", "numpy": "2.4.6", "pose model, large": "sha256 1234abcd"},
    )
