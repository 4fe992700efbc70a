"""Labels keep inside the picture, off each other, and off what must be seen."""

import math
from itertools import combinations

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from putt_posture.drawing.labels import Label, place_labels

FRAME = (1200.0, 1600.0)

places = st.tuples(st.floats(0, FRAME[0]), st.floats(0, FRAME[1]))
sizes = st.tuples(st.floats(60, 420), st.floats(40, 140))
wishes = st.sampled_from([(0.0, 0.0), (1.0, 0.0), (-1.0, 0.3), (0.0, -1.0)])
label_lists = st.lists(st.tuples(places, sizes, wishes), min_size=1, max_size=9).map(
    lambda rows: [Label(key=str(i), anchor=a, size=s, wanted=w) for i, (a, s, w) in enumerate(rows)]
)
discs = st.lists(st.tuples(st.floats(0, FRAME[0]), st.floats(0, FRAME[1]), st.floats(1, 60)), max_size=8)


def overlap(a, b):
    return min(a[2], b[2]) > max(a[0], b[0]) and min(a[3], b[3]) > max(a[1], b[1])


@given(label_lists, discs)
def test_boxes_lie_inside_the_picture_and_none_overlaps_another_or_touches_what_must_stay_clear(labels, keep_clear):
    placed = place_labels(labels, frame=FRAME, keep_clear=keep_clear)
    for each in placed:
        u0, v0, u1, v1 = each.box
        assert 0 <= u0 < u1 <= FRAME[0]
        assert 0 <= v0 < v1 <= FRAME[1]
        assert math.isclose(u1 - u0, each.label.size[0])
        assert math.isclose(v1 - v0, each.label.size[1])
        for u, v, radius in keep_clear:
            assert math.hypot(u - min(max(u, u0), u1), v - min(max(v, v0), v1)) >= radius
    for one, two in combinations(placed, 2):
        assert not overlap(one.box, two.box)


@given(label_lists)
def test_a_leader_runs_from_the_anchor_to_its_own_box(labels):
    for each in place_labels(labels, frame=FRAME):
        assert each.leader[0] == each.label.anchor
        u, v = each.leader[1]
        assert each.box[0] <= u <= each.box[2]
        assert each.box[1] <= v <= each.box[3]


@settings(max_examples=8)
@given(label_lists, discs)
def test_the_same_labels_get_the_same_places(labels, keep_clear):
    one = place_labels(labels, frame=FRAME, keep_clear=keep_clear)
    assert one == place_labels(labels, frame=FRAME, keep_clear=keep_clear)


@given(places, sizes)
def test_a_single_label_always_finds_a_place_in_an_empty_picture(anchor, size):
    assert len(place_labels([Label(key="a", anchor=anchor, size=size)], frame=FRAME)) == 1


def test_where_there_is_no_room_the_first_label_wins():
    labels = [Label(key=key, anchor=(100.0, 50.0), size=(160.0, 80.0)) for key in ("first", "second", "third")]
    placed = place_labels(labels, frame=(200.0, 100.0))
    assert [each.label.key for each in placed] == ["first"]


def test_a_label_larger_than_the_picture_is_left_out():
    assert place_labels([Label(key="a", anchor=(10.0, 10.0), size=(300.0, 50.0))], frame=(200.0, 100.0)) == ()


@given(st.tuples(st.floats(500, 700), st.floats(700, 900)))
def test_a_label_stands_on_the_wanted_side_where_nothing_hinders(anchor):
    for wanted in ((1.0, 0.0), (-1.0, 0.0), (0.0, 1.0), (0.0, -1.0)):
        (placed,) = place_labels([Label(key="a", anchor=anchor, size=(200.0, 90.0), wanted=wanted)], frame=FRAME)
        middle = (placed.box[0] + placed.box[2]) / 2 - anchor[0], (placed.box[1] + placed.box[3]) / 2 - anchor[1]
        assert middle[0] * wanted[0] + middle[1] * wanted[1] > 0


@given(st.floats(300, 1300))
def test_a_label_leaves_the_busy_side(anchor_v):
    busy = np.zeros((100, 75))
    busy[:, :37] = 1.0
    (placed,) = place_labels([Label(key="a", anchor=(595.0, anchor_v), size=(200.0, 90.0))], frame=FRAME, busy=busy)
    assert placed.box[0] >= 36 * 16


@given(label_lists, st.tuples(st.floats(100, 1000), st.floats(100, 1400)), st.floats(30, 200))
def test_neither_a_box_nor_a_leader_lies_off_limits(labels, corner, side):
    cells = np.zeros((320, 240), dtype=bool)  # 5 pixels each
    u0, v0, u1, v1 = corner[0], corner[1], corner[0] + side, corner[1] + side
    cells[int(v0 / 5) : math.ceil(v1 / 5), int(u0 / 5) : math.ceil(u1 / 5)] = True
    for each in place_labels(labels, frame=FRAME, off_limits=cells):
        assert not overlap(each.box, (u0, v0, u1, v1))
        line = np.linspace(*each.leader, 1000)
        assert not ((line > (u0, v0)) & (line < (u1, v1))).all(axis=1).any()


def test_of_two_labels_without_room_for_both_the_less_important_one_is_left_out_whatever_the_order_of_places():
    labels = [Label(key=key, anchor=anchor, size=(160.0, 80.0))
              for key, anchor in (("first", (150.0, 90.0)), ("second", (20.0, 10.0)))]  # fmt: skip
    assert [each.label.key for each in place_labels(labels, frame=(200.0, 100.0))] == ["first"]
