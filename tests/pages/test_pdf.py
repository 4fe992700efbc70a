"""The PDF says what the JSON and the HTML say, on A4."""

import json
import re

import pytest
from invented import make_lesson
from pdf_text import read_pdf
from pypdf import PdfReader

from putt_posture.documents import lesson_as_json, rows_of
from putt_posture.drawing.stills import as_jpeg, draw_stills
from putt_posture.measures import LENGTH_CONVENTION
from putt_posture.pages import write_report
from putt_posture.pages.report import report_as_pdf
from putt_posture.wording import CAUTIONS

A4_POINTS = (595.28, 841.89)
"""210 mm × 297 mm (ISO 216) at 72 points an inch."""


def words(text):
    """Return text as words with plain spaces: line breaks of the setting do not count."""
    return " ".join(text.split())


def pdf_of(lesson):
    stills = draw_stills(lesson)
    pictures = {each.view: as_jpeg(each.annotated, most_bytes=200_000) for each in stills}
    return report_as_pdf(write_report(lesson, stills=stills), pictures=pictures)


@pytest.fixture(scope="module")
def reader(folder):
    return PdfReader(folder / "report.pdf")


@pytest.fixture(scope="module")
def text(folder):
    return read_pdf(folder / "report.pdf")


def test_its_pages_are_a4(reader):
    for page in reader.pages:
        assert (float(page.mediabox.width), float(page.mediabox.height)) == pytest.approx(A4_POINTS, abs=0.1)


def test_every_row_is_there_with_its_numbers_and_sentences(text, lesson):
    for row in rows_of(lesson):
        for part in (row.title, row.figure, row.imperial, row.absent):
            assert words(part) in text, row.name
        if row:
            for part in (row.what, row.direction, row.stroke, row.interval):
                assert words(part) in text, row.name


def test_its_numbers_are_those_of_the_json(text, folder):
    measures = json.loads((folder / "measures.json").read_text(encoding="utf-8"))["measures"]
    tilt = measures["spine_tilt"]
    found = re.search(r"Spine tilt (\d+\.\d) ± (\d+\.\d)°", text)
    assert found
    assert float(found[1]) == pytest.approx(tilt["value"], abs=0.05)
    assert float(found[2]) == pytest.approx((tilt["high"] - tilt["low"]) / 2, abs=0.05)


def test_the_length_and_the_cautions_are_there(text, lesson):
    length = lesson_as_json(lesson)["fit"]["putter_length"]
    assert f"{length['inches']:.1f} ± 1.2 in" in text
    for part in (LENGTH_CONVENTION, *CAUTIONS, "ab12" * 16):
        assert words(part) in text


def test_it_carries_both_pictures_with_their_descriptions(reader, stills):
    assert sum(len(page.images) for page in reader.pages) == len(stills)
    assert reader.trailer["/Root"]["/MarkInfo"]["/Marked"]


def test_its_fonts_travel_with_it(reader):
    for page in reader.pages:
        for font in page["/Resources"]["/Font"].values():
            inner = font.get_object()["/DescendantFonts"][0].get_object()["/FontDescriptor"].get_object()
            assert any(key.startswith("/FontFile") for key in inner)


@pytest.mark.parametrize("name", ["#panic() *bold* _it_ $x$ <label> @ref", "= Heading // comment \\", "[#import]"])
def test_a_name_is_text_and_no_markup(name):
    assert words(name) in read_pdf(pdf_of(make_lesson(name=name, views=("face_on",))))


def test_a_name_in_other_letters_is_set():
    pdf = pdf_of(make_lesson(name="Žofie Łucja محمد", views=("down_the_line",)))
    assert "Žofie Łucja" in read_pdf(pdf)


def test_a_lesson_without_any_measure_is_set(lesson):
    from attrs import evolve

    from putt_posture.values import Fit, absent

    estimates = {name: absent("Nothing was seen.", unit=each.unit) for name, each in lesson.posture.estimates.items()}
    fit = Fit(
        putter_length=absent("No hand height.", unit="cm"), stock_length_in=None, lie=absent("No shaft.", unit="deg")
    )
    text = read_pdf(pdf_of(evolve(lesson, posture=evolve(lesson.posture, estimates=estimates), fit=fit)))
    assert "No measure could be taken" in text
    assert "No hand height." in text
