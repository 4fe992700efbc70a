"""What cannot be the view or the setup that it is given for is refused in one sentence."""

import numpy as np
import pytest
from attrs import evolve
from hypothesis import given
from hypothesis import strategies as st
from stick_golfer import SIZE, Camera, Golfer, see, student_of

from putt_posture.errors import SetupNotFound, StudentNotFound, WrongView
from putt_posture.scene import Seen, check_setup, read_scenes
from putt_posture.scene.setup_check import MISFIT_REFUSED
from putt_posture.values import LANDMARK_INDEX, Given, Landmarks, Scene, View

BLANK = np.full((SIZE[1], SIZE[0], 3), 128, dtype=np.uint8)
GOLFER = Golfer()


def read(landmarks: Landmarks, **given_by_coach: object) -> Scene:
    given_all = Given(**given_by_coach)  # type: ignore[arg-type]
    seen = Seen(landmarks=landmarks, picture=BLANK, given=given_all, file="clip.mp4")
    check_setup(landmarks, handed="right", misfit=1.0, file="clip.mp4")
    return read_scenes({landmarks.view: seen}, student_of(GOLFER))[landmarks.view]


def without(landmarks: Landmarks, *parts: str) -> Landmarks:
    points = landmarks.points_px.copy()
    points[:, [LANDMARK_INDEX[f"{side}_{part}"] for side in ("left", "right") for part in parts]] = np.nan
    return evolve(landmarks, points_px=points)


@pytest.mark.parametrize(
    ("view", "hidden", "named"),
    [
        ("down_the_line", ("hip",), "hips"),
        ("down_the_line", ("shoulder",), "shoulders"),
        ("face_on", ("hip",), "hips"),
        ("face_on", ("ankle", "heel", "foot_index"), "feet"),
    ],
)
def test_a_view_without_a_scale_is_refused_by_name_of_what_is_missing(view, hidden, named):
    landmarks = without(see(GOLFER, Camera(view=view)), *hidden)
    with pytest.raises(StudentNotFound, match=rf"^clip\.mp4: the {named} are not in the picture"):
        read(landmarks)


def test_down_the_line_the_trunk_gives_a_scale_where_the_feet_are_hidden():
    whole = see(GOLFER, Camera())
    with_feet, without_feet = read(whole), read(without(whole, "ankle", "heel", "foot_index"))
    assert "trunk alone" in without_feet.px_per_cm.method
    apart = abs(without_feet.px_per_cm.value / with_feet.px_per_cm.value - 1)
    share = without_feet.px_per_cm.standard_uncertainty / without_feet.px_per_cm.value
    assert apart < 2 * share
    assert share > 2 * with_feet.px_per_cm.standard_uncertainty / with_feet.px_per_cm.value
    assert without_feet.ground_v_px.frames == 0


def test_face_on_the_other_view_lends_the_trunk_where_the_feet_are_hidden():
    side, front = see(GOLFER, Camera()), see(GOLFER, Camera(view="face_on"))
    seen = {
        each.view: Seen(landmarks=each, picture=BLANK, given=Given(), file="clip.mp4")
        for each in (side, without(front, "ankle", "heel", "foot_index"))
    }
    scene = read_scenes(seen, student_of(GOLFER))["face_on"]
    assert scene.scale_source == "other_view"
    assert scene.px_per_cm.value == pytest.approx(3.75, abs=2 * scene.px_per_cm.standard_uncertainty)
    assert scene.px_per_cm.standard_uncertainty > 0.07 * scene.px_per_cm.value


def test_a_known_length_gives_the_scale_that_hidden_feet_do_not():
    landmarks = without(see(GOLFER, Camera()), "ankle", "heel", "foot_index")
    scene = read(landmarks, scale_object=(100.0, ((100.0, 900.0), (475.0, 900.0))))
    assert scene.px_per_cm.value == pytest.approx(3.75)
    assert scene.ground_v_px.frames == 0
    assert any("feet are cut off or hidden" in warning for warning in scene.warnings)


@pytest.mark.parametrize(
    ("asked", "filmed", "instead"),
    [("face_on", "down_the_line", "--down-the-line"), ("down_the_line", "face_on", "--face-on")],
)
def test_a_clip_of_the_other_view_is_refused_and_sent_there(asked, filmed, instead):
    landmarks = evolve(see(GOLFER, Camera(view=filmed)), view=asked)
    with pytest.raises(WrongView, match=rf"^clip\.mp4: .*{instead}"):
        read(landmarks)


@given(
    view=st.sampled_from(["down_the_line", "face_on"]),
    yaw=st.floats(-25, 25),
    tilt=st.floats(10, 55),
    knee=st.floats(2, 40),
    height=st.floats(60, 85),
)
def test_a_setup_filmed_somewhat_off_square_is_not_refused(view: View, yaw, tilt, knee, height):
    golfer = Golfer(tilt_deg=tilt, knee_flex_deg=knee, hand_height_cm=height)
    assert read(see(golfer, Camera(view=view, yaw_deg=yaw))).view == view


@pytest.mark.parametrize("view", ["down_the_line", "face_on"])
def test_landmarks_that_fit_no_golfer_are_refused_and_the_pose_is_named_not_the_light(view):
    landmarks = see(GOLFER, Camera(view=view))
    check_setup(landmarks, handed="right", misfit=MISFIT_REFUSED, file="clip.mp4")
    with pytest.raises(SetupNotFound, match=r"^clip\.mp4: this is not a putting address: .*--setup-at") as refused:
        check_setup(landmarks, handed="right", misfit=MISFIT_REFUSED + 0.01, file="clip.mp4")
    assert "light" not in str(refused.value)


@pytest.mark.parametrize("view", ["down_the_line", "face_on"])
def test_what_the_hands_show_is_said_rather_than_how_well_the_body_fits(view):
    points = see(GOLFER, Camera(view=view)).points_px.copy()
    up = [LANDMARK_INDEX[f"{side}_wrist"] for side in ("left", "right")]
    points[:, up, 1] -= 260.0
    with pytest.raises(SetupNotFound, match=r"this is not a putting address: .*hands") as refused:
        check_setup(evolve(see(GOLFER, Camera(view=view)), points_px=points), handed="right", misfit=9.0, file="a.mp4")
    assert "misfit" not in str(refused.value)
