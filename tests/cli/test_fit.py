"""The command ``fit``: a putter without clips."""

import json
import re
import subprocess
import sys
from pathlib import Path

import pytest

from putt_posture.body.anthropometry import SHOE_SOLE
from putt_posture.cli import main
from putt_posture.fitting import fit_putter
from putt_posture.values import Student, WantedSetup
from putt_posture.wording import BACK_CAUTIONS

ROOT = Path(__file__).parents[2]

HEAVY = ("attrs", "numpy", "rich", "scipy", "tomllib")


def test_length_lie_setup_and_ways_are_printed(capsys) -> None:
    assert main(["fit", "--height", "5ft9in", "--sex", "male", "--current-length", "35in"]) == 0
    said = capsys.readouterr()
    assert said.err == ""
    assert "nearest half inch: 33.0\xa0in (83.8\xa0cm)" in said.out
    assert "The putter in use is 35.0\xa0in (88.9\xa0cm)." in said.out
    assert "Leave at 35.0\xa0in (88.9\xa0cm)." in said.out  # 2.2 in from the suggestion, with a margin of 2.6 in
    assert "outside the shoulders" in " ".join(said.out.split())
    for words in ("Spine tilt", "By the body model", "By the rule of thumb", "Nothing was filmed"):
        assert words in said.out
    assert all(words in " ".join(said.out.split()) for words in BACK_CAUTIONS)
    assert all(len(line) <= 80 for line in said.out.splitlines())


def test_inches_are_shown_where_they_are_asked_for_and_the_json_stays(capsys) -> None:
    words = ["fit", "--height", "5ft9in", "--current-length", "36in"]
    said, shown = {}, {}
    for unit in ("cm", "Inches"):
        assert main([*words, "--units", unit]) == 0
        shown[unit] = " ".join(capsys.readouterr().out.split())
        assert main([*words, "--units", unit, "--json"]) == 0
        said[unit] = capsys.readouterr().out
    assert said["cm"] == said["Inches"]
    left = re.sub(r"in \([^()]*cm\)", "", shown["Inches"])
    assert not re.search(r"\d cm\b", left)
    assert len(re.findall(r"\d in\b", left)) >= 10
    setup = {
        unit: dict(re.findall(r"(Hand height|Ball from the toes) ([\d.]+) ±", text)) for unit, text in shown.items()
    }
    for name, length_cm in setup["cm"].items():
        assert float(setup["Inches"][name]) == pytest.approx(float(length_cm) / 2.54, abs=0.051)
    assert main([*words, "--units", "feet"]) == 2
    assert "'cm', 'inches'" in capsys.readouterr().err


def test_why_there_is_no_length_is_said_in_inches_too(capsys) -> None:
    words = ["fit", "--height", "119cm"]
    assert main(words) == 1
    assert "119 cm" in capsys.readouterr().err
    assert main([*words, "--units", "inches"]) == 1
    said = capsys.readouterr().err
    assert "46.9 in" in said
    assert " cm" not in said


def test_a_wrist_height_taken_in_shoes_makes_the_putter_as_much_too_long_as_the_help_and_the_pages_say(capsys) -> None:
    def length_in(wrist_cm: float) -> float:
        assert main(["fit", "--height", "5ft8in", "--wrist-floor", f"{wrist_cm}cm", "--json"]) == 0
        return json.loads(capsys.readouterr().out)["putter_length"]["inches"]

    assert length_in(83.8 + SHOE_SOLE.value) - length_in(83.8) == pytest.approx(0.6, abs=0.05)
    for page in (ROOT / "putt_posture" / "guide" / "running.md", ROOT / "putt_posture" / "filming" / "page.md"):
        text = page.read_text(encoding="utf-8")
        assert "barefoot" in text
        assert "0.6 in" in text
    assert main(["fit", "--help"]) == 0
    assert "standing barefoot, arms hanging" in " ".join(capsys.readouterr().out.split())


def test_the_old_name_of_the_height_works_and_is_not_shown(capsys) -> None:
    assert main(["fit", "--stature", "5ft9in", "--json"]) == 0
    old = capsys.readouterr().out
    assert main(["fit", "--height", "5ft9in", "--json"]) == 0
    assert capsys.readouterr().out == old
    assert main(["fit", "--help"]) == 0
    assert "--stature" not in capsys.readouterr().out
    assert main(["fit", "--stature", "5"]) == 2
    assert "'--height'" in capsys.readouterr().err


def test_json_is_the_fit_of_the_library(capsys) -> None:
    call = [
        "fit",
        "--height",
        "178cm",
        "--wrist-floor",
        "33.5in",
        "--grip-down",
        "1in",
        "--current-lie",
        "70",
        "--json",
    ]
    assert main(call) == 0
    said = capsys.readouterr()
    found = json.loads(said.out)
    student = Student(stature_cm=178.0, handed="right", wrist_floor_cm=33.5 * 2.54, putter_lie_deg=70.0)
    fit = fit_putter(None, student, wanted=WantedSetup(grip_down_cm=2.54))
    assert found["putter_length"]["value"] == pytest.approx(fit.putter_length.value)
    assert found["lie"]["standard_uncertainty"] == pytest.approx(fit.lie.standard_uncertainty)
    assert found["toe_lift"]["value"] == pytest.approx(fit.toe_lift.value)
    assert found["setup"]["spine_tilt"]["value"] == pytest.approx(fit.setup["spine_tilt"].value)
    assert found["curves"]["spine_tilt"] == pytest.approx(list(fit.curves.spine_tilt))
    assert [each["name"] for each in found["evidence"]] == ["body_model", "wrist_floor", "height_rule"]
    assert "Putter length suggested" in said.err


def test_gripping_down_an_inch_takes_an_inch_more(capsys) -> None:
    lengths = []
    for more in ([], ["--grip-down", "1in"]):
        assert main(["fit", "--height", "178cm", "--json", *more]) == 0
        lengths.append(json.loads(capsys.readouterr().out)["putter_length"]["inches"])
    assert lengths[1] - lengths[0] == pytest.approx(1.0)


def test_coachs_file_says_what_is_wanted(tmp_path, capsys) -> None:
    own = tmp_path / "coach.toml"
    own.write_text("[wanted]\ntilt_deg = 45\nknee_flex_deg = 20.5\n")
    assert main(["fit", "--height", "178cm", "--json", "--coach-file", str(own)]) == 0
    found = json.loads(capsys.readouterr().out)
    fit = fit_putter(
        None, Student(stature_cm=178.0, handed="right"), wanted=WantedSetup(tilt_deg=45, knee_flex_deg=20.5)
    )
    assert found["putter_length"]["value"] == pytest.approx(fit.putter_length.value)
    assert found["setup"]["spine_tilt"]["value"] == pytest.approx(45)


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("[wanted\n", "is not TOML"),
        ("[hopes]\nx = 1\n", "line 1: hopes: is not known here"),
        ("wanted = 3\n", "line 1: wanted: 3 is not of type 'object'"),
        ("[wanted]\nspine = 3\n", "line 2: wanted.spine: is not known here; known are hand_offset_cm"),
        ("[wanted]\nknee_flex_deg = 'soft'\n", "'soft' is not of type 'number'"),
        ("[wanted]\nknee_flex_deg = true\n", "True is not of type 'number'"),
        ("[wanted]\nlie_deg = 95\n", "The lie of 95 ° is out of range"),
    ],
)
def test_a_bad_coachs_file_is_one_sentence(tmp_path, capsys, text, says) -> None:
    own = tmp_path / "coach.toml"
    own.write_text(text)
    assert main(["fit", "--height", "178cm", "--coach-file", str(own)]) == 2
    _one_sentence(capsys, says)


def test_missing_coachs_file_is_one_sentence(tmp_path, capsys) -> None:
    assert main(["fit", "--height", "178cm", "--coach-file", str(tmp_path / "none.toml")]) == 2
    _one_sentence(capsys, "is not there")


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        ([], "Missing option '--height'"),
        (["--height", "90cm"], "The height of 90 cm is out of range"),
        (["--height", "178cm", "--current-length", "5in"], "The putter length of 5.0 in (12.7 cm) is out of range"),
        (["--height", "178cm", "--current-lie", "95"], "The putter lie of 95 ° is out of range"),
        (["--height", "178cm", "--current-lie", "steep"], "'--current-lie'"),
        (["--height", "178cm", "--grip-down", "9in"], "The grip down of 22.86 cm is out of range"),
        (["--height", "178cm", "--wrist-floor", "60in"], "The wrist height of 152.4 cm is out of range"),
        (["--height", "178"], "has no unit"),
    ],
)
def test_impossible_input_is_one_sentence_and_exit_code_two(capsys, arguments, says) -> None:
    assert main(["fit", *arguments]) == 2
    _one_sentence(capsys, says)


def test_setup_that_cannot_be_is_one_sentence_and_exit_code_one(tmp_path, capsys) -> None:
    own = tmp_path / "coach.toml"
    own.write_text("[wanted]\ntilt_deg = 8\n")
    assert main(["fit", "--height", "178cm", "--coach-file", str(own)]) == 1
    _one_sentence(capsys, "at a tilt of 8°")


def test_help_imports_nothing_heavy() -> None:
    script = (
        "import sys; from putt_posture.cli import main; main(['fit', '--help']); "
        f"print([name for name in {HEAVY!r} if name in sys.modules], file=sys.stderr)"
    )
    done = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=True)
    assert done.stderr.strip() == "[]"


def _one_sentence(capsys, says: str) -> None:
    said = capsys.readouterr()
    assert said.out == ""
    assert said.err.count("\n") == 1
    assert says in said.err
    assert "Traceback" not in said.err
