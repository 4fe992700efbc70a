"""A cap or a bald crown makes no back of a chest, and a back no chest."""

from pathlib import Path

import numpy as np
import pytest
from attrs import evolve
from drawn_people import TRUNK_PX, draw_person, golfer_at_address, table_of

from putt_posture.clips import read_clip
from putt_posture.errors import StudentNotFound
from putt_posture.landmarks import find_landmarks, track_student
from putt_posture.landmarks.chest import BACK_FOR_SURE, read_chest
from putt_posture.values import LANDMARK_INDEX, Setup

HERE = Path(__file__).parent
AT_ONCE = (Setup(moment_s=0.0, times_s=(0.0,), window_s=(0.0, 0.0)),)

CAPPED_CHEST = HERE.parent / "accuracy" / "golfers" / "golfer_044_usual" / "fo.jpg"
"""The peak of the cap hides the face, so that the small model names the sides as of a back."""
CAPPED_BACK = HERE / "pictures" / "capped_golfer_from_behind.jpg"
"""Rendered from behind at address; the large model names the sides as of a chest."""


def person(*, sides, hands=0.9, toes=0.0, bend=0.0, hands_apart=False):
    """Return a golfer at address with these four cues; toes and bend in trunk lengths."""
    drawn = draw_person(across=0.6 * sides, hands="apart" if hands_apart else "together")
    points, visibility, depth = drawn.points_px.copy(), drawn.visibility.copy(), drawn.depth.copy()
    visibility[15:23] = hands
    for side in ("left", "right"):
        heel = points[LANDMARK_INDEX[f"{side}_heel"], 1]
        points[LANDMARK_INDEX[f"{side}_foot_index"], 1] = heel + toes * TRUNK_PX
        depth[LANDMARK_INDEX[f"{side}_shoulder"]] = bend * TRUNK_PX
    return evolve(drawn, points_px=points, visibility=visibility, depth=depth)


def votes(one):
    return read_chest(*table_of([one] * 5))


def test_a_golfer_whose_chest_is_seen_has_every_vote():
    assert votes(person(sides=1, toes=0.2, bend=-2.0)) == 4


def test_a_golfer_whose_back_is_seen_has_none():
    assert votes(person(sides=-1, hands=0.03, toes=-0.15, bend=1.0)) == -4


def test_a_chest_with_the_sides_of_a_back_is_recognised_by_hands_and_toes():
    assert votes(person(sides=-1, toes=0.2)) > 0


def test_a_back_with_the_sides_of_a_chest_is_recognised_by_hidden_hands_and_the_bend():
    assert votes(person(sides=1, hands=0.0, toes=-0.03, bend=3.2)) < 0


def test_a_far_bend_away_counts_twice():
    assert votes(person(sides=1, hands=0.4, toes=0.0, bend=3.2)) == -1


def test_hands_that_hang_apart_tell_nothing():
    assert votes(person(sides=-1, hands_apart=True, toes=-0.1)) == BACK_FOR_SURE


def test_an_even_vote_goes_by_the_sides():
    assert votes(person(sides=1, hands=0.03)) == 1
    assert votes(person(sides=-1, hands=0.9)) == -1


def test_looks_without_the_student_have_no_vote():
    points, visibility, depth = table_of([golfer_at_address(view="face_on")] * 4)
    points[:2] = np.nan
    assert read_chest(points, visibility, depth) > 0
    points[:] = np.nan
    assert read_chest(points, visibility, depth) == 0


def test_a_capped_golfer_whose_face_is_hidden_is_measured_with_left_on_the_right_of_the_picture():
    clip = read_clip(CAPPED_CHEST, view="face_on")
    landmarks, _, _ = find_landmarks(clip, AT_ONCE, track_student(clip))
    for part in ("shoulder", "hip", "wrist", "ankle"):
        assert (landmarks.point(f"left_{part}")[:, 0] > landmarks.point(f"right_{part}")[:, 0]).all(), part


def test_a_capped_golfer_from_behind_is_refused_without_a_word_about_the_cap():
    clip = read_clip(CAPPED_BACK, view="face_on")
    with pytest.raises(StudentNotFound, match="back is seen; the chest was needed") as refused:
        find_landmarks(clip, AT_ONCE, track_student(clip))
    assert "cap" not in str(refused.value).removeprefix(CAPPED_BACK.name)
