import numpy as np
import pytest
from attrs import evolve
from drawn_people import TRUNK_PX, bystander, draw_person, golfer_at_address
from hypothesis import given
from hypothesis import strategies as st

from putt_posture.landmarks.identities import link_people, trunk_distance, with_pieces, without_duplicates
from putt_posture.landmarks.swaps import GROUPS, swap_sides


def seconds(count, *, rate=6.0):
    return np.arange(count) / rate


def who(identity):
    return [int(person.visibility[0] * 10) for person in identity.people]


@given(order=st.lists(st.booleans(), min_size=12, max_size=12))
def test_people_who_stay_are_followed_in_whatever_order_they_are_listed(order) -> None:
    one, two = bystander(at=(500.0, 800.0)), bystander(at=(900.0, 800.0))
    looks = [[one, two] if straight else [two, one] for straight in order]
    identities = link_people(seconds(12), looks)
    assert len(identities) == 2
    for identity in identities:
        assert identity.looks == list(range(12))
        assert len({id(person) for person in identity.people}) == 1


def test_walker_is_followed() -> None:
    looks = [[draw_person(at=(100.0 + 0.4 * TRUNK_PX * step, 800.0))] for step in range(20)]
    (walker,) = link_people(seconds(20), looks)
    assert len(walker.looks) == 20


def test_student_hidden_by_a_passer_by_is_found_again_and_the_passer_by_is_kept_apart() -> None:
    looks = []
    for step in range(30):
        passer = draw_person(at=(-400.0 + 60.0 * step, 800.0), visibility=0.5)
        hidden = abs(passer.torso[1][0] - 500.0) < 150
        looks.append([passer] if hidden else [golfer_at_address(at=(500.0, 800.0)), passer])
    identities = link_people(seconds(30), looks)
    student = next(one for one in identities if 9 in who(one))
    assert set(who(student)) == {9}
    assert len(student.looks) == sum(len(look) == 2 for look in looks)


def test_student_hidden_for_seconds_is_found_again_by_place_and_the_return_is_counted() -> None:
    student, passer = golfer_at_address(at=(500.0, 800.0)), draw_person(at=(360.0, 800.0), visibility=0.5)
    looks = [[student]] * 6 + [[passer]] * 15 + [[student]] * 6
    identity = next(one for one in link_people(seconds(27), looks) if 9 in who(one))
    assert identity.looks == [*range(6), *range(21, 27)]
    assert identity.returns == 1


def other_sides(person):
    """The same sighting with left and right taken for each other."""
    points = person.points_px[None]
    for pairs in GROUPS.values():
        points = swap_sides(points, rows=np.array([True]), pairs=pairs)
    return evolve(person, points_px=points[0])


def test_someone_whose_left_is_taken_for_right_in_some_looks_stays_one_person() -> None:
    seen = draw_person(across=0.9)
    looks = [[seen]] * 5 + [[other_sides(seen)]] * 3 + [[seen]] * 4
    (one,) = link_people(seconds(12), looks)
    assert one.looks == list(range(12))
    assert one.returns == 0


def pieces():
    """One golfer who is found folded up in between, so that two tracks remain; and a person beside them."""
    straight, folded = golfer_at_address(at=(500.0, 800.0)), golfer_at_address(at=(500.0, 800.0))
    folded.points_px[25:] = folded.points_px[11] + 0.5 * (folded.points_px[25:] - folded.points_px[11])
    folded.points_px[13:17] -= (0.0, 2.5 * TRUNK_PX)
    looks = [[straight, bystander()]] * 5 + [[folded, bystander()]] * 4
    return link_people(seconds(9), looks)


def test_pieces_of_whom_the_coach_pointed_at_are_put_together() -> None:
    identities = pieces()
    assert sorted(len(one.looks) for one in identities) == [4, 5, 9]
    student = next(one for one in identities if len(one.looks) == 5)
    whole = with_pieces(student, identities)
    assert whole.looks == list(range(9))
    assert max(person.torso[:, 0].max() for person in whole.people) < 700  # no one beside


@pytest.mark.parametrize(("at", "trunk_px"), [((1500.0, 800.0), TRUNK_PX), ((500.0, 800.0), 0.1 * TRUNK_PX)])
def test_someone_elsewhere_or_of_another_size_is_not_joined(at, trunk_px) -> None:
    student = bystander(at=(500.0, 800.0))
    looks = [[student]] * 5 + [[]] * 10 + [[bystander(at=at, trunk_px=trunk_px)]] * 5
    identities = link_people(seconds(20), looks)
    one = next(one for one in identities if 0 in one.looks)
    assert with_pieces(one, identities).looks == list(range(5))


def test_someone_far_away_after_a_gap_is_someone_else() -> None:
    looks = [[bystander(at=(200.0, 800.0))]] * 5 + [[]] * 5 + [[bystander(at=(1500.0, 800.0))]] * 5
    assert len(link_people(seconds(15), looks)) == 2


def test_someone_of_another_size_at_the_same_place_is_someone_else() -> None:
    looks = [[bystander(at=(500.0, 800.0))]] * 5 + [[bystander(at=(500.0, 800.0), trunk_px=20.0)]] * 5
    assert len(link_people(seconds(10), looks)) == 2


def test_person_found_twice_counts_once() -> None:
    person = bystander()
    assert without_duplicates([person, person.moved(shift=(10.0, 0.0))]) == [person]


def test_tiny_figure_inside_a_person_is_dropped_even_where_it_comes_first() -> None:
    person = bystander(at=(500.0, 800.0))
    print_on_shirt = bystander(at=(500.0, 700.0), trunk_px=20.0)
    assert without_duplicates([print_on_shirt, person]) == [person]


@given(st.floats(0.01, 50.0))
def test_trunk_distance_does_not_depend_on_the_size_of_the_picture(scale) -> None:
    one, other = bystander(at=(500.0, 800.0)), golfer_at_address(at=(700.0, 780.0))
    distance = trunk_distance(one, other)
    if min(one.torso_length, other.torso_length) * scale > 1:
        assert np.isclose(trunk_distance(one.moved(scale=scale), other.moved(scale=scale)), distance)


def test_no_person_gives_no_identity() -> None:
    assert link_people(seconds(3), [[], [], []]) == []
