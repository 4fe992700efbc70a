"""What the wanted setup changes is in folder, HTML, PDF and JSON; what is missing is left out."""

import html
import json

import pytest
from attrs import evolve
from changed_lesson import make_changed_lesson
from pdf_text import read_pdf

from putt_posture.documents import lesson_as_json, validate
from putt_posture.pages import store_lesson, write_report
from putt_posture.pages.wanted_setup import draw_change
from putt_posture.setup_arc import GEOMETRY_ONLY
from putt_posture.values import Estimate

NEW = {
    "spec_sheet.html", "spec_sheet.pdf", "spec_sheet.json", "stills/ghost.png", "stills/curves.svg", "stills/arc.svg",
}  # fmt: skip
ARC_HEADING = "From setup to stroke, if the arms swing square about the shoulders"


def words(text):
    return " ".join(text.split())


@pytest.fixture(scope="module")
def changed():
    return make_changed_lesson()


@pytest.fixture(scope="module")
def stored(changed, tmp_path_factory):
    return store_lesson(changed, tmp_path_factory.mktemp("changed") / "report")


def test_the_folder_holds_the_ghost_the_charts_and_the_spec(stored):
    assert {str(each.relative_to(stored)) for each in stored.rglob("*") if each.is_file()} >= NEW


def test_html_shows_the_ghost_the_curves_and_the_arc_with_what_it_assumes_and_no_table_of_windows(stored):
    page = html.unescape((stored / "report.html").read_text(encoding="utf-8"))
    for part in ("The setup to work toward", ARC_HEADING, GEOMETRY_ONLY):
        assert part in page
    assert "all of it" not in page
    assert "3 m (9.8" not in page
    assert page.count("data:image/svg+xml") == 2
    assert page.count("data:image/jpeg") == 4  # two stills, one of them without labels too, and the ghost
    assert "http" not in page.replace("http-equiv", "")


def test_the_pdf_says_the_same(stored):
    text = read_pdf(stored / "report.pdf")
    for part in ("The setup to work toward", ARC_HEADING, GEOMETRY_ONLY, "As filmed", "Wanted setup"):
        assert words(part) in text
    assert "all of it" not in text


def test_json_keeps_its_schema_with_and_without_arcs(stored, changed):
    document = json.loads((stored / "measures.json").read_text(encoding="utf-8"))
    validate(document)
    assert document["arcs"]["before"]["depth"]["value"] == pytest.approx(changed.arcs.before.depth.value)
    assert document["arcs"]["windows"][1]["after"]["share"] == 1
    bare = lesson_as_json(evolve(changed, arcs=None))
    validate(bare)
    assert bare["arcs"] is None


def test_disagreements_and_the_stand_of_the_sole_are_said(changed):
    lift = Estimate(value=0.6, standard_uncertainty=0.2, unit="cm", method="putter of 71° lie on a shaft at 74°")
    fit = evolve(changed.fit, disagreements=("Two ways differ by an inch.",), toe_lift=lift)
    length = write_report(evolve(changed, fit=fit), stills=()).length
    assert length.disagreements == ("Two ways differ by an inch.",)
    assert "The toe of a putter of 71° lie" in length.toe_lift
    assert "0.6 ± 0.4" in length.toe_lift
    level = write_report(evolve(changed, fit=evolve(fit, toe_lift=evolve(lift, value=-0.1))), stills=()).length
    assert "may be level" in level.toe_lift


def test_a_lesson_without_a_wanted_setup_has_no_such_section(lesson):
    assert draw_change(lesson) is None


def test_an_arc_alone_is_shown_alone(changed):
    change = draw_change(evolve(changed, fit=evolve(changed.fit, figure=None, curves=None)))
    assert change.ghost is None
    assert set(change.charts) == {"arc"}
    assert change.section.arcs is not None
    assert change.section.ghost is None
    assert change.section.curves is None
