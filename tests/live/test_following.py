"""One student through the frames: chosen, followed, others refused, left and right kept."""

from functools import cache

import numpy as np
import pytest
from attrs import define, evolve, field
from camera_frames import read_camera
from drawn_people import draw_person

from putt_posture.landmarks.swaps import GROUPS, swap_sides
from putt_posture.live.clothes import OTHER_CLOTHES, colour_distance, read_clothes
from putt_posture.live.following import AGAIN_S, FORGET_S, SEARCH_S, LiveModels, StudentFollower
from putt_posture.values import Frame

SIZE = (1000, 1200)
STEP_S = 0.04


@define
class MadeUpModel:
    """Finds the people that a test puts before it."""

    people: list = field(factory=list)

    def find_people(self, picture):
        return list(self.people)


@cache
def picture_of(shirt=(30, 60, 160)):
    return np.full((SIZE[1], SIZE[0], 3), shirt, dtype=np.uint8)


@pytest.fixture
def made_up():
    return LiveModels(one=MadeUpModel(), all=MadeUpModel())


def play(follower, models, people, *, start_s, seconds, shirt=(30, 60, 160)):
    models.one.people = models.all.people = people
    times = start_s + STEP_S * np.arange(round(seconds / STEP_S))
    return [follower.push(Frame(time_s=float(time), picture=picture_of(shirt))) for time in times]


def golfer(**more):
    return draw_person(**({"lean_deg": 30.0, "hands": "together", "at": (500.0, 700.0)} | more))


def follow_golfer(models, *, view="down_the_line", **more):
    follower = StudentFollower(models, view)
    seen = play(follower, models, [golfer(**more)], start_s=0.0, seconds=1.5)
    assert seen[-1].state == "followed"
    return follower


def test_the_student_is_chosen_after_a_moment_and_then_followed(made_up):
    follower = StudentFollower(made_up, "down_the_line")
    seen = play(follower, made_up, [golfer()], start_s=0.0, seconds=1.5)
    states = [each.state for each in seen]
    first = states.index("followed")
    assert SEARCH_S <= first * STEP_S <= SEARCH_S + 2 * STEP_S
    assert set(states[:first]) == {"searching"}
    assert set(states[first:]) == {"followed"}


def test_two_alike_are_not_guessed_and_a_point_chooses_between_them(made_up):
    people = [golfer(at=(250.0, 700.0)), golfer(at=(750.0, 700.0))]
    follower = StudentFollower(made_up, "down_the_line")
    seen = play(follower, made_up, people, start_s=0.0, seconds=1.5)
    assert seen[-1].state == "searching"
    assert seen[-1].says == "Two people could be the student. Point at the student in the picture."
    follower.choose((750.0, 650.0))
    made_up.one.people = [people[1]]
    made_up.all.people = people
    for time in np.arange(2.0, 3.5, STEP_S):
        last = follower.push(Frame(time_s=float(time), picture=picture_of()))
    assert last.state == "followed"
    assert last.person.torso[1][0] == pytest.approx(750)


@pytest.mark.parametrize("change", [{"trunk_px": 90.0}, {"at": (900.0, 700.0)}])
def test_a_person_of_another_size_or_place_is_refused_at_once(made_up, change):
    follower = follow_golfer(made_up)
    (seen,) = play(follower, made_up, [golfer(**change)], start_s=1.5, seconds=STEP_S)
    assert seen.person is None


def test_a_person_in_other_clothes_at_the_same_place_is_refused_and_the_student_is_found_again(made_up):
    follower = follow_golfer(made_up)
    other = play(follower, made_up, [golfer()], start_s=1.5, seconds=1.5, shirt=(200, 40, 30))
    assert other[-1].state == "refused"
    assert other[-1].says == "Someone else is there. The student is waited for."
    assert sum(each.state == "followed" for each in other) * STEP_S < 0.2
    back = play(follower, made_up, [golfer()], start_s=3.0, seconds=2 * AGAIN_S + 2 * STEP_S)
    assert back[-1].state == "followed"


def test_a_student_who_was_away_for_long_is_chosen_anew(made_up):
    follower = follow_golfer(made_up)
    gone = play(follower, made_up, [], start_s=1.5, seconds=1.0)
    assert {each.state for each in gone} == {"lost"}
    back = play(follower, made_up, [golfer()], start_s=2.5 + FORGET_S, seconds=SEARCH_S / 2)
    assert {each.state for each in back} == {"searching"}


def test_sides_that_the_model_swaps_in_one_frame_are_put_right(made_up):
    student = golfer(across=0.6, lean_deg=0.0)
    follower = follow_golfer(made_up, view="face_on", across=0.6, lean_deg=0.0)
    swapped = evolve(
        student,
        points_px=swap_sides(student.points_px[None], rows=np.array([True]), pairs=GROUPS["arms"])[0],
    )
    (seen,) = play(follower, made_up, [swapped], start_s=1.5, seconds=STEP_S)
    assert seen.swapped
    np.testing.assert_allclose(seen.person.points_px, student.points_px)


def test_another_golfer_who_takes_the_place_of_the_student_is_refused(models):
    student = read_camera("rebuild", "down_the_line", [(0.0, 1.6)])
    other = read_camera("left_hander", "down_the_line", [(2.0, 2.4)])
    follower = StudentFollower(models, "down_the_line")
    followed = [follower.push(frame) for frame in student]
    assert followed[-1].state == "followed"
    start_s = student[-1].time_s + STEP_S - other[0].time_s
    seen = [follower.push(evolve(frame, time_s=frame.time_s + start_s)) for frame in other]
    assert seen[-1].person is None


def test_the_same_clothes_are_alike_and_those_of_another_golfer_are_not(models):
    shirts = {}
    for pair in ("rebuild", "left_hander"):
        (frame, *_) = read_camera(pair, "face_on", [(1.0, 1.1)])
        (person,) = models.all.find_people(frame.picture)
        shirts[pair] = read_clothes(frame.picture, person)
        darker = (frame.picture * 0.8).astype(np.uint8)
        assert colour_distance(shirts[pair], read_clothes(darker, person)) < OTHER_CLOTHES / 2
    assert colour_distance(shirts["rebuild"], shirts["left_hander"]) > OTHER_CLOTHES
