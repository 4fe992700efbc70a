"""The coach's own file changed from a page: only what differs is kept, and nothing that the library refuses."""

import pytest

from putt_posture.disk.defaults import read_defaults
from putt_posture.disk.defaults_writing import write_defaults
from putt_posture.errors import OutputError, UsageError
from putt_posture.findings import load_coach_file
from putt_posture.services.coach_settings import (
    change_coach_text,
    find_own_coach_file,
    load_coach_settings,
    move_fault,
    save_coach_text,
)

ABOVE = ("bands", "hand_offset", "above")


@pytest.fixture(autouse=True)
def defaults(tmp_path, monkeypatch):
    path = tmp_path / "own" / "defaults.toml"
    monkeypatch.setenv("PUTT_POSTURE_DEFAULTS", str(path))
    return path


def test_a_value_set_back_to_its_starting_value_leaves_the_file_and_comments_stay():
    text = change_coach_text("# Kim's bands\n", {ABOVE: 4, ("order",): ["a"]})
    assert "# Kim's bands" in text
    assert "above = 4" in text
    back = change_coach_text(text, {ABOVE: 3, ("order",): None})
    assert back.strip() == "# Kim's bands"


def test_what_is_saved_is_in_force_and_the_command_takes_it_too(tmp_path):
    path = find_own_coach_file()
    save_coach_text(path, change_coach_text("", {ABOVE: 4.5}))
    settings = load_coach_settings(path)
    assert settings.coach.bands["hand_offset"].above == 4.5
    assert settings.is_own(ABOVE)
    assert settings.starting_value(ABOVE) == 3
    assert read_defaults()["coach_file"] == str(path)


def test_a_text_that_is_refused_leaves_the_file_as_it_was():
    path = find_own_coach_file()
    save_coach_text(path, "[bands.hand_offset]\nabove = 4\n")
    for bad, says in (
        ("[bands.hand_offset]\n\nabove = -1\n", "line 3: bands.hand_offset.above: -1 is less than the minimum of 0"),
        ("[bands", "is not TOML"),
        ("# " + "x" * 70_000, "longer than"),
    ):
        with pytest.raises(UsageError, match=says):
            save_coach_text(path, bad)
    assert path.read_text() == "[bands.hand_offset]\nabove = 4\n"


def test_a_fault_moves_in_the_order_and_a_cause_stays_before_its_effects():
    settings = load_coach_settings(None)
    names = [each.name for each in load_coach_file().faults]
    text = move_fault(settings, names[1], by=-1)
    save_coach_text(settings.path, text)
    assert [each.name for each in load_coach_settings(settings.path).coach.faults][:2] == [names[1], names[0]]
    first = load_coach_settings(settings.path)
    cause, effect = "stands_tall", "rounded_back"
    late = move_fault(first, cause, by=len(names))
    with pytest.raises(UsageError, match=f"{effect} comes before {cause}"):
        save_coach_text(settings.path, late)
    with pytest.raises(UsageError, match="no such fault"):
        move_fault(first, "unknown", by=1)


def test_defaults_are_changed_one_by_one_and_comments_stay(defaults):
    defaults.parent.mkdir()
    defaults.write_text('coach = "Kim"  # me\nunits = "cm"\n')
    assert write_defaults({"units": "inches", "handed": "left"}) == {
        "coach": "Kim",
        "units": "inches",
        "handed": "left",
    }
    assert "# me" in defaults.read_text()
    assert write_defaults({"units": None}) == {"coach": "Kim", "handed": "left"}


@pytest.mark.parametrize("wrong", [{"units": "feet"}, {"size": "3"}, {"archive": "not/whole"}, {"hide_faces": "yes"}])
def test_a_default_that_cannot_be_is_refused_and_nothing_is_written(defaults, wrong):
    write_defaults({"coach": "Kim"})
    before = defaults.read_text()
    with pytest.raises(UsageError):
        write_defaults({"handed": "left", **wrong})
    assert defaults.read_text() == before


def test_a_defaults_file_that_cannot_be_written_says_so(defaults):
    defaults.parent.write_text("a file is in the way")
    with pytest.raises((OutputError, UsageError)):
        write_defaults({"coach": "Kim"})
