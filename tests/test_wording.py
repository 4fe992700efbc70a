"""Every measure has its words, and no word judges."""

from pathlib import Path

from putt_posture.drawing.colours import PART_COLOURS, PART_TITLES
from putt_posture.measures import MEASURES, RECORDS
from putt_posture.pages.comparison import HOW
from putt_posture.pages.history import HOW_TO_READ
from putt_posture.wording import CAUTIONS, NO_NORM, SCALE_SOURCES, UNCERTAINTY

ROOT = Path(__file__).parents[1]


def held_on_renders():
    """Return how often the interval of each measure held the truth, %: the newest table of the accuracy study."""
    _, _, study = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8").partition("\n## Accuracy study\n")
    lines = iter(study.splitlines())
    head = next(line for line in lines if line.startswith("| measure |"))
    at = [cell.strip() for cell in head.split("|")].index("holds %")
    shares = {}
    for line in lines:
        cells = [cell.strip() for cell in line.split("|")]
        if len(cells) < 3 or not (cells[1].startswith("`") or cells[1].startswith("-")):
            break
        if cells[1].startswith("`"):
            shares[cells[1].strip("`")] = int(cells[at])
    return shares


def test_wherever_19_in_20_stands_it_says_on_whom_that_was_shown_and_how_often_it_held():
    shares = held_on_renders()
    assert set(shares) == set(MEASURES)
    expected = f"{min(shares.values())} to {max(shares.values())} % of the shots"
    page = " ".join((ROOT / "putt_posture" / "guide" / "results.md").read_text(encoding="utf-8").split())
    for text in (UNCERTAINTY, HOW_TO_READ, HOW[-1], page):
        assert expected in text
        assert "rendered golfers" in text
        assert "On people only the" in text


def test_every_part_has_a_colour_and_a_title():
    parts = {measure.part for measure in MEASURES.values()}
    assert parts == set(PART_TITLES)
    assert {record.part for record in RECORDS.values()} == set(PART_COLOURS)


def test_the_cautions_speak_of_the_back_of_pain_and_of_who_decides():
    text = " ".join(CAUTIONS)
    for needed in (
        "bent posture can load the back",
        "take breaks",
        "Stop at pain",
        "clinician",
        "not a medical measurement",
        "not a clinical angle",
        "coach and the club-builder decide",
    ):
        assert needed in text
    assert "no published norm" in NO_NORM


def test_every_source_of_scale_has_words():
    assert set(SCALE_SOURCES) == {"object", "putter", "stature", "other_view", "none"}
