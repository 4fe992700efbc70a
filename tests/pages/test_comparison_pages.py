"""The pages carry everything, ask for nothing, and show names as text."""

import base64
import hashlib
import re

import pytest
from attrs import evolve
from pdf_text import read_pdf, read_pdf_pages

from putt_posture.drawing.stills import as_jpeg
from putt_posture.pages.comparison import comparison_as_html, comparison_as_pdf
from putt_posture.pages.setting import SLIDER_POLICY, SLIDER_SCRIPT
from putt_posture.pages.wanted_setup import ARC_TITLE
from putt_posture.wording import CAUTIONS

HOSTILE = ["<script>alert(1)</script>", '"><img src=x onerror=alert(1)>', "{{ 7 * 7 }} {% raw %}", "עדי רזי", "A" * 400]


@pytest.fixture(scope="module")
def shown(pictures):
    charts = {name: chart.encode() for name, chart in pictures.charts.items()}
    return charts | {
        name: as_jpeg(still, most_bytes=60_000) for name, still in (pictures.stills | pictures.halves).items()
    }


@pytest.fixture(scope="module")
def page(report, shown):
    return comparison_as_html(report, pictures=shown)


@pytest.fixture(scope="module")
def paper(report, shown):
    """The text of each of its pages."""
    return read_pdf_pages(comparison_as_pdf(report, pictures=shown))


def test_the_changes_come_before_the_pictures_and_the_pictures_before_the_table(page) -> None:
    order = [page.index(f"<h2>{title}</h2>") for title in
             ("What changed", "Side by side", "Over each other", "Before you practise", "Every measure", ARC_TITLE,
              "How a change is compared with the noise")]  # fmt: skip
    assert order == sorted(order)


def test_every_measure_of_both_lessons_has_its_row_with_before_after_and_change(page, report) -> None:
    rows = re.findall(r'<th scope="row"><span class="swatch part-\w+"></span>(.*?)</th>(.*?)</tr>', page)
    told = [*report.changed, *report.unchanged]
    assert [title for title, _ in rows] == [row.title for row in told]
    for (_, cells), row in zip(rows, told, strict=True):
        assert re.findall(r"<td>(.*?)</td>", cells) == [row.before, row.after, row.change]


def test_the_page_asks_the_network_for_nothing(page) -> None:
    assert f'content="{SLIDER_POLICY}"' in page
    assert not re.search(r'(?:src|href)="(?!data:|#)', page)
    assert len(re.findall(r'<img src="data:image/', page)) == 7
    assert all(re.findall(r'<img [^>]*alt="([^"]+)"', page))


@pytest.mark.parametrize("name", HOSTILE)
def test_a_name_is_shown_as_text_in_both(report, shown, name) -> None:
    named = evolve(report, student=name)
    page = comparison_as_html(named, pictures=shown)
    assert re.findall(r"<script.*?</script>", page) == [f"<script>{SLIDER_SCRIPT}</script>"]
    assert "<img src=x" not in page
    assert "49" not in re.findall(r"<h1.*?</h1>", page)[0]
    assert comparison_as_pdf(named, pictures=shown).startswith(b"%PDF")


def test_the_paper_says_the_same(paper, report) -> None:
    text = " ".join(paper)
    for words in (report.summary, *(row.title for row in report.changed), "Every measure", CAUTIONS[1]):
        assert words in text
    assert len(paper) <= 5


def test_without_pictures_the_pages_are_made_without_them(report) -> None:
    bare = evolve(report, views=(), arcs=None, missing=("Both lessons were kept without pictures.",))
    page = comparison_as_html(bare, pictures={})
    assert "Both lessons were kept without pictures." in page
    assert "<img" not in page
    assert "<script" not in page
    assert "script-src" not in page
    assert "kept without pictures" in read_pdf(comparison_as_pdf(bare, pictures={}))


def test_the_policy_of_the_slider_allows_its_script_and_no_other() -> None:
    digest = base64.b64encode(hashlib.sha256(SLIDER_SCRIPT.encode()).digest()).decode()
    assert (
        f"default-src 'none'; img-src data:; style-src 'unsafe-inline'; script-src 'sha256-{digest}'" == SLIDER_POLICY
    )


def test_the_words_for_both_pictures_of_the_slider_say_what_changed(page, report) -> None:
    changed = report.changed[0]
    alts = re.findall(r'<div class="is-(before|after)"><img src="[^"]*" alt="([^"]*)"', page)
    assert [when for when, _ in alts] == ["before", "after"] * 2
    for when, says in alts:
        assert f"{changed.title.lower()} {changed.before if when == 'before' else changed.after}" in says
