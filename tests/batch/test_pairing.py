"""Whose a clip is, and which two clips are one lesson."""

from datetime import date
from pathlib import Path, PurePath

import pytest

from putt_posture.batch.pairing import Filmed, Owner, find_owner, pair_clips, view_in_name
from putt_posture.errors import UsageError

KIM = Owner(student=12, moment="before")
DAY = date(2026, 11, 7)
MINUTE = 60.0
ELEVEN = 1_790_000_000.0


def filmed(name, view, minute, *, owner=KIM, since=0.0, **about):
    about = {"filmed_s": ELEVEN + minute * MINUTE, "since": since, **about}
    return Filmed(path=Path(name), owner=owner, view=view, **about)


def pair(*clips, now=0.0):
    return pair_clips(clips, now=now, apart_s=10 * MINUTE, wait_s=10 * MINUTE)


def names(paired):
    return [[clip.path.name for clip in each.clips] for each in paired]


SIDE, FRONT = "down_the_line", "face_on"


@pytest.mark.parametrize(
    ("path", "owner"),
    [
        ("12/IMG_1.MOV", Owner(student=12, moment="check")),
        ("12/Before/IMG_1.MOV", Owner(student=12, moment="before")),
        ("card/DCIM/100APPLE/7/IMG_1.MOV", Owner(student=7, moment="check")),
        (
            "in/12_2026-11-07_after_face-on.mov",
            Owner(student=12, moment="after", day=date(2026, 11, 7), name="in/12_2026-11-07_after"),
        ),
        (
            "12/12_2026-11-07_after_face-on.mov",
            Owner(student=12, moment="after", day=date(2026, 11, 7), name="12/12_2026-11-07_after"),
        ),
    ],
)
def test_a_name_or_a_folder_says_whose_a_clip_is(path, owner):
    assert find_owner(PurePath(path), student=None, moment="check") == owner


def test_what_is_given_for_all_counts_only_where_neither_name_nor_folder_says_it():
    assert find_owner(PurePath("IMG_1.MOV"), student=5, moment="after") == Owner(student=5, moment="after")
    assert find_owner(PurePath("12/IMG_1.MOV"), student=5, moment="after") == Owner(student=12, moment="after")


@pytest.mark.parametrize(
    ("path", "reason"),
    [
        ("100APPLE/IMG_1.MOV", "does not say whose it is"),
        ("13/12_2026-11-07_after_face-on.mov", "name says student 12, and its folder student 13"),
        ("12_2026-11-07_later_face-on.mov", "does not say what it is"),
        ("12_2026-02-31_after_face-on.mov", "2026-02-31"),
    ],
)
def test_a_clip_whose_name_and_folder_do_not_say_whose_it_is_is_refused_with_the_reason(path, reason):
    with pytest.raises(UsageError, match=reason):
        find_owner(PurePath(path), student=None, moment="check")


@pytest.mark.parametrize(
    ("name", "view"),
    [
        ("Kim face on.mov", FRONT),
        ("down_the_line 2.MOV", SIDE),
        ("12_2026-11-07_after_face-on.mov", FRONT),
        ("IMG_2041.MOV", None),
        ("face-on and down-the-line.mov", None),
    ],
)
def test_a_name_may_say_the_view(name, view):
    assert view_in_name(PurePath(name)) == view


def test_two_clips_of_a_student_from_both_sides_are_a_lesson_at_once():
    assert names(pair(filmed("a", SIDE, 0), filmed("b", FRONT, 3))) == [["a", "b"]]


def test_clips_of_two_students_or_two_moments_are_not_joined():
    other, later = Owner(student=13, moment="before"), Owner(student=12, moment="after")
    assert pair(filmed("a", SIDE, 0), filmed("b", FRONT, 1, owner=other)) == []
    assert pair(filmed("a", SIDE, 0), filmed("b", FRONT, 1, owner=later)) == []


def test_clips_that_were_filmed_too_far_apart_are_not_joined():
    assert pair(filmed("a", SIDE, 0), filmed("b", FRONT, 11)) == []


def test_as_many_lessons_as_can_be_are_made_before_the_times_between_clips_count():
    clips = [filmed("a", SIDE, 0), filmed("b", FRONT, 4), filmed("c", SIDE, 5), filmed("d", FRONT, 9)]
    assert names(pair(*clips)) == [["a", "b"], ["c", "d"]]


def test_a_clip_that_was_filmed_again_lies_aside_and_the_nearer_one_is_taken():
    lesson, aside = pair(filmed("a", SIDE, 0), filmed("c", SIDE, 2), filmed("b", FRONT, 3))
    assert names([lesson, aside]) == [["c", "b"], ["a"]]
    assert not lesson.fault
    assert "c was filmed 2 minutes later from the same side (down the line)" in aside.fault


def test_a_clip_waits_for_the_other_view_and_is_a_lesson_by_itself_when_none_comes():
    clip = filmed("a", SIDE, 0)
    assert pair(clip, now=9 * MINUTE) == []
    (alone,) = pair(clip, now=10 * MINUTE)
    assert names([alone]) == [["a"]]
    assert not alone.fault


def test_of_two_clips_from_one_side_the_later_is_the_lesson_when_the_other_view_does_not_come():
    aside, lesson = pair(filmed("a", SIDE, 0), filmed("c", SIDE, 2), now=10 * MINUTE)
    assert names([aside, lesson]) == [["a"], ["c"]]
    assert aside.fault
    assert not lesson.fault


def test_clips_of_one_name_are_a_lesson_whenever_they_were_filmed():
    named = Owner(student=12, moment="before", day=date(2026, 11, 7), name="12_2026-11-07_before")
    assert names(pair(filmed("a", SIDE, 0, owner=named), filmed("b", FRONT, 300, owner=named))) == [["a", "b"]]


def test_of_two_clips_of_one_name_and_view_one_lies_aside():
    named = Owner(student=12, moment="before", day=date(2026, 11, 7), name="12_2026-11-07_before")
    clips = [filmed(name, view, 0, owner=named) for name, view in (("a.mov", SIDE), ("a.mp4", SIDE), ("b", FRONT))]
    lesson, aside = pair(*clips)
    assert len(lesson.clips) == 2
    assert "two clips of this lesson of one view" in aside.fault


def test_a_clip_without_student_or_side_lies_aside_at_once():
    whose, side = pair(filmed("a", SIDE, 0, owner=None), filmed("b", None, 0))
    assert "does not say whose it is" in whose.fault
    assert "from which side it was filmed" in side.fault
