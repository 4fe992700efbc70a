import numpy as np
import pytest
from drawn_people import bystander, draw_person, golfer_at_address, table_of

from putt_posture.errors import ClipError, StudentNotFound
from putt_posture.landmarks.suitability import LEAST_TRUNK_PX, check_student
from putt_posture.values import LANDMARK_INDEX

SIZE = (1080, 1920)


def check(person, *, view="down_the_line", looks=9, unseen=0, size=SIZE):
    points, visibility, depth = table_of([person] * looks)
    points[:unseen] = np.nan
    check_student(points, visibility, depth, view=view, size_px=size)


def turned(person, quarter_turns):
    """Turn a person about the middle of a square picture of 1600 pixels."""
    points = person.points_px - 800
    for _ in range(quarter_turns):
        points = np.stack([-points[:, 1], points[:, 0]], axis=1)
    return type(person)(points_px=points + 800, visibility=person.visibility, depth=person.depth)


@pytest.mark.parametrize("view", ["down_the_line", "face_on"])
@pytest.mark.parametrize("unseen", [0, 6])
def test_whole_student_at_address_passes(view, unseen) -> None:
    check(golfer_at_address(view=view), view=view, unseen=unseen)


@pytest.mark.parametrize("lean_deg", [0, 30, 60, 89])
def test_however_deep_the_bend_the_picture_is_upright(lean_deg) -> None:
    check(draw_person(lean_deg=lean_deg, hands="together"))


def test_picture_upside_down_is_said() -> None:
    with pytest.raises(ClipError, match=r"upside down.*Rotate the clip by 180°"):
        check(turned(golfer_at_address(at=(800.0, 700.0)), 2), size=(1600, 1600))


@pytest.mark.parametrize("quarter_turns", [1, 3])
def test_picture_on_its_side_is_said(quarter_turns) -> None:
    with pytest.raises(ClipError, match="lies on its side"):
        check(turned(bystander(at=(800.0, 700.0)), quarter_turns), size=(1600, 1600))


def headless(person, *, ankles):
    """What the model makes of a picture without the head: a figure on its head, its feet a guess or outside."""
    upside_down = turned(person, 2)
    feet = [LANDMARK_INDEX[f"{side}_{part}"] for side in ("left", "right") for part in ("ankle", "heel", "foot_index")]
    upside_down.visibility[feet] = ankles
    return upside_down


@pytest.mark.parametrize("ankles", [0.01, 0.12, 0.51])
def test_figure_on_its_head_without_feet_is_only_part_of_a_student(ankles) -> None:
    with pytest.raises(StudentNotFound, match=r"only part of the student.*Show the whole student"):
        check(headless(golfer_at_address(at=(800.0, 700.0)), ankles=ankles), size=(1600, 1600))


def test_part_of_a_body_is_said_before_the_picture_is_called_upside_down() -> None:
    person = headless(golfer_at_address(at=(800.0, 700.0)), ankles=0.32)
    person.points_px[:, 1] -= 1000.0  # hips above the upper edge, as in a picture cut below the neck
    with pytest.raises(StudentNotFound, match="only part of the student is in view: the hips are missing"):
        check(person, size=(1600, 1600))


def test_back_instead_of_chest_is_refused_face_on_only() -> None:
    back = draw_person(across=-0.6, hands="together", visibility=0.9)
    back.visibility[15:23] = 0.05  # behind the trunk
    with pytest.raises(StudentNotFound, match="back is seen"):
        check(back, view="face_on")
    check(back, view="down_the_line")


def test_legs_alone_are_refused() -> None:
    with pytest.raises(StudentNotFound, match="only part of the student is in view: the shoulders are missing"):
        check(golfer_at_address(at=(500.0, 100.0)))


def test_hidden_hips_are_refused() -> None:
    person = golfer_at_address()
    person.visibility[23:25] = 0.1
    with pytest.raises(StudentNotFound, match="the hips are missing"):
        check(person)


def test_one_hidden_hip_of_two_passes() -> None:
    person = golfer_at_address()
    person.visibility[23] = 0.1
    check(person)


def test_small_student_is_refused_with_both_numbers() -> None:
    with pytest.raises(StudentNotFound, match=rf"only 50 pixels long; {LEAST_TRUNK_PX:.0f} were needed"):
        check(golfer_at_address(trunk_px=50.0))


def test_a_clip_without_a_person_is_refused() -> None:
    with pytest.raises(StudentNotFound, match="no person was found"):
        check(golfer_at_address(), unseen=9)
