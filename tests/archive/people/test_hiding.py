"""Kept pictures made again with heads hidden: what changes in the archive, and what stays. The pixels are looked at
where the command is tested, on a lesson that has a face in it."""

import json

import pytest
from filed import TODAY, add_player, file_one, make_clips, make_lesson_of
from wholeness import assert_whole

from putt_posture.archive import (
    add_consent,
    erase_lesson,
    find_faces_to_hide,
    find_overdue,
    hide_kept_faces,
    load_lesson,
    load_lessons,
    withdraw_consent,
)
from putt_posture.archive.lessons.lessons import open_unasked
from putt_posture.errors import NotInArchive, UsageError

CLIPS = {"clips/down_the_line.mov", "clips/face_on.mov"}


def hide(archive, **more):
    return hide_kept_faces(archive, find_faces_to_hide(archive, today=TODAY, **more), today=TODAY)


@pytest.fixture
def withdrawn(archive, player, lesson):
    """The number of a lesson whose student allows their face to be shown no more."""
    withdraw_consent(archive, player, scopes=["faces"], on=TODAY)
    return lesson


def test_lesson_says_that_heads_are_hidden_and_its_clips_are_gone(archive, withdrawn) -> None:
    _, before = open_unasked(archive, withdrawn)
    done = hide(archive)
    kept, after = open_unasked(archive, withdrawn)
    assert (done.lessons, done.left) == (1, ())
    assert done.erased == len(before.keys() - after.keys())
    assert before.keys() - after.keys() >= CLIPS
    assert kept.record.faces_hidden
    assert json.loads(kept.read("measures.json"))["faces_hidden"] is True
    assert before["landmarks.npz"] == after["landmarks.npz"]
    assert_whole(archive)
    assert set(archive.files.digests()) == set(after.values())
    assert not find_overdue(archive, today=TODAY)


def test_numbers_are_those_that_were_filed(archive, withdrawn) -> None:
    before = json.loads(open_unasked(archive, withdrawn)[0].read("measures.json"))
    hide(archive)
    assert json.loads(open_unasked(archive, withdrawn)[0].read("measures.json")) == before | {"faces_hidden": True}


def test_hiding_twice_does_nothing_more(archive, withdrawn) -> None:
    hide(archive)
    held = open_unasked(archive, withdrawn)[1]
    assert hide(archive).lessons == 0
    assert open_unasked(archive, withdrawn)[1] == held


def test_only_who_is_asked_for_is_hidden(archive, withdrawn, stored, tmp_path) -> None:
    other = add_player(archive, name="Casey Cupp")
    clips = make_clips(tmp_path / "others", "second")
    theirs = file_one(archive, other, make_lesson_of(stored, tag="second", clips=clips), clips=clips)
    withdraw_consent(archive, other, scopes=["faces"], on=TODAY)
    assert [each.lesson for each in find_faces_to_hide(archive, today=TODAY)] == [withdrawn, theirs]
    hide(archive, student=other)
    assert load_lesson(archive, theirs).clips == 0
    assert load_lesson(archive, withdrawn).clips == 2


def test_file_that_another_lesson_keeps_stays(archive, player, lesson, stored, tmp_path) -> None:
    """Two students in one still, filed for both: one of them does not want to be shown."""
    other = add_player(archive, name="Casey Cupp")
    clips = make_clips(tmp_path / "shared", "first")
    theirs = file_one(archive, other, make_lesson_of(stored, tag="first", clips=clips), clips=clips)
    withdraw_consent(archive, player, scopes=["faces"], on=TODAY)
    hide(archive)
    assert load_lesson(archive, theirs).clips == 2
    assert_whole(archive)


def test_pictures_that_may_not_be_kept_at_all_are_not_made_again(archive, player, lesson) -> None:
    withdraw_consent(archive, player, scopes=["pictures", "faces"], on=TODAY)
    assert find_faces_to_hide(archive, today=TODAY) == ()
    assert [each.lesson for each in find_overdue(archive, today=TODAY).pictures] == [lesson]


def test_consent_given_meanwhile_leaves_the_lesson_as_it_was(archive, player, withdrawn) -> None:
    lessons = find_faces_to_hide(archive, today=TODAY)
    add_consent(
        archive, player, scopes=["faces"], given_on=TODAY, given_by="Parker Puttwell", relation="self", today=TODAY
    )
    done = hide_kept_faces(archive, lessons, today=TODAY)
    assert done.lessons == 0
    assert "what is allowed of it changed meanwhile" in done.left[0]
    assert load_lesson(archive, withdrawn).clips == 2
    assert_whole(archive)


def test_lesson_erased_meanwhile_is_refused(archive, withdrawn) -> None:
    lessons = find_faces_to_hide(archive, today=TODAY)
    erase_lesson(archive, withdrawn)
    with pytest.raises(NotInArchive):
        hide_kept_faces(archive, lessons, today=TODAY)


def test_lesson_that_is_filed_hidden_already_is_not_made_the_same(archive, player, stored, tmp_path) -> None:
    """Filed once with the face and once without: one of the two is to go."""
    lesson = make_lesson_of(stored, tag="first")
    first = file_one(archive, player, lesson)
    withdraw_consent(archive, player, scopes=["faces"], on=TODAY)
    second = file_one(archive, player, lesson)
    done = hide(archive)
    assert f"lesson {second} holds the same with heads hidden already" in done.left[0]
    assert "stills/face_on.png" in load_lesson(archive, first).names
    assert_whole(archive)


def test_hidden_lesson_is_not_filed_a_second_time(archive, player, stored) -> None:
    lesson = make_lesson_of(stored, tag="first")
    file_one(archive, player, lesson)
    withdraw_consent(archive, player, scopes=["faces"], on=TODAY)
    hide(archive)
    with pytest.raises(UsageError, match="filed already"):
        file_one(archive, player, lesson)
    assert len(load_lessons(archive, player)) == 1
