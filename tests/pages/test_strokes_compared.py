"""The strokes of two lessons on the page of a comparison: laid together where both have them, else said why not."""

import re
import sys
from pathlib import Path

import pytest
from attrs import evolve
from changed_lesson import make_changed_lesson
from compared import make_after

sys.path.insert(0, str(Path(__file__).parents[1] / "strokes"))
from pdf_text import read_pdf
from shown_strokes import add_strokes

from putt_posture.comparison import compare
from putt_posture.drawing.charts import AFTER, BEFORE
from putt_posture.drawing.stroke_times import find_time_stretch
from putt_posture.pages.comparison import (
    ComparisonReport,
    comparison_as_html,
    comparison_as_pdf,
    draw_pictures,
    write_comparison,
)
from putt_posture.pages.stroke_comparison import draw_strokes_together, write_strokes_together


def compared(before=None, after=None):
    return compare(
        add_strokes(make_changed_lesson(), stills=False, **(before or {})),
        add_strokes(make_after(), stills=False, length=29.0, **(after or {})),
    )


@pytest.fixture(scope="module")
def both():
    return compared()


def said_of(comparison):
    return " ".join(write_strokes_together(comparison, charts=draw_strokes_together(comparison)).says)


def test_times_stand_under_each_other_and_paths_over_each_other(both):
    charts = draw_strokes_together(both)
    assert list(charts) == ["strokes_times", "strokes_from_behind", "strokes_from_front"]
    said = re.findall(r"<!-- (.*?) -->", charts["strokes_times"])
    assert said.index("Before") < said.index("After")
    for name in ("strokes_from_front", "strokes_from_behind"):
        assert {"before", "after"} <= set(re.findall(r"<!-- (.*?) -->", charts[name]))
        assert f"stroke: {BEFORE.lower()}" in charts[name]
        assert f"stroke: {AFTER.lower()}" in charts[name]


def test_a_lesson_without_a_stroke_is_said_and_nothing_is_drawn():
    comparison = compare(add_strokes(make_changed_lesson(), stills=False), make_after())
    assert draw_strokes_together(comparison) == {}
    assert said_of(comparison) == "The lesson after has no stroke, so there is nothing to lay it beside."
    assert write_strokes_together(compare(make_changed_lesson(), make_after()), charts=()) is None


def test_strokes_from_different_sides_are_not_laid_together():
    comparison = compared({"views": ("face_on",)}, {"views": ("down_the_line",)})
    assert draw_strokes_together(comparison) == {}
    assert "from different sides" in said_of(comparison)


def test_paths_that_were_not_kept_are_said(both):
    record = both.before.record
    bare = {view: tuple(evolve(each, paths={}) for each in strokes) for view, strokes in record.strokes.of.items()}
    before = evolve(both.before, record=evolve(record, strokes=evolve(record.strokes, of=bare)))
    comparison = evolve(both, before=before)
    assert list(draw_strokes_together(comparison)) == ["strokes_times"]
    assert "paths were not kept" in said_of(comparison)


def part_about_the_stroke(comparison):
    """Return what the page says of the strokes and their numbers; its pictures are only named here."""
    said = write_strokes_together(comparison, charts=())
    bare = ComparisonReport(
        student="Robin", facts=(), summary="None.", taken_up="", changed=(), maybe=(), unchanged=(), absent_rows=(),
        before="", after="", views=(), missing=(), arcs=None, neither="", how=(), warnings=(), cautions=(), sources=(),
        line="", strokes=said,
    )  # fmt: skip
    page = comparison_as_html(bare, pictures={})
    return said, page[page.index(">The stroke<") :]


def test_the_numbers_are_counted_and_stand_in_a_table_even_where_none_changed(both):
    said, part = part_about_the_stroke(both)
    assert said.summary.startswith(f"None of the {len(said.unchanged)} numbers of the stroke taken in both lessons")
    assert not said.changed + said.maybe
    assert said.summary in part
    assert f"Every number of the stroke ({len(said.unchanged)})" in part
    assert "Backswing time</th>" in part


def test_a_change_of_the_stroke_is_named_with_its_figures(both):
    real = {"head_along": evolve(both.changes.strokes["head_along"], chance=0.0001, joint_chance=0.001)}
    moved = evolve(both, changes=evolve(both.changes, strokes={**both.changes.strokes, **real}))
    said, part = part_about_the_stroke(moved)
    assert [row.title for row in said.changed] == ["Head moves along the line"]
    assert said.summary.startswith("One of the")
    assert "Head moves along the line</h3>" in part.partition("Every number of the stroke")[0]


def test_few_strokes_are_said_to_be_few(both):
    assert "fewer than three strokes" in said_of(both)
    assert "fewer than three" not in said_of(compared({"kinds": ("putt",) * 3}, {"kinds": ("putt",) * 3}))


def test_slow_motion_is_told_from_the_strokes_own_durations(both):
    stroke = both.before.record.strokes.of["face_on"][0]
    slow = evolve(
        stroke, events={name: evolve(each, value=8 * each.value) for name, each in stroke.events.items()}
    )  # fmt: skip
    assert find_time_stretch(stroke) == pytest.approx(1.0)
    assert find_time_stretch(slow) == pytest.approx(8.0)
    assert find_time_stretch(evolve(stroke, numbers={})) == 1.0


def test_the_page_and_the_pdf_show_them_and_name_the_clip(both):
    pictures = draw_pictures(both)
    report = write_comparison(both, pictures=pictures, clips=("face_on",))
    charts = {name: chart.encode() for name, chart in pictures.charts.items()}
    bare = evolve(report, views=())
    page = comparison_as_html(bare, pictures=charts)
    assert '<video controls preload="metadata" playsinline src="strokes_face_on.mp4"' in page
    assert "media-src" in page
    without = evolve(bare, strokes=evolve(bare.strokes, clips=()))
    assert "media-src" not in comparison_as_html(without, pictures=charts)
    text = read_pdf(comparison_as_pdf(bare, pictures=charts))
    assert "strokes_face_on.mp4" in text
    assert "One stroke of each lesson is shown." in text
    assert report.strokes.summary.split(".")[0] in text
    assert "Every number of the stroke" in text
    assert "There is no clip of both strokes" not in text


def test_where_no_clip_could_be_shown_the_page_says_so_and_where_it_shows_them_otherwise_it_does_not(both):
    says = {clips: write_strokes_together(both, charts=(), clips=clips).says for clips in (None, (), ("face_on",))}
    lacking = "There is no clip of both strokes side by side"
    assert [any(lacking in each for each in of) for of in says.values()] == [False, True, False]
