"""The HTML carries everything, asks for nothing, and shows names as text."""

import base64
import io
from html.parser import HTMLParser
from pathlib import Path

import pytest
from attrs import evolve
from invented import MADE_ON, make_lesson
from pdf_text import read_pdf
from PIL import Image

from putt_posture.documents import rows_of
from putt_posture.drawing.stills import as_jpeg, draw_stills
from putt_posture.measures import LENGTH_CONVENTION
from putt_posture.pages import write_report
from putt_posture.pages.report import Report, report_as_html, report_as_pdf
from putt_posture.wording import CAUTIONS, NO_NORM, UNCERTAINTY

MOST_BYTES = 1_500_000
"""Goes through e-mail and opens at once on a phone."""

HOSTILE = [
    "<script>alert(1)</script>",
    '"><img src=x onerror=alert(1)>',
    "{{ 7 * 7 }} {% raw %}",
    "עדי רזי \u202eabc",
    "محمد بن علي",
    "A" * 400,
]


class Page(HTMLParser):
    def __init__(self, text):
        super().__init__(convert_charrefs=True)
        self.elements, self.texts, self._within = [], [], []
        self.feed(text)
        self.close()

    def handle_starttag(self, tag, attrs):
        self.elements.append((tag, dict(attrs)))
        self._within.append(tag)

    def handle_endtag(self, tag):
        while self._within and self._within.pop() != tag:
            pass

    def handle_data(self, data):
        if "style" not in self._within:
            self.texts.append(data)

    @property
    def text(self):
        return " ".join(" ".join(self.texts).split())


def page_of(lesson):
    stills = draw_stills(lesson)
    report = write_report(lesson, stills=stills)
    return Page(
        report_as_html(report, pictures={each.view: as_jpeg(each.annotated, most_bytes=200_000) for each in stills})
    )


@pytest.fixture(scope="module")
def text(folder):
    return (folder / "report.html").read_text(encoding="utf-8")


@pytest.fixture(scope="module")
def page(text):
    return Page(text)


def squeezed(text):
    return " ".join(text.split())


def test_it_is_small_enough_for_an_email(text):
    assert len(text.encode()) < MOST_BYTES


def test_it_refers_to_nothing_outside_itself(page, text):
    for tag, attributes in page.elements:
        assert tag not in {"script", "link", "iframe", "object", "embed", "base", "form"}
        for name in ("src", "href", "srcset", "data", "poster", "action", "background"):
            assert attributes.get(name, "data:").startswith(("data:", "#")), (tag, attributes)
        assert not [name for name in attributes if name.startswith("on")]
    assert "url(" not in text
    assert "@import" not in text
    assert "http:" not in text
    assert "https:" not in text


def test_its_policy_forbids_everything_but_its_own_pictures_and_styles(page):
    policies = [
        each.get("content") for tag, each in page.elements if each.get("http-equiv") == "Content-Security-Policy"
    ]
    assert policies == ["default-src 'none'; img-src data:; style-src 'unsafe-inline'"]


def test_its_pictures_open_and_are_described(page, stills):
    glance, *pictures = [attributes for tag, attributes in page.elements if tag == "img"]
    assert glance["alt"] == "Down the line, without labels"
    assert [each["alt"] for each in pictures] == [still.says for still in stills]
    for each, still in zip(pictures, stills, strict=True):
        kind, _, data = each["src"].partition(",")
        assert kind == "data:image/jpeg;base64"
        picture = Image.open(io.BytesIO(base64.b64decode(data)))
        picture.load()
        assert picture.size == still.annotated.shape[1::-1]


def test_every_row_is_there_with_its_numbers_and_sentences(page, lesson):
    for row in rows_of(lesson):
        for part in (row.title, row.figure, row.imperial, row.absent):
            assert squeezed(part) in page.text, row.name
        if row:
            for part in (row.what, row.direction, row.stroke, row.interval):
                assert squeezed(part) in page.text, row.name


def test_absent_measures_are_folded_away(page):
    assert "Not measured (1)" in page.text
    assert page.text.index("Not measured (1)") < page.text.rindex("The butt end of the grip is not seen.")


def test_the_length_comes_with_interval_stock_lie_convention_and_evidence(page, lesson):
    for part in ("34.0 ± 1.2 in", "86.4 ± 2.9 cm", "32.8 to 35.2 in (83.5 to 89.3 cm)", "34.0 in (86.4 cm)",
                 LENGTH_CONVENTION, "70.6 ± 2.5°",
                 *(each.says for each in lesson.fit.evidence), *lesson.fit.assumptions):  # fmt: skip
        assert part in page.text


def test_it_says_margins_norms_cautions_warnings_frames_scale_and_digest(page, lesson):
    scale = "6.50 pixels a centimetre ± 3.9 %, from the student's height"
    for part in (UNCERTAINTY, NO_NORM, *CAUTIONS, *lesson.warnings, "2.30 s, 2.40 s, 2.50 s", scale, "ab12" * 16,
                 "side.mov", "turned by 90°", "sha256 1234abcd", "right-handed", "178 cm (5 ft 10 in)",
                 f"{MADE_ON.day} May {MADE_ON.year}"):  # fmt: skip
        assert part in page.text, part


@pytest.mark.parametrize("name", HOSTILE)
def test_a_name_is_shown_as_text_whatever_it_holds(name):
    page = page_of(make_lesson(name=name, views=("face_on",)))
    assert not [tag for tag, _ in page.elements if tag == "script"]
    assert len([tag for tag, _ in page.elements if tag == "img"]) == 1
    assert squeezed(name) in page.text
    heading = next(attributes for tag, attributes in page.elements if tag == "h1")
    assert heading.get("dir") == "auto"


def test_a_nameless_student_is_called_student():
    assert "Student" in page_of(make_lesson(name=None, views=("face_on",))).text


def test_the_report_says_the_warnings_once(lesson):
    report = write_report(lesson, stills=())
    assert isinstance(report, Report)
    assert len(report.warnings) == len(set(report.warnings)) == 1


def test_text_that_no_encoder_knows_becomes_question_marks_when_a_page_is_set():
    """A file name that is no text holds lone surrogates. The text of a page keeps them until it is set."""
    lesson = make_lesson()
    result = lesson.views["face_on"]
    odd = evolve(result, clip=evolve(result.clip, path=Path("/clips/f\udcffront.mov")))
    changed = evolve(
        lesson,
        student=evolve(lesson.student, name="Ro\udcffbin"),
        views={**lesson.views, "face_on": odd},
        warnings=("Look at \udcff.",),
    )
    stills = draw_stills(changed)
    pictures = {each.view: as_jpeg(each.annotated, most_bytes=200_000) for each in stills}
    report = write_report(changed, stills=stills)
    assert "Look at \udcff." in report.warnings
    page = Page(report_as_html(report, pictures=pictures).encode("utf-8").decode("utf-8")).text
    assert all(each in page for each in ("f?ront.mov", "Look at ?.", "Ro?bin"))
    assert "Ro?bin" in read_pdf(report_as_pdf(report, pictures=pictures))
