"""The spec sheet: one page, both units, every limit named, and the same numbers in PDF, HTML and JSON."""

import io
import json
from datetime import date

import pytest
from attrs import evolve
from jsonschema import Draft202012Validator
from pdf_text import read_pdf
from pypdf import PdfReader

from putt_posture.club_spec import find_club_spec
from putt_posture.documents.json_values import document_as_text
from putt_posture.documents.lesson_json import spec_as_json
from putt_posture.documents.schemas import check_document, load_schema
from putt_posture.errors import UsageError
from putt_posture.pages import store_lesson
from putt_posture.pages.club_spec import spec_sheet_as_html, spec_sheet_as_pdf, write_spec_sheet
from putt_posture.values import Estimate, Fit, Student, absent

FIT = Fit(
    putter_length=Estimate(value=84.1, standard_uncertainty=1.2, unit="cm"),
    stock_length_in=33.0,
    lie=Estimate(value=71.6, standard_uncertainty=0.9, unit="deg"),
)
STUDENT = Student(stature_cm=176.0, handed="right", name="Robin Example", putter_length_cm=88.9)


def words(text):
    return " ".join(text.split())


def sheet_of(*, fit=FIT, student=STUDENT, lie=70.0):
    return write_spec_sheet(
        find_club_spec(fit, evolve(student, putter_lie_deg=lie)), student, made_on=date(2026, 5, 17)
    )


def pdf_of(sheet):
    return spec_sheet_as_pdf(sheet, made_on=date(2026, 5, 17))


@pytest.fixture(scope="module")
def sheet():
    return sheet_of()


def nothing_known():
    fit = Fit(putter_length=absent("No hands.", unit="cm"), stock_length_in=None, lie=absent("No shaft.", unit="deg"))
    return sheet_of(fit=fit, student=Student(stature_cm=176.0, handed="left"), lie=None)


def far_off():
    fit = Fit(
        putter_length=Estimate(value=99.0, standard_uncertainty=2.0, unit="cm"), stock_length_in=39.0,
        lie=Estimate(value=79.6, standard_uncertainty=0.9, unit="deg"),
    )  # fmt: skip
    return sheet_of(fit=fit)


def long_putter():
    fit = evolve(FIT, lie=Estimate(value=79.0, standard_uncertainty=0.9, unit="deg"))
    return sheet_of(fit=fit, student=evolve(STUDENT, putter_length_cm=48 * 2.54))


@pytest.mark.parametrize("make", [sheet_of, nothing_known, far_off, long_putter])
def test_it_is_one_page_of_a4_with_all_of_its_text(make):
    sheet = make()
    pdf = pdf_of(sheet)
    pages = PdfReader(io.BytesIO(pdf)).pages
    assert len(pages) == 1
    assert (float(pages[0].mediabox.width), float(pages[0].mediabox.height)) == pytest.approx((595.28, 841.89), abs=0.1)
    text = read_pdf(pdf)
    for part in (sheet.student, *sheet.feel, *sheet.notes, *(check.says for check in sheet.checks)):
        assert words(part) in text
    for row in sheet.rows:
        assert words(row.title) in text
        assert words(row.figure) in text


def test_html_says_what_the_pdf_says(sheet):
    import html

    page = html.unescape(spec_sheet_as_html(sheet))
    for row in sheet.rows:
        for part in (row.title, row.figure, row.other, row.says):
            assert part in page
    for check in sheet.checks:
        assert check.limit in page
        assert check.clause in page


def test_lengths_are_in_inches_and_centimetres(sheet):
    rows = {row.title: row for row in sheet.rows}
    assert rows["Nearest half inch"].figure == "33.0\N{NO-BREAK SPACE}in"
    assert rows["Nearest half inch"].other == "83.8\N{NO-BREAK SPACE}cm"
    assert rows["Leave, cut or extend"].figure == "cut 2.0\N{NO-BREAK SPACE}in"
    assert rows["Leave, cut or extend"].other == "5.1\N{NO-BREAK SPACE}cm"
    assert rows["Suggested length"].figure == "33.1 ± 0.9\N{NO-BREAK SPACE}in"
    assert rows["Suggested length"].other == "84.1 ± 2.4\N{NO-BREAK SPACE}cm"
    assert "top of the grip, along the shaft's axis, to the sole" in rows["Suggested length"].says


def test_a_putter_that_fits_is_left_alone():
    student = Student(stature_cm=176.0, handed="right", putter_length_cm=83.82)
    rows = {row.title: row for row in sheet_of(student=student).rows}
    assert rows["Leave, cut or extend"].figure == "leave at 33.0\N{NO-BREAK SPACE}in"
    assert rows["Leave, cut or extend"].other == "83.8\N{NO-BREAK SPACE}cm"


def test_json_has_the_same_numbers_and_no_nan(sheet):
    spec = find_club_spec(FIT, evolve(STUDENT, putter_lie_deg=70.0))
    document = json.loads(document_as_text(spec_as_json(spec)))
    assert document["length"]["value"] == 84.1
    assert document["stock_change_in"] == -2.0
    assert document["swing_weight_change_points"] == pytest.approx(-16.8)
    assert document["advice"] == "cut"
    assert document["advice_says"].startswith("Cut 2.0\N{NO-BREAK SPACE}in (5.1\N{NO-BREAK SPACE}cm). To 33.0")
    assert document["lie_change"]["value"] == pytest.approx(1.6)
    assert [check["keeps"] for check in document["checks"]] == [True, True, None, None, None]
    bare = spec_as_json(find_club_spec(FIT, Student(stature_cm=176.0, handed="right")))
    assert bare["length_change"]["value"] is None
    assert bare["length_change"]["absent"]


def test_its_schema_is_itself_a_schema_of_draft_2020_12():
    # The meta-schema of JSON Schema draft 2020-12 is the judge, as the jsonschema library carries it.
    Draft202012Validator.check_schema(dict(load_schema("spec_sheet")))


@pytest.mark.parametrize(
    ("student", "fit"),
    [
        (evolve(STUDENT, putter_lie_deg=70.0), FIT),
        (Student(stature_cm=176.0, handed="left"), FIT),
        (
            Student(stature_cm=176.0, handed="left"),
            Fit(putter_length=absent("No hands.", unit="cm"), stock_length_in=None, lie=absent("None.", unit="deg")),
        ),
    ],
)
def test_json_keeps_its_schema(student, fit):
    check_document(
        json.loads(document_as_text(spec_as_json(find_club_spec(fit, student)))), "spec_sheet", what="The numbers do"
    )


@pytest.mark.parametrize(
    ("change", "place"),
    [
        (lambda document: document.pop("loft"), "the top"),
        (lambda document: document.update(stock_length_in=33.3), "stock_length_in"),
        (lambda document: document["length"].update(unit="in"), "length/unit"),
        (lambda document: document["lie_change"].update(absent=None), "lie_change"),
        (lambda document: document["checks"][0].update(keeps="yes"), "checks/0/keeps"),
        (lambda document: document.update(putter="mine"), "the top"),
    ],
)
def test_a_document_that_differs_from_its_schema_is_refused_with_the_place(change, place):
    document = spec_as_json(find_club_spec(FIT, STUDENT))
    change(document)
    with pytest.raises(UsageError, match=f"The numbers do not match schema 1 at {place}"):
        check_document(document, "spec_sheet", what="The numbers do")


def test_a_spec_that_breaks_its_schema_is_not_written(lesson, tmp_path):
    spoilt = evolve(find_club_spec(FIT, STUDENT), stock_length_in=33.3)
    with pytest.raises(UsageError, match="spec sheet do not match schema 1 at stock_length_in"):
        store_lesson(evolve(lesson, spec=spoilt), tmp_path / "out")
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("name", ["#panic() *bold* $x$", "<b>&amp;</b>"])
def test_a_name_is_text_and_no_markup(name):
    sheet = sheet_of(student=Student(stature_cm=176.0, handed="right", name=name))
    assert words(name) in read_pdf(pdf_of(sheet))
    assert "<b>&amp;</b>" not in spec_sheet_as_html(sheet)
