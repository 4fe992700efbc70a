"""A whole result folder and the terminal read for numbers: one quantity has one text, wherever it stands."""

import html
import io
import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from attrs import evolve
from invented import MADE_ON, make_lesson
from pdf_text import read_pdf

from putt_posture.cli.lesson import show_lesson
from putt_posture.cli.table import open_console, show_fit
from putt_posture.club_spec import find_club_spec
from putt_posture.documents.tables import rows_of
from putt_posture.figures import DECIMALS, as_printed, format_both, format_length, format_stature, inches
from putt_posture.fitting import fit_putter
from putt_posture.measures import MEASURES, say_value
from putt_posture.pages import store_lesson
from putt_posture.setup_arc import compare_setups
from putt_posture.values import Estimate, Lesson, MeasureName

ODD: dict[MeasureName, float] = {
    "spine_tilt": 0.63, "hand_offset": 0.77, "hand_height": 0.58, "shaft_lie": -0.36, "eye_offset": 0.41,
    "knee_flex": -0.74, "back_rounding": 0.26, "head_drop": 0.68, "stance_width": 0.71, "ball_distance": -0.29,
}  # fmt: skip
"""What is added to the invented measures, so that none is a whole number."""

NUMBER = re.compile(
    r"(?<![\w.:×-])([+−]?\d+(?:\.\d+)?)"
    r"(?=(?:\s*(?:±|→|to|\()?\s*[+−]?\d+(?:\.\d+)?\)?)*\s*(°|cm\b|in\b|%))"
)
"""A number whose unit follows, at once or behind its margin, its interval, or the end of an arrow."""

UNITS = {"°": "deg", "cm": "cm", "in": "in", "%": "%"}

Token = tuple[str, str]
"""Digits as they are written, without a sign, and the unit."""


def lesson_of(*, more: float, stature_cm: float, putter_in: float) -> Lesson:
    """Return the invented lesson with odd numbers, a real fit, and all that follows from it."""
    made = make_lesson()
    student = evolve(made.student, stature_cm=stature_cm, putter_length_cm=putter_in * 2.54, putter_lie_deg=69.5)
    estimates = dict(made.posture.estimates)
    for name, by in ODD.items():
        old = estimates[name]
        estimates[name] = evolve(
            old, value=old.value + by + more, standard_uncertainty=old.standard_uncertainty + 0.113
        )
    length = Estimate(
        value=student.putter_length_cm + 1.37, standard_uncertainty=2.23, unit="cm", view="down_the_line", frames=3,
        method="the shaft as found in the picture",
    )  # fmt: skip
    posture = evolve(made.posture, estimates=estimates | {"putter_length": length})
    fit = fit_putter(posture, student)
    assert fit.putter_length, fit.putter_length.absent
    return evolve(
        made, student=student, posture=posture, fit=fit, spec=find_club_spec(fit, student),
        arcs=compare_setups(posture, student, fit),
    )  # fmt: skip


def page_text(path: Path) -> str:
    """Return what a page says, the words for those who do not see its pictures included."""
    page = re.sub(r"<style>.*?</style>", " ", path.read_text(encoding="utf-8"), flags=re.S)
    alts = " ".join(re.findall(r'alt="([^"]*)"', page))
    return html.unescape(re.sub(r"<[^>]*>", " ", re.sub(r'src="data:[^"]*"', "", page)) + " " + alts)


def terminal_text(lesson: Lesson) -> str:
    said = io.StringIO()
    show_lesson(lesson, console=open_console(said))
    show_fit(lesson.fit, lesson.spec, lesson.student, console=open_console(said))
    return said.getvalue()


def texts_of(lesson: Lesson, folder: Path) -> dict[str, str]:
    texts = {name: page_text(folder / name) for name in ("report.html", "spec_sheet.html")}
    for name in ("report.pdf", "spec_sheet.pdf"):
        texts[name] = read_pdf(folder / name)
    texts["terminal"] = terminal_text(lesson)
    return {name: " ".join(text.split()) for name, text in texts.items()}


def tokens(text: str) -> set[Token]:
    return {(found[1].lstrip("+−"), UNITS[found[2]]) for found in NUMBER.finditer(text)}


def quantities(lesson: Lesson) -> Iterator[tuple[float, str]]:
    """Yield every number of a lesson, its margin too, in its unit and in inches."""
    fit, student = lesson.fit, lesson.student
    estimates = [
        *lesson.posture.estimates.values(), fit.putter_length, fit.lie, *fit.setup.values(),
        *(each.length for each in fit.evidence), lesson.spec.length_change, lesson.spec.lie_change,
        lesson.arcs.before.lean, lesson.arcs.before.depth, lesson.arcs.after.lean, lesson.arcs.after.depth,
    ]  # fmt: skip
    numbers = [(each, one.unit) for one in estimates if one for each in (one.value, one.margin)]
    numbers += [(each, "cm") for each in (student.stature_cm, student.wrist_floor_cm, student.putter_length_cm)]
    for value, unit in numbers:
        yield abs(value), unit
        if unit == "cm":
            yield inches(abs(value)), "in"


@pytest.fixture(scope="module")
def lesson():
    return lesson_of(more=0.0, stature_cm=172.72, putter_in=33.4)


@pytest.fixture(scope="module")
def texts(lesson, tmp_path_factory):
    folder = store_lesson(lesson, tmp_path_factory.mktemp("numbers") / "report", made_on=MADE_ON)
    return texts_of(lesson, folder)


@pytest.fixture(scope="module")
def said_of_everybody(tmp_path_factory):
    """The numbers of fixed sentences: those that the pages of quite another lesson have too."""
    other = lesson_of(more=1.17, stature_cm=181.3, putter_in=36.8)
    folder = store_lesson(other, tmp_path_factory.mktemp("other") / "report", made_on=MADE_ON)
    return set().union(*(tokens(text) for text in texts_of(other, folder).values()))


def test_no_quantity_is_written_with_other_digits_anywhere(lesson, texts, said_of_everybody):
    wrong = {
        (f"{value:.{decimals}f}", unit): value
        for value, unit in quantities(lesson)
        for decimals in (0, 2)
        if round(value, decimals) != as_printed(value, unit)
    }
    found = {
        (name, token, wrong[token])
        for name, text in texts.items()
        for token in tokens(text)
        if token in wrong and token not in said_of_everybody
    }
    assert not found


def test_the_pages_hold_enough_numbers_to_tell(lesson, texts):
    right = {(f"{value:.{DECIMALS[unit]}f}", unit) for value, unit in quantities(lesson)}
    for name, least in (("report.html", 80), ("report.pdf", 60), ("terminal", 60), ("spec_sheet.html", 12)):
        assert len(tokens(texts[name]) & right) >= least, name


def test_a_measure_reads_the_same_on_page_pdf_terminal_and_still(lesson, texts):
    for row in rows_of(lesson):
        if not row:
            continue
        figure = " ".join(row.figure.split())
        for name in ("report.html", "report.pdf", "terminal"):
            assert figure in texts[name], (row.name, name)
    stills = texts["report.html"]
    for name in ("spine_tilt", "hand_offset", "knee_flex"):
        says = say_value(MEASURES[name], lesson.posture[name], short=not MEASURES[name].signed, margin=True)
        assert f"{MEASURES[name].title.lower()} {' '.join(says.split())}" in stills


def test_length_putter_in_use_and_stature_read_the_same_everywhere(lesson, texts):
    length, student = lesson.fit.putter_length, lesson.student
    both = " ".join(format_both(length).split())
    assert both in texts["terminal"]
    for name in ("report.html", "report.pdf", "spec_sheet.html", "spec_sheet.pdf"):
        for half in both.rstrip(")").split(" ("):
            assert half in texts[name], name
    in_use = " ".join(format_length(student.putter_length_cm).split())
    assert in_use in texts["terminal"]
    assert in_use in texts["report.html"]
    assert all(part in texts["spec_sheet.html"] for part in in_use.rstrip(")").split(" ("))
    assert format_stature(student.stature_cm) == "172.7 cm (5 ft 8 in)"
    for name in ("terminal", "report.html", "report.pdf"):
        assert "172.7 cm (5 ft 8 in)" in texts[name]


def test_what_to_do_about_the_putter_in_use_is_one_sentence_everywhere(lesson, texts):
    says = " ".join(lesson.spec.advice_sentence.split())
    for name in ("report.html", "report.pdf", "terminal"):
        assert says in texts[name], name


def test_the_part_of_a_club_is_a_putter_head(texts):
    for name, text in texts.items():
        assert not re.search(r"\b[Tt]he heads?\b|\b[Ff]eel of the head\b|\ba heavy head\b", text), name
