"""A coach's file that is none ends the command at once, with one sentence that says what was found."""

import os
from pathlib import Path

import pytest

from putt_posture.cli import main

POSIX = pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="Windows has no devices in its folders")


def refusal(path, capsys):
    assert main(["fit", "--height", "178cm", "--coach-file", str(path)]) == 2
    said = capsys.readouterr().err
    assert "Traceback" not in said
    assert said.count("\n") == 1
    assert len(said) < 500
    return said


@POSIX
@pytest.mark.parametrize("device", ["/dev/zero", "/dev/null"])
def test_a_device_is_named(device, capsys):
    assert f"The coach's file {device} is a device, and an ordinary file was needed" in refusal(device, capsys)


@POSIX
def test_a_pipe_is_named_and_not_waited_for(tmp_path, capsys):
    os.mkfifo(tmp_path / "pipe")
    assert "is a pipe, and an ordinary file was needed" in refusal(tmp_path / "pipe", capsys)


def test_a_folder_is_named(tmp_path, capsys):
    assert "is a folder, and an ordinary file was needed" in refusal(tmp_path, capsys)


def test_a_huge_file_is_refused_by_its_size(tmp_path, capsys):
    path = tmp_path / "huge.toml"
    with path.open("wb") as stream:
        stream.truncate(5_000_000_000)
    assert "has 5,000,000,000 bytes, and at most 64,000 are taken" in refusal(path, capsys)


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("a = " + "[" * 3000 + "]" * 3000, "its lists are nested too deeply"),
        ("[wanted]\nknee_flex_deg = nan", "is nan; a finite number is needed"),
        ("[wanted]\nknee_flex_deg = -inf", "line 2: wanted.knee_flex_deg: -inf is less than the minimum"),
        ("[wanted]\nknee_flex_deg = 1e999", "line 2: wanted.knee_flex_deg: inf is greater than the maximum"),
        ("[wanted]\nknee_flex_deg = " + "9" * 400, "is greater than the maximum"),
        ("[wanted]\nknee_flex_deg = " + "9" * 9000, "a number with thousands of digits"),
        ("[wanted]\nknee_flex_deg = " + "[0," * 80 + "]" * 80, "is not of type 'number'"),
        ("[wanted]\n" + "x" * 20_000 + " = 1", "known are"),
        ("x" * 20_000 + " = 1", "is not known here; known are about"),
        ("[wanted]\nknee_flex_deg = 1\nknee_flex_deg = 2", "is not TOML"),
    ],
    ids=range(10),
)
def test_what_cannot_be_is_one_sentence(tmp_path, capsys, text, says):
    path = Path(tmp_path / "coach.toml")
    path.write_text(text)
    assert says in refusal(path, capsys)


def test_a_file_in_another_code_is_one_sentence(tmp_path, capsys):
    (tmp_path / "coach.toml").write_bytes(b"\xff\xfe\x00[")
    assert "is not TOML" in refusal(tmp_path / "coach.toml", capsys)


def test_a_link_to_a_coachs_file_is_followed(tmp_path, capsys):
    (tmp_path / "coach.toml").write_text("[wanted]\nknee_flex_deg = 20\n")
    (tmp_path / "link.toml").symlink_to(tmp_path / "coach.toml")
    assert main(["fit", "--height", "178cm", "--json", "--coach-file", str(tmp_path / "link.toml")]) == 0
