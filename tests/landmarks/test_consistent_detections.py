"""Odd frames of a setup are left out, and a student who moves in it is said."""

import numpy as np
import pytest
from attrs import evolve
from drawn_people import TRUNK_PX, bystander, draw_person, golfer_at_address

from putt_posture.landmarks.frame_detections import MOVED, FrameDetection, drop_outlying_detections
from putt_posture.landmarks.swaps import GROUPS, swap_sides

BOX = (0, 0, 1080, 1920)


def looks_of(*people, setup=0):
    return [FrameDetection(time_s=0.1 * row, setup=setup, box=BOX, person=person) for row, person in enumerate(people)]


def kept_times(looks):
    return [look.time_s for look in drop_outlying_detections(looks).looks]


def with_scatter(person, seed, share=0.03):
    noise = np.random.default_rng(seed).normal(0, share * TRUNK_PX, person.points_px.shape)
    return evolve(person, points_px=person.points_px + noise)


def test_looks_with_the_scatter_of_the_model_are_all_kept() -> None:
    looks = looks_of(*(with_scatter(golfer_at_address(), seed) for seed in range(5)))
    agreeing = drop_outlying_detections(looks)
    assert agreeing.looks == tuple(looks)
    assert agreeing.notes == ()


@pytest.mark.parametrize(
    "garbage",
    [
        draw_person(at=(500.0, 800.0), lean_deg=100.0),
        draw_person(at=(500.0, 800.0), trunk_px=0.6 * TRUNK_PX, lean_deg=30.0, hands="together"),
        bystander(at=(560.0, 800.0), view="face_on"),
    ],
)
def test_a_look_at_another_pose_or_size_is_left_out_and_said(garbage) -> None:
    golfer = golfer_at_address()
    agreeing = drop_outlying_detections(looks_of(golfer, garbage, golfer, golfer, golfer))
    assert [look.time_s for look in agreeing.looks] == pytest.approx([0.0, 0.2, 0.3, 0.4])
    (note,) = agreeing.notes
    assert note.startswith("In 1 of 5 frames of the setup at 0.2 s another pose or another person was seen")


def test_swapped_sides_are_not_another_pose() -> None:
    golfer = golfer_at_address(view="face_on")
    points = golfer.points_px[None]
    for pairs in GROUPS.values():
        points = swap_sides(points, rows=np.array([True]), pairs=pairs)
    looks = looks_of(golfer, evolve(golfer, points_px=points[0]), golfer, golfer)
    assert drop_outlying_detections(looks).looks == tuple(looks)


def test_looks_that_do_not_agree_are_all_kept_and_said_not_to_be_trusted() -> None:
    people = [draw_person(lean_deg=lean) for lean in (0.0, 45.0, 90.0, 135.0)]
    agreeing = drop_outlying_detections(looks_of(*people))
    assert len(agreeing.looks) == 4
    assert any("do not agree with each other" in note and "--student-at" in note for note in agreeing.notes)


def test_each_setup_is_held_against_itself_only() -> None:
    first, second = golfer_at_address(), draw_person(at=(500.0, 800.0), lean_deg=75.0)
    looks = looks_of(first, first, first) + looks_of(second, second, second, setup=1)
    agreeing = drop_outlying_detections(looks)
    assert agreeing.looks == tuple(looks)
    assert agreeing.notes == ()


@pytest.mark.parametrize(("share", "said"), [(0.5 * MOVED, False), (1.5 * MOVED, True)])
def test_a_student_who_moves_during_the_setup_is_said_with_how_far(share, said) -> None:
    steps = np.linspace(0.0, share * TRUNK_PX, 5)
    notes = drop_outlying_detections(looks_of(*(golfer_at_address(at=(500.0 + step, 800.0)) for step in steps))).notes
    assert bool(notes) is said
    if said:
        assert notes[0].startswith(f"The student moved by {share * TRUNK_PX:.0f} pixels, 30 % of the trunk's length")


def test_two_looks_alone_cannot_outvote_each_other() -> None:
    assert len(drop_outlying_detections(looks_of(golfer_at_address(), draw_person(lean_deg=90.0))).looks) == 2
