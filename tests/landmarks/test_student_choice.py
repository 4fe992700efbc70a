import numpy as np
import pytest
from drawn_people import bystander, draw_person, golfer_at_address

from putt_posture.errors import StudentNotFound
from putt_posture.landmarks.student import address_likeness, choose_student

VIEWS = ("down_the_line", "face_on")
LOOKS = 24


def seconds(count=LOOKS):
    return np.arange(count) / 6.0


def is_at(person, u):
    return abs(person.torso[1][0] - u) < 1


@pytest.mark.parametrize("view", VIEWS)
@pytest.mark.parametrize("first", [True, False])
def test_student_at_address_is_found_beside_a_larger_coach(view, first) -> None:
    student = golfer_at_address(at=(500.0, 800.0), view=view)
    coach = bystander(at=(900.0, 800.0), view=view, trunk_px=260.0)
    looks = [[student, coach] if first else [coach, student]] * LOOKS
    choice = choose_student(seconds(), looks, view=view)
    assert all(is_at(person, 500.0) for person in choice.people)
    assert choice.most == 2
    assert any("More than one person" in note and "--student-at" in note for note in choice.notes)


@pytest.mark.parametrize("view", VIEWS)
def test_student_whom_the_model_misses_in_two_thirds_of_the_looks_is_still_chosen(view) -> None:
    student, coach = golfer_at_address(at=(500.0, 800.0), view=view), bystander(at=(900.0, 800.0), view=view)
    looks = [[student, coach] if look % 3 == 0 else [coach] for look in range(LOOKS)]
    choice = choose_student(seconds(), looks, view=view)
    assert [person is not None for person in choice.people] == [look % 3 == 0 for look in range(LOOKS)]


def test_student_who_walks_in_and_bends_is_one_person() -> None:
    walk = [draw_person(at=(100.0 + 40.0 * step, 800.0)) for step in range(11)]
    bend = [draw_person(at=(500.0, 800.0), lean_deg=5.0 * step, hands="together") for step in range(7)]
    looks = [[person] for person in walk + bend]
    choice = choose_student(seconds(18), looks, view="down_the_line")
    assert all(person is not None for person in choice.people)
    assert choice.notes == ()


@pytest.mark.parametrize("view", VIEWS)
def test_two_people_who_could_be_the_student_are_refused_with_their_places(view) -> None:
    one, other = golfer_at_address(at=(400.0, 800.0), view=view), golfer_at_address(at=(900.0, 800.0), view=view)
    with pytest.raises(StudentNotFound, match=r"two people could be the student.*--student-at x,y"):
        choose_student(seconds(), [[one, other]] * LOOKS, view=view)


def test_someone_bent_far_behind_is_not_the_student() -> None:
    front, behind = bystander(at=(500.0, 800.0)), golfer_at_address(at=(900.0, 500.0), trunk_px=70.0)
    choice = choose_student(seconds(), [[behind, front]] * LOOKS, view="down_the_line")
    assert all(is_at(person, 500.0) for person in choice.people)


@pytest.mark.parametrize("u", [400.0, 900.0])
def test_given_point_says_who_the_student_is(u) -> None:
    one, other = golfer_at_address(at=(400.0, 800.0)), golfer_at_address(at=(900.0, 800.0))
    choice = choose_student(seconds(), [[one, other]] * LOOKS, view="down_the_line", student_at=(u, 750.0))
    assert all(is_at(person, u) for person in choice.people)
    assert any("as given" in note for note in choice.notes)


def test_given_point_where_one_person_stands_before_another_is_said_to_be_on_both() -> None:
    front, behind = golfer_at_address(at=(500.0, 800.0)), bystander(at=(640.0, 790.0))
    looks = [[front, behind]] * LOOKS
    between = choose_student(seconds(), looks, view="down_the_line", student_at=(610.0, 690.0))
    assert any("610,690 lies on or near two people" in note and "chest" in note for note in between.notes)
    alone = golfer_at_address(at=(1100.0, 800.0))
    clear = choose_student(seconds(), [[front, alone]] * LOOKS, view="down_the_line", student_at=(1120.0, 700.0))
    assert clear.notes == ("The student is the person at 1120,700, as given.",)


def test_a_point_beside_all_people_chooses_the_nearest() -> None:
    student, coach = golfer_at_address(at=(400.0, 800.0)), bystander(at=(900.0, 800.0))
    choice = choose_student(seconds(), [[student, coach]] * LOOKS, view="down_the_line", student_at=(1200.0, 700.0))
    assert all(is_at(person, 900.0) for person in choice.people)


def test_lone_person_is_the_student_whatever_they_do() -> None:
    choice = choose_student(seconds(), [[bystander()]] * LOOKS, view="down_the_line")
    assert all(person is not None for person in choice.people)
    assert choice.most == 1
    assert choice.notes == ()


def test_passer_by_does_not_become_the_student() -> None:
    looks = []
    for step in range(LOOKS):
        passer = draw_person(at=(-200.0 + 80.0 * step, 800.0))
        near = abs(passer.torso[1][0] - 500.0) < 160
        looks.append([passer] if near else [passer, golfer_at_address(at=(500.0, 800.0))])
    choice = choose_student(seconds(), looks, view="down_the_line")
    assert all(person is None or is_at(person, 500.0) for person in choice.people)
    assert any(person is None for person in choice.people)
    assert any("More than one person" in note for note in choice.notes)


def test_student_who_was_lost_and_found_again_is_noted() -> None:
    student, passer = golfer_at_address(at=(500.0, 800.0)), draw_person(at=(360.0, 800.0))
    looks = [[student]] * 6 + [[passer]] * 15 + [[student]] * 6
    choice = choose_student(seconds(27), looks, view="down_the_line")
    assert [person is student for person in choice.people] == [True] * 6 + [False] * 15 + [True] * 6
    assert any("found again by place and size" in note for note in choice.notes)


def test_a_clip_without_people_is_reported() -> None:
    with pytest.raises(StudentNotFound, match="no person was found"):
        choose_student(seconds(3), [[], [], []], view="face_on")


@pytest.mark.parametrize("view", VIEWS)
def test_likeness_of_a_golfer_at_address_is_high_and_of_a_bystander_low(view) -> None:
    assert address_likeness(golfer_at_address(view=view), view=view) > 0.8
    assert address_likeness(bystander(view=view), view=view) < 0.1


def test_likeness_falls_with_hands_up_and_with_an_upright_trunk() -> None:
    def likeness(**how):
        return address_likeness(draw_person(hands="together", **how), view="down_the_line")

    assert likeness(lean_deg=30) > likeness(lean_deg=15) > likeness(lean_deg=5) == 0
    assert likeness(lean_deg=30, facing=-1) == pytest.approx(likeness(lean_deg=30, facing=1))
