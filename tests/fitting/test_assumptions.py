"""What a suggestion is based on, compared with where it was shown."""

import re
from pathlib import Path

from putt_posture.fitting.assumptions import WHERE_SHOWN

DEVELOPERS = Path(__file__).parents[2] / "DEVELOPERS.md"


def held(quantity):
    """Return the shares of intervals that held the truth, by the table of the fit, %."""
    _, _, table = DEVELOPERS.read_text(encoding="utf-8").partition("\n## The fit\n")
    rows = [[cell.strip() for cell in line.split("|")] for line in table.splitlines() if line.startswith("| ")]
    head = next(row for row in rows if row[1] == "told")
    at = [place for place, title in enumerate(head) if title.startswith("holds")]
    return [int(row[place]) for row in rows if row[2].startswith(quantity) for place in at]


def test_the_sentence_on_where_the_interval_was_shown_says_what_the_study_found():
    lengths, lies = held("length"), held("lie")
    assert len(lengths) == len(lies) == 3
    said = re.search(r"held for (\d+) to (\d+) %.* lie's for (\d+) to (\d+) %", WHERE_SHOWN)
    assert [int(each) for each in said.groups()] == [min(lengths), max(lengths), min(lies), max(lies)]
    assert "not on people" in WHERE_SHOWN
    page = " ".join((DEVELOPERS.parent / "putt_posture" / "guide" / "results.md").read_text(encoding="utf-8").split())
    shares = (f"{min(each)} to {max(each)} %" for each in (lengths, lies))
    assert "those of the fitted length in {} and of the fitted lie in {}".format(*shares) in page
