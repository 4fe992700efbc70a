"""Clips that arrive in a folder are reported when they are whole."""

import os

import pytest
from looks import Clock, TextLooker

from putt_posture.batch.arrivals import Arrivals
from putt_posture.errors import UsageError


@pytest.fixture
def clock():
    return Clock()


@pytest.fixture
def arrivals(tmp_path, clock):
    (tmp_path / "in").mkdir()
    return Arrivals(tmp_path / "in", TextLooker(), still_s=5.0, give_up_s=100.0, clock=clock)


def look_until(arrivals, clock, seconds):
    """Look once a second up to this time, and return the names of what was reported, with the time."""
    found = []
    while clock.now < seconds:
        clock.now += 1.0
        found += [(each.path.name, clock.now) for each in arrivals.look()]
    return found


def test_a_clip_is_reported_once_when_it_stayed_as_it_is(arrivals, clock):
    (arrivals.folder / "a.mov").write_text("face_on")
    assert look_until(arrivals, clock, 60) == [("a.mov", 7.0)]
    assert arrivals.is_settled


def test_a_clip_that_grows_is_not_looked_at_until_it_stays(arrivals, clock):
    path = arrivals.folder / "a.mov"
    for second in range(10):
        path.write_text("face_on" + " " * second)
        assert look_until(arrivals, clock, clock.now + 3) == []
    assert arrivals.looker.looked == []
    assert [name for name, _ in look_until(arrivals, clock, clock.now + 10)] == ["a.mov"]


def test_a_clip_whose_time_changes_at_full_size_still_arrives(arrivals, clock):
    """Some copies have their full size from the start."""
    path = arrivals.folder / "a.mov"
    path.write_text("face_on")
    for second in range(10):
        os.utime(path, (second, second))
        assert look_until(arrivals, clock, clock.now + 3) == []


@pytest.mark.parametrize(
    "name", [".a.mov", "~a.mov", "a.mov.part", "a.mov.tmp", "._a.mov", "a.mov.crdownload", "a.txt"]
)
def test_names_of_unfinished_and_hidden_files_are_left_alone(arrivals, clock, name):
    (arrivals.folder / name).write_text("face_on")
    assert look_until(arrivals, clock, 20) == []
    assert arrivals.looker.looked == []


@pytest.mark.parametrize("folder", ["filed", "laid aside", ".Trashes", "@eaDir", "$RECYCLE.BIN"])
def test_folders_of_clips_that_are_done_with_and_of_systems_are_left_alone(arrivals, clock, folder):
    (arrivals.folder / "12" / folder).mkdir(parents=True)
    (arrivals.folder / "12" / folder / "a.mov").write_text("face_on")
    assert look_until(arrivals, clock, 20) == []


def test_clips_in_folders_arrive_too_and_what_only_points_elsewhere_does_not(arrivals, clock, tmp_path):
    (arrivals.folder / "12" / "before").mkdir(parents=True)
    (arrivals.folder / "12" / "before" / "a.mov").write_text("face_on")
    (tmp_path / "other.mov").write_text("face_on")
    (arrivals.folder / "b.mov").symlink_to(tmp_path / "other.mov")
    assert [name for name, _ in look_until(arrivals, clock, 20)] == ["a.mov"]


def test_a_clip_that_cannot_be_read_to_its_end_is_looked_at_again_and_given_up_with_the_reason(arrivals, clock):
    path = arrivals.folder / "a.mov"
    path.write_text("cut")
    assert look_until(arrivals, clock, 100) == []
    assert 3 <= len(arrivals.looker.looked) <= 8
    while not (found := arrivals.look()):
        clock.now += 1.0
        assert clock.now < 300
    assert found[0].look.fault == "a.mov is cut short."


def test_a_clip_that_was_cut_and_becomes_whole_is_taken(arrivals, clock):
    """The copy stood still for a while."""
    path = arrivals.folder / "a.mov"
    path.write_text("cut")
    assert look_until(arrivals, clock, 50) == []
    path.write_text("face_on 7")
    ((name, _),) = look_until(arrivals, clock, 80)
    assert name == "a.mov"


def test_a_clip_that_is_taken_away_is_forgotten_and_arrives_anew(arrivals, clock):
    path = arrivals.folder / "a.mov"
    path.write_text("face_on")
    assert len(look_until(arrivals, clock, 10)) == 1
    path.unlink()
    assert look_until(arrivals, clock, 12) == []
    path.write_text("face_on")
    assert len(look_until(arrivals, clock, 30)) == 1


def test_a_folder_that_is_gone_for_a_while_is_waited_for_and_said_once(tmp_path, clock):
    folder, said = tmp_path / "in", []
    folder.mkdir()
    arrivals = Arrivals(folder, TextLooker(), still_s=5.0, clock=clock, tell=said.append)
    folder.rename(tmp_path / "away")
    assert look_until(arrivals, clock, 20) == []
    assert len(said) == 1
    assert "Waiting for it" in said[0]
    (tmp_path / "away").rename(folder)
    (folder / "a.mov").write_text("face_on")
    assert len(look_until(arrivals, clock, 40)) == 1


def test_what_is_no_folder_is_refused_in_one_sentence(tmp_path):
    with pytest.raises(UsageError, match=r"is no folder\. Give the folder in which clips arrive"):
        Arrivals(tmp_path / "nowhere", TextLooker())
