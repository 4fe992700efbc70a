"""Outlines over each other: in centimetres, closed, without specks, with two colours and two dashes."""

import re
from xml.etree import ElementTree

import numpy as np
import pytest
from attrs import evolve
from compared import paper_view

from putt_posture.drawing.charts import AFTER, BEFORE
from putt_posture.drawing.outlines import draw_outlines
from putt_posture.values import absent

POINTS = re.compile(r"[ML] (-?[\d.]+) (-?[\d.]+)")
SAME = 0.6
"""Points of the drawing; a cell of the grid is about two."""


def edges(svg, colour):
    """Return left, top, right, bottom of every unfilled long line of a colour, in points of the drawing."""
    found = []
    for path in ElementTree.fromstring(svg).iter("{http://www.w3.org/2000/svg}path"):
        style = path.get("style") or ""
        points = np.array(POINTS.findall(path.get("d") or ""), dtype=float)
        if f"stroke: {colour.lower()}" in style.lower() and len(points) > 20:
            found.append((*points.min(axis=0), *points.max(axis=0)))
    return np.array(found)


def test_posts_of_one_size_lie_on_each_other_whatever_the_camera() -> None:
    drawn = draw_outlines(paper_view(px_per_cm=5.0), paper_view(px_per_cm=6.5, roll_deg=3.0, feet=(500.0, 1650.0)))
    (before,), (after,) = edges(drawn.svg, BEFORE), edges(drawn.svg, AFTER)
    assert before == pytest.approx(after, abs=SAME)
    wide, high = before[2] - before[0], before[3] - before[1]
    assert high / wide == pytest.approx(150 / 20, rel=0.05)


def test_a_speck_and_a_pinhole_are_not_drawn() -> None:
    view = paper_view()
    outline = view.outline.copy()
    outline[100:106, 100:106] = 255
    outline[1200:1206, 530:536] = 0
    drawn = draw_outlines(evolve(view, outline=outline), view)
    assert len(edges(drawn.svg, BEFORE)) == 1


def test_a_hole_between_arm_and_body_is_drawn() -> None:
    view = paper_view()
    outline = view.outline.copy()
    outline[1100:1250, 520:560] = 0
    whole, holed = (draw_outlines(evolve(view, outline=each), view).svg for each in (view.outline, outline))
    assert len(POINTS.findall(holed)) > len(POINTS.findall(whole)) + 2 * 30  # once around it, in fill and in line


def test_before_is_dashed_and_after_is_solid() -> None:
    svg = draw_outlines(paper_view(), paper_view(tall=140.0)).svg
    dashes = {colour: set() for colour in (BEFORE, AFTER)}
    for path in ElementTree.fromstring(svg).iter("{http://www.w3.org/2000/svg}path"):
        style = (path.get("style") or "").lower()
        for colour, seen in dashes.items():
            if f"stroke: {colour.lower()}" in style and "fill: none" in style:
                seen.add("stroke-dasharray" in style)
    assert dashes == {BEFORE: {True}, AFTER: {False}}


def test_a_camera_on_the_other_side_mirrors_the_earlier_outline() -> None:
    # A post with an arm to the right of the picture, and the same seen from the other side.
    def armed(forward):
        view = paper_view(forward=forward)
        outline = view.outline.copy()
        ahead = slice(590, 700) if forward > 0 else slice(380, 490)
        outline[1000:1060, ahead] = 255
        return evolve(view, outline=outline)

    drawn = draw_outlines(armed(-1), armed(1))
    (before,), (after,) = edges(drawn.svg, BEFORE), edges(drawn.svg, AFTER)
    assert before == pytest.approx(after, abs=SAME)


def test_a_view_that_cannot_be_placed_gives_no_drawing() -> None:
    view = paper_view()
    lost = evolve(view, record=evolve(view.record, px_per_cm=absent("There is no scale.", unit="px/cm")))
    assert draw_outlines(lost, view) is None
