"""Folders made for a coach who reads inches: no page or picture says centimetres, and the files hold the same."""

import html
import re
from collections.abc import Callable
from functools import cache
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest
from changed_lesson import make_changed_lesson
from invented import MADE_ON
from invented_history import drift, plain_changes, practised
from pdf_text import read_pdf
from PIL import ImageDraw

from putt_posture.drawing.sheet import Sheet
from putt_posture.drawing.to_send import SentNumber, draw_to_send
from putt_posture.pages import store_comparison, store_history, store_lesson
from putt_posture.shown_units import show_lengths_in

FIGURES = r"[+−]?[\d.]+(?: (?:±|to|→) [+−]?[\d.]+)*(?: \([\d.]+ to [\d.]+\))?"
BOTH = re.compile(
    rf"{FIGURES} (?:in|ft) \({FIGURES} (?:cm|m)\)"
    r"|5 ft [\d.]+ in \([\d.]+ cm\)"
    rf"|{FIGURES} in (?:= )?{FIGURES} cm"  # in large letters, and on the spec sheet below each other
)
"""Where both units are printed on purpose, inches first."""
METRIC = re.compile(r".{0,40}(?:\d\s?(?:cm|m)|centimetres?|, cm)\b.{0,20}")
FIGURE = re.compile(r"([+−]?\d+\.\d)(?: ± (\d+\.\d))? (cm|in)\b")


TENTH = 0.1
"""The last digit of an inch: half of it is rounded, and a twentieth of a centimetre before."""


def read(text: str) -> float:
    return float(text.replace("−", "-") or 0)


def words(text: str) -> str:
    return " ".join(html.unescape(text).split())


@cache
def texts_of(folder: Path) -> dict[str, str]:
    """Return what pages, PDFs and charts say, by their place in the folder; of charts, the letters as matplotlib's
    comments hold them."""
    found = {}
    for path in sorted(folder.rglob("*.html")):
        page = re.sub(r"<style>.*?</style>", " ", path.read_text(encoding="utf-8"), flags=re.S)
        alts = " ".join(re.findall(r'alt="([^"]*)"', page))
        found[path.name] = words(re.sub(r"<[^>]*>", " ", re.sub(r'src="data:[^"]*"', "", page)) + " " + alts)
    for path in sorted(folder.rglob("*.pdf")):
        found[path.name] = words(read_pdf(path))
    for path in sorted(folder.rglob("*.svg")):
        found[path.name] = words(" | ".join(re.findall(r"<!-- (.*?) -->", path.read_text(encoding="utf-8"), re.S)))
    return found


def lesson_folder(place: Path, _comparison: object) -> Path:
    return store_lesson(make_changed_lesson(), place, made_on=MADE_ON)


def comparison_folder(place: Path, comparison: object) -> Path:
    return store_comparison(comparison, place, made_on=MADE_ON)


def history_folder(place: Path, _comparison: object) -> Path:
    return store_history(drift(practice=practised(3)), place, find_changes=plain_changes, made_on=MADE_ON)


@pytest.fixture(scope="module", params=[lesson_folder, comparison_folder, history_folder])
def folders(request, comparison, whole, tmp_path_factory) -> tuple[Path, Path]:
    """The same folder made in centimetres and in inches; that of the lesson is there in centimetres."""
    make: Callable[[Path, object], Path] = request.param
    place = tmp_path_factory.mktemp("units")
    with show_lengths_in("inches"):
        in_inches = make(place / "inches", comparison)
    return whole if make is lesson_folder else make(place / "cm", comparison), in_inches


def test_no_page_or_chart_says_centimetres_or_metres_but_beside_inches_or_feet(folders) -> None:
    texts = texts_of(folders[1])
    assert {name.partition(".")[2] for name in texts} == {"html", "pdf", "svg"}
    left = {name: METRIC.findall(BOTH.sub(" ", text)) for name, text in texts.items()}
    assert not {name: said for name, said in left.items() if said}
    assert any(METRIC.search(text) for text in texts_of(folders[0]).values())


def test_numbers_in_inches_are_those_in_centimetres_divided_by_two_point_five_four(folders) -> None:
    in_cm, in_inches = (
        FIGURE.findall(next(text for name, text in texts_of(each).items() if name.endswith("html"))) for each in folders
    )
    shown = {(read(value), read(margin)) for value, margin, unit in in_inches if unit == "in"}
    lengths = {(read(value), read(margin)) for value, margin, unit in in_cm if unit == "cm" and margin}
    assert len(lengths) > 8
    for length in lengths:  # a putter's inches come from its centimetres before they were printed
        assert any(
            all(abs(inch - cm / 2.54) < TENTH for inch, cm in zip(each, length, strict=True)) for each in shown
        ), length


def test_numbers_for_programs_are_the_same_to_the_byte(folders) -> None:
    names = [path.relative_to(folders[0]) for path in folders[0].rglob("*") if path.suffix in (".json", ".csv", ".npz")]
    names = [name for name in names if not name.name.startswith(".")]
    assert len(names) >= 2
    for name in names:
        assert (folders[0] / name).read_bytes() == (folders[1] / name).read_bytes(), name


def test_the_picture_of_the_bar_and_its_caption_have_one_length(comparison, tmp_path) -> None:
    with show_lengths_in("inches"):
        folder = store_comparison(comparison, tmp_path / "inches", made_on=MADE_ON)
    texts = texts_of(folder)
    assert "The bar is 8 in long" in texts["comparison.html"]
    assert all("8 in" in text for name, text in texts.items() if name.startswith("outlines"))


def test_letters_of_the_pictures_are_in_inches(comparison, tmp_path, monkeypatch) -> None:
    """But for the putter on the ghost, which has both."""
    drawn: list[str] = []

    def note(self, u, v, text, *, bold, _text=Sheet._text) -> None:
        drawn.append(text)
        _text(self, u, v, text, bold=bold)

    monkeypatch.setattr(Sheet, "_text", note)
    with show_lengths_in("inches"):
        lesson_folder(tmp_path / "lesson", comparison)
    metric = [(before, each) for before, each in pairwise(drawn) if re.search(r"\d\scm", each)]
    assert all(re.fullmatch(r"[\d. →]+\sin", before) for before, _ in metric), metric
    assert len(metric) <= 1
    assert sum(bool(re.search(r"\d\sin\b", each)) for each in drawn) > 5


def test_the_picture_to_send_is_in_inches(monkeypatch) -> None:
    drawn: list[str] = []

    def note(self, place, text, *more, _text=ImageDraw.ImageDraw.text, **how) -> None:
        drawn.append(text)
        _text(self, place, text, *more, **how)

    monkeypatch.setattr(ImageDraw.ImageDraw, "text", note)
    numbers = [SentNumber(title="Hands to shoulders", figure="9.5 ± 5.1 cm outside", says="band: 0.0 to 2.0 cm")]
    with show_lengths_in("inches"):
        draw_to_send([("", np.zeros((90, 60, 3), np.uint8))], says="Come 9.5 cm closer.", numbers=numbers, small="")
    said = " ".join(drawn)
    for shown in ("Come 3.7 in closer.", "3.7 ± 2.0 in", "0.0 to 0.8 in"):
        assert shown in said
    assert "cm" not in said
