"""The commands on what is kept how long: ``archive settings``, ``retention``, ``erase`` and ``erasures``."""

import json

import pytest
from academy import PLAYER, TODAY, Terminal, contents_of

from putt_posture.archive import load_lesson, open_archive
from putt_posture.cli import main


def bytes_in(place) -> bytes:
    return b"".join(path.read_bytes() for path in place.rglob("*") if path.is_file())


def test_settings_are_shown_and_changed(academy, archive) -> None:
    assert "revisit-weeks" in archive("settings")
    said = archive("settings", "--revisit-weeks", 3, "--grown-at-years", 16)
    flat = " ".join(said.split())
    assert "revisit-weeks 3 weeks after which" in flat
    assert "grown-at-years 16 age from which" in flat
    assert "1 due today, 3 weeks after" in archive("overview")


@pytest.mark.parametrize("words", [("--revisit-weeks", -3), ("--keep-pictures-months", 0), ("--grown-at-years", "x")])
def test_setting_that_makes_no_sense_is_refused(words, academy, refused) -> None:
    assert str(words[1]) in refused("archive", "settings", *words, code=2)


def test_nothing_is_past_its_time(academy, archive) -> None:
    assert archive("retention") == "Nothing is past its time.\n"
    assert archive("retention", "--erase", "--yes") == "Nothing is past its time.\n"


def test_what_is_past_its_time_is_shown_and_erased_only_where_asked(academy, archive) -> None:
    archive("consent", 1, "--for", "pictures", "--withdraw")
    held = contents_of(academy)
    said = archive("retention")
    assert [said.count(f" {lesson}  2026-0") for lesson in (1, 2, 3)] == [1, 1, 1]
    assert "putt-posture archive retention --erase" in said
    assert contents_of(academy) == held
    assert "Erased: " in archive("retention", "--erase", "--yes")
    with open_archive() as opened:
        assert "report.html" not in load_lesson(opened, 1).names
        assert "measures.json" in load_lesson(opened, 1).names
    assert archive("retention") == "Nothing is past its time.\n"


def test_no_more_is_listed_than_asked_for_and_the_rest_is_counted(academy, archive) -> None:
    archive("consent", 1, "--for", "pictures", "--withdraw")
    said = archive("retention", "--most", 2)
    assert [said.count(f" {lesson}  2026-0") for lesson in (1, 2, 3)] == [1, 1, 0]
    assert "These are 2 of 3 lessons; --most lists more." in said
    assert "These are" not in archive("retention", "--most", 3)


def test_what_is_past_its_time_stays_where_it_is_not_confirmed(academy, archive, refused, monkeypatch) -> None:
    archive("consent", 1, "--for", "pictures", "--withdraw")
    assert "there is no terminal to ask on" in refused("archive", "retention", "--erase", code=2)
    monkeypatch.setattr("sys.stdin", Terminal("n\n"))
    assert "Stopped." in refused("archive", "retention", "--erase", code=130)
    assert "--yes is for erasing. Add --erase" in refused("archive", "retention", "--yes", code=2)


def test_student_is_erased_for_good_after_the_name_was_typed(academy, archive, monkeypatch, capsys) -> None:
    assert PLAYER.encode() in bytes_in(academy)
    monkeypatch.setattr("sys.stdin", Terminal(f"{PLAYER} \n"))
    assert main(["archive", "erase", "1", "--reason", "They [b]asked."]) == 0
    said = capsys.readouterr()
    assert f"This erases {PLAYER} with 3 lessons for good." in said.err
    assert "Erased: 1 student, 3 lessons" in said.out
    assert "Backups that were made before" in said.out
    assert PLAYER.encode() not in bytes_in(academy)
    assert "No student was found" in archive("find", "robin")
    (row,) = json.loads(archive("erasures", "--json"))["erasures"]
    assert (row["day"], row["lessons"], row["reason"]) == (TODAY.isoformat(), 3, "They [b]asked.")
    assert "They [b]asked." in archive("erasures")


def test_no_student_was_ever_erased(academy, archive) -> None:
    assert archive("erasures") == "No student was erased here.\n"
    assert json.loads(archive("erasures", "--json")) == {"erasures": []}


@pytest.mark.parametrize("typed", ["robin\n", f"{PLAYER}s\n", "1\n"])
def test_student_stays_where_another_name_is_typed(typed, academy, refused, monkeypatch) -> None:
    monkeypatch.setattr("sys.stdin", Terminal(typed))
    assert "Nothing was erased." in refused("archive", "erase", 1, "--reason", "asked", code=2)


def test_student_stays_where_nobody_answers(academy, refused, monkeypatch) -> None:
    assert "there is no terminal to ask on" in refused("archive", "erase", 1, "--reason", "asked", code=2)
    monkeypatch.setattr("sys.stdin", Terminal(""))
    assert refused("archive", "erase", 1, "--reason", "asked", code=130).startswith("putt-posture: Stopped.")


@pytest.mark.parametrize(
    ("words", "says"),
    [
        ((), "Missing option '--reason'"),
        (("--reason", "  "), "The reason is empty."),
        (("--reason", "Robin's wish"), "'robin' in it is part of the name."),
    ],
)
def test_erasure_needs_a_reason_that_does_not_tell_who(words, says, academy, refused) -> None:
    assert says in refused("archive", "erase", 1, "--yes", *words, code=2)


def test_interrupt_while_erasing_says_how_things_stand(academy, capsys, monkeypatch) -> None:
    def stop(*_words, **_more):
        raise KeyboardInterrupt

    monkeypatch.setattr("putt_posture.services.students.erase_student", stop)
    assert main(["archive", "erase", "1", "--reason", "asked", "--yes"]) == 130
    said = capsys.readouterr().err
    assert "Stopped. What was begun is finished when the archive is used next" in said
