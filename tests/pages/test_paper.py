"""PDFs are set for A4 or Letter; a report has two pages to hand over; no page but the last is half empty."""

import io
import re

import numpy as np
import pypdfium2
import pytest
from changed_lesson import make_changed_lesson
from made_up_students import made
from pdf_text import read_pdf_pages
from pypdf import PdfReader

from putt_posture.pages import store_lesson
from putt_posture.wording import CAUTIONS

POINTS = {"a4": (595.28, 841.89), "letter": (612, 792)}
"""210 mm × 297 mm (ISO 216) and 8.5 in × 11 in (ANSI/ASME Y14.1, size A) at 72 points an inch."""
FULL = 0.6
"""Of a page's height, down to which a page but the last has to reach, its footer left out."""


def reach_of(pdf):
    """Return how far down each page but the last is filled, as a share of its height without the footer."""
    shares = []
    document = pypdfium2.PdfDocument(pdf)
    for page in [document[number] for number in range(len(document) - 1)]:
        grey = np.asarray(page.render(scale=0.5, grayscale=True).to_pil())
        body = grey[: int(0.92 * len(grey))]
        shares.append((np.nonzero((body < 250).any(axis=1))[0].max() + 1) / len(body))
    return shares


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_every_pdf_of_a_lesson_is_set_for_the_paper_that_is_asked_for(paper, tmp_path) -> None:
    place = store_lesson(make_changed_lesson(), tmp_path / "report", paper=paper)
    for name in ("report.pdf", "spec_sheet.pdf"):
        pages = PdfReader(place / name).pages
        for page in pages:
            assert (float(page.mediabox.width), float(page.mediabox.height)) == pytest.approx(POINTS[paper], abs=0.1)
    assert len(PdfReader(place / "spec_sheet.pdf").pages) == 1


def test_two_pages_hold_findings_stills_ghost_putter_plan_and_cautions_and_the_third_begins_the_appendix() -> None:
    pdf = made("report_three_findings")[1]()
    one, two, three, *_ = read_pdf_pages(pdf)
    assert "Start here" in one
    assert len(PdfReader(io.BytesIO(pdf)).pages[0].images) == 2
    for part in ("The setup to work toward", "The putter", "The plan", CAUTIONS[0]):
        assert part in two
    assert three.startswith("Every measure")
    assert "SHA-256" not in one + two


@pytest.mark.parametrize(
    "state", ["report_three_findings", "report_nothing_wrong", "report_no_putter", "report_one_view"]
)
def test_no_page_of_a_report_but_the_last_is_half_empty(state) -> None:
    assert min(reach_of(made(state)[1]())) > FULL


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_views_and_digests_take_little_room_at_the_end_of_a_report(paper, tmp_path) -> None:
    """The two views stand side by side. One above the other they pushed two lines onto a page of their own."""
    place = store_lesson(make_changed_lesson(), tmp_path / "report", paper=paper)
    pages = PdfReader(place / "report.pdf").pages
    text = "\n".join(page.extract_text(extraction_mode="layout") for page in pages[2:])
    assert re.search(r"Down the line {5,}Face on", text[text.index("Where the numbers come from") :])


def test_no_page_of_a_history_but_the_last_is_half_empty() -> None:
    assert min(reach_of(made("history_year")[1]())) > FULL


def test_a_spec_sheet_is_one_page() -> None:
    assert len(PdfReader(io.BytesIO(made("spec_sheet")[1]())).pages) == 1
