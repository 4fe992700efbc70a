"""Every measure responds to each landmark and each point of the outline that it is told from, in that frame alone.

Each frame of a stick golfer is a setup of its own, so that `repeats` holds the measures frame by frame.
"""

from functools import cache

import numpy as np
import pytest
from attrs import evolve
from stick_golfer import Camera, Golfer, result_of, student_of

from putt_posture.body import CENTRE_OF_MASS_POINTS
from putt_posture.measures import measure_posture
from putt_posture.posture.back import BackOutline, back_rounding
from putt_posture.posture.elbows import elbow_depth, elbow_gap, place_arm
from putt_posture.posture.plane import Plane, place_in_plane
from putt_posture.posture.side_outline import FrontOutline, SideOutline
from putt_posture.posture.trunk_shape import shape_trunk
from putt_posture.values import HAND_POINTS, LANDMARK_INDEX, LANDMARK_NAMES, MeasureName, View, ViewResult

FRAMES = 3
MOVED = 1
MOVE_PX = 12.0
"""4 cm at the stick golfer's scale."""
ASLANT_PX = (MOVE_PX, 0.75 * MOVE_PX)
"""A move across and down at once, along no line of the golfer, so that it turns each angle and changes each length."""
TELLS = 0.02
"""A measure responds where it changes by more than this, deg, cm or %."""
SAME = 1e-9

_SIDES = ("left", "right")


def both(*parts: str) -> set[str]:
    return {f"{side}_{part}" for side in _SIDES for part in parts}


TRUNK, HANDS = both("hip", "shoulder"), both(*HAND_POINTS)
TOLD_BY: dict[MeasureName, dict[View, set[str]]] = {
    "spine_tilt": {"down_the_line": TRUNK},
    "head_drop": {"down_the_line": TRUNK | both("ear")},
    "knee_flex": {"down_the_line": {"right_hip", "right_knee", "right_ankle"}},
    "hand_offset": {"down_the_line": HANDS | both("shoulder")},
    "hand_height": {"down_the_line": HANDS},
    "balance": {"down_the_line": set(CENTRE_OF_MASS_POINTS)},
    "eye_offset": {"down_the_line": both("eye")},
    "ball_distance": {"down_the_line": both("foot_index")},
    "elbow_depth": {"down_the_line": TRUNK | {"right_elbow"}},
    "stance_width": {"face_on": both("ankle")},
    "shoulder_level": {"face_on": both("shoulder")},
    "side_bend": {"face_on": TRUNK},
    "ball_position": {"face_on": both("ankle")},
    "head_position": {"face_on": both("eye")},
    "sideways_balance": {"face_on": set(CENTRE_OF_MASS_POINTS)},
    "elbow_bend_lead": {
        "face_on": {"left_shoulder", "left_elbow", "left_wrist"},
        "down_the_line": both("shoulder", "elbow", "wrist"),
    },
    "elbow_bend_trail": {
        "face_on": {"right_shoulder", "right_elbow", "right_wrist"},
        "down_the_line": both("shoulder", "elbow", "wrist"),
    },
    "elbow_gap_lead": {
        "face_on": TRUNK | {"left_elbow"},
        "down_the_line": TRUNK | {"left_elbow"},
    },
    "elbow_gap_trail": {
        "face_on": TRUNK | {"right_elbow"},
        "down_the_line": TRUNK | {"right_elbow"},
    },
}
"""By view, for a right-hander, whose right side is toward the camera down the line. The shaft's measures are told from
the shaft alone, the rounding from the outline; see below."""


@cache
def views() -> dict[View, ViewResult]:
    golfer = Golfer()
    made: dict[View, ViewResult] = {}
    for view in ("down_the_line", "face_on"):
        camera = Camera(view=view)
        ball = camera.project(np.array([3.0, 40.0, 2.1]))
        made[view] = by_frame(result_of(golfer, camera, ball_px=(float(ball[0]), float(ball[1]))))
    return made


def by_frame(result: ViewResult) -> ViewResult:
    """Return the view with each frame as a setup of its own.

    The frames are alike, so that what is told from all of them, such as how far a joint lies out of the plane for the
    perspective, does not change when one does.
    """
    seen = evolve(result.landmarks, setup_index=np.arange(FRAMES, dtype=np.int64))
    return evolve(result, landmarks=seen, joints=seen)


def moved(result: ViewResult, name: str, by: tuple[float, float]) -> ViewResult:
    points = result.joints.points_px.copy()
    points[MOVED, LANDMARK_INDEX[name]] += by
    seen = evolve(result.joints, points_px=points)
    return evolve(result, landmarks=seen, joints=seen)


@cache
def repeats(view: View | None = None, name: str = "", by: tuple[float, float] = (0.0, 0.0)) -> dict[str, np.ndarray]:
    """Return each measure frame by frame; infinity where the frame that was changed no longer tells it."""
    seen = views() if view is None else views() | {view: moved(views()[view], name, by)}
    posture = measure_posture(seen, student_of(Golfer()))
    told = {each: np.array(posture[each].repeats) for each in TOLD_BY}
    return {each: np.insert(values, MOVED, np.inf) if values.size < FRAMES else values for each, values in told.items()}


@pytest.mark.parametrize("view", ["down_the_line", "face_on"])
@pytest.mark.parametrize("name", LANDMARK_NAMES)
def test_each_landmark_moves_the_measures_that_use_it_in_its_frame_alone(view, name) -> None:
    before = repeats()
    after = repeats(view, name, ASLANT_PX)
    for measure, told_by in TOLD_BY.items():
        changes = np.abs(after[measure] - before[measure])
        others = np.delete(changes, MOVED)
        assert others.max() < TELLS, (measure, others)
        if name in told_by.get(view, set()):
            assert changes[MOVED] > TELLS, (measure, changes)
        else:
            assert changes[MOVED] < TELLS, (measure, changes)


STATIONS = np.linspace(-0.1, 1.4, 121)


def side_plane() -> Plane:
    return place_in_plane(views()["down_the_line"], toward_cm={})


def outlines(moved_back: int | None = None, moved_front: slice | None = None) -> list[SideOutline]:
    """Return a round back and a flat front about the stick golfer's spine line; points of one frame may be moved."""
    joints = views()["down_the_line"].joints
    made = []
    for frame in range(FRAMES):
        hip, shoulder = joints.middle("hip")[frame], joints.middle("shoulder")[frame]
        spine = shoulder - hip
        rear = np.array([spine[1], -spine[0]]) / np.hypot(*spine)
        behind = 0.24 - 0.25 * (STATIONS - 0.6) ** 2
        ahead = np.full(STATIONS.size, 0.18)
        if frame == MOVED and moved_back is not None:
            behind[moved_back] += 0.01
        if frame == MOVED and moved_front is not None:
            ahead[moved_front] -= 0.05
        back = BackOutline(
            hip_px=hip,
            shoulder_px=shoulder,
            rear=rear,
            stations=STATIONS,
            behind=behind,
            edge_px=hip + STATIONS[:, None] * spine + behind[:, None] * np.hypot(*spine) * rear,
        )
        made.append(SideOutline(back=back, front=FrontOutline(stations=STATIONS, ahead=ahead)))
    return made


def rounding(plane: Plane, made: list[SideOutline]) -> np.ndarray:
    return back_rounding(plane, outlines=[outline.back for outline in made])


@pytest.mark.parametrize("station", [0.15, 0.3, 0.45, 0.6, 0.75, 0.9, 1.05, 1.2])
def test_each_point_of_the_back_moves_the_rounding_of_its_frame_alone(station) -> None:
    point = int(np.argmin(np.abs(STATIONS - station)))
    changes = np.abs(rounding(side_plane(), outlines(moved_back=point)) - rounding(side_plane(), outlines()))
    assert changes[MOVED] > 1e-4  # one point of 80, taken for a fold
    assert np.delete(changes, MOVED).max() < SAME


@pytest.mark.parametrize("name", sorted(TRUNK))
def test_hips_and_shoulders_move_the_rounding_of_their_frame_alone(name) -> None:
    told_from = outlines()
    changed = place_in_plane(moved(views()["down_the_line"], name, (MOVE_PX, 0.0)), toward_cm={})
    changes = np.abs(rounding(changed, told_from) - rounding(side_plane(), told_from))
    assert changes[MOVED] > TELLS
    assert np.delete(changes, MOVED).max() < SAME


def test_the_rounding_hears_of_joint_errors_and_of_the_landmarks_as_seen() -> None:
    plane, told_from = side_plane(), outlines()
    errors = np.zeros((2, len(LANDMARK_NAMES), 2))
    for side in _SIDES:
        errors[:, LANDMARK_INDEX[f"{side}_hip"]] = ((MOVE_PX, 0.0), (-MOVE_PX, 0.0))
    more, less = rounding(plane.misplaced(errors), told_from).reshape(2, FRAMES)
    assert np.abs(more - less).min() > TELLS
    seen = evolve(plane, seen_px=plane.points_px + errors[0])
    np.testing.assert_allclose(rounding(seen.as_seen(), told_from), more)


@pytest.mark.parametrize("turn_deg", [-10.0, 10.0])
def test_the_rounding_does_not_change_when_picture_and_camera_are_turned_or_enlarged(turn_deg) -> None:
    plane, told_from = side_plane(), outlines()
    same = rounding(plane.shifted(roll_deg=turn_deg, scale=0.1, ground_px=20.0), told_from)
    np.testing.assert_allclose(same, rounding(plane, told_from), atol=0.02)
    assert np.abs(rounding(plane.shifted(yaw_deg=turn_deg), told_from) - rounding(plane, told_from)).min() > TELLS


@pytest.mark.parametrize("measure", ["elbow_depth", "elbow_gap"])
def test_the_outline_of_the_front_moves_the_elbows_of_its_frame_alone(measure) -> None:
    student = student_of(Golfer())
    plane = side_plane()
    front = place_in_plane(views()["face_on"], toward_cm={})
    arm = place_arm(plane, side="right")
    assert arm is not None
    stretches = [slice(first, first + 9) for first in range(*np.searchsorted(STATIONS, (0.1, 0.9)), 3)]
    told = []  # the median of seven neighbours counts, so that a crease does not
    for made in (outlines(), *(outlines(moved_front=stretch) for stretch in stretches)):
        shape = shape_trunk(student, made, px_per_cm=plane.px_per_cm)
        if measure == "elbow_depth":
            told.append(elbow_depth(plane, side="right", shape=shape))
        else:
            told.append(elbow_gap(front, side="right", shape=shape, arm=arm))
    changes = np.abs(np.array(told[1:]) - told[0])
    assert changes[:, MOVED].max() > TELLS
    assert np.delete(changes, MOVED, axis=1).max() < SAME
