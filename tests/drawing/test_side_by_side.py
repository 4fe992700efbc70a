"""Both halves are at one scale, upright, with the ground level and the feet at the same place."""

from datetime import date

import numpy as np
import pytest
from attrs import evolve
from compared import paper_view

from putt_posture.drawing.side_by_side import WIDTH, cut_halves, draw_side_by_side
from putt_posture.values import absent

DAYS = (date(2026, 5, 17), None)
PIXELS = 3
"""Resampling softens an edge by a pixel or two, and the ground line covers one."""


def posts(picture):
    """Return left, top, right, bottom of the white post in each half, from the half's own left edge."""
    wide = (picture.shape[1] - 12) // 2
    found = []
    for half in (picture[:, :wide], picture[:, -wide:]):
        inside = half[200:].min(axis=2) > 128  # below the banner
        rows, columns = np.nonzero(inside & (inside.sum(axis=1) < 0.6 * wide)[:, None])
        found.append((columns.min(), rows.min(), columns.max(), rows.max()))
    return np.array(found)


@pytest.mark.parametrize("roll_deg", [0.0, 4.0])
def test_posts_of_one_size_filmed_differently_look_the_same(roll_deg) -> None:
    before = paper_view(px_per_cm=5.0, feet=(540.0, 1500.0))
    after = paper_view(px_per_cm=6.5, roll_deg=roll_deg, feet=(500.0, 1650.0))
    picture = draw_side_by_side(cut_halves(before, after), days=DAYS)
    assert picture.shape[1] == pytest.approx(WIDTH, abs=2)
    one, two = posts(picture)
    assert one == pytest.approx(two, abs=PIXELS)


def test_a_post_half_as_tall_is_drawn_half_as_tall() -> None:
    one, two = posts(
        draw_side_by_side(cut_halves(paper_view(tall=160.0), paper_view(px_per_cm=6.0, tall=80.0)), days=DAYS)
    )
    heights = [post[3] - post[1] for post in (one, two)]
    assert heights[1] / heights[0] == pytest.approx(0.5, abs=0.02)
    assert one[3] == pytest.approx(two[3], abs=PIXELS)


def test_a_view_that_cannot_be_placed_gives_no_picture() -> None:
    view = paper_view()
    lost = evolve(view, record=evolve(view.record, px_per_cm=absent("There is no scale.", unit="px/cm")))
    assert cut_halves(view, lost) is None
    assert cut_halves(lost, view) is None
