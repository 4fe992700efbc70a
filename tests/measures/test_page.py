"""The page of definitions is what the records make."""

from pathlib import Path

from putt_posture.measures import RECORDS
from putt_posture.measures.page import make_page

PAGE = Path(__file__).parents[2] / "putt_posture" / "measures" / "measures.md"


def test_the_kept_page_is_what_the_records_make() -> None:
    assert PAGE.read_text(encoding="utf-8") == make_page(), "Make the page anew; measures/page.py says how."


def test_every_measure_is_defined_once_with_its_signs() -> None:
    text = make_page()
    for name, measure in RECORDS.items():
        (row,) = [line for line in text.splitlines() if line.startswith(f"| **{measure.title}** `{name}` |")]
        assert measure.definition in row
        assert measure.words.direction in row
