"""The pictures of a comparison, view by view, with what they show in words."""

from typing import Final

from attrs import field, frozen

from putt_posture.report.arc_chart import ArcNames, draw_arc_chart
from putt_posture.report.comparison.outlines import draw_outlines
from putt_posture.report.comparison.side_by_side import draw_side_by_side
from putt_posture.report.estimate_json import plain
from putt_posture.report.parts import Plate
from putt_posture.values import VIEW_TITLES, VIEWS, Comparison, Picture, View

__all__ = ["NAMES", "ComparedView", "Pictures", "draw_pictures"]

NAMES: Final = ArcNames(before="before", after="after")


@frozen(kw_only=True)
class ComparedView:
    """The two plates of one view."""

    title: str
    stills: Plate
    outlines: Plate


@frozen(kw_only=True, eq=False)
class Pictures:
    """What is drawn.

    Attributes
    ----------
    stills : mapping of file name without ending to (H, W, 3) uint8
        RGB.
    charts : mapping of file name without ending to str
        SVG.
    views : tuple of ComparedView
    missing : tuple of str
        Sentences on what could not be drawn.
    """

    stills: dict[str, Picture] = field(repr=False)
    charts: dict[str, str] = field(repr=False)
    views: tuple[ComparedView, ...]
    missing: tuple[str, ...]


def draw_pictures(comparison: Comparison) -> Pictures:
    """Draw the stills side by side, the outlines over each other, and the arcs, as far as both lessons allow."""
    stills, charts, views, missing = {}, {}, [], [plain(each) for each in comparison.says]
    for view in VIEWS:
        before, after = (each.views.get(view) for each in (comparison.before, comparison.after))
        if before is None or after is None:
            missing += _say_missing(comparison, view)
            continue
        days = comparison.before.record.made_on, comparison.after.record.made_on
        both = draw_side_by_side(before, after, days=days)
        over = draw_outlines(before, after)
        if both is None or over is None:
            missing.append(f"{VIEW_TITLES[view]} scale, ground or feet are not known, so nothing is laid together.")
            continue
        stills[f"side_by_side_{view}"], charts[f"outlines_{view}"] = both, over.svg
        views.append(_describe(view, both, over.aspect, mirrored=before.record.forward != after.record.forward))
    if comparison.stroke is not None and (chart := draw_arc_chart(comparison.stroke, names=NAMES)):
        charts["arc"] = chart
    return Pictures(stills=stills, charts=charts, views=tuple(views), missing=tuple(dict.fromkeys(missing)))


def _describe(view: View, both: Picture, aspect: float, *, mirrored: bool) -> ComparedView:
    high, wide = both.shape[:2]
    title = VIEW_TITLES[view]
    stills = (
        f"{title}: both at the same scale, upright, the middle of the feet at the same place. The dashed line is the "
        "ground under it."
    )
    turned = " The camera stood on the other side before, so that outline is mirrored." if mirrored else ""
    outlines = (
        f"{title}: both outlines in the same footprints at the same scale, before dashed, after solid, with lines "
        f"through the joints. The bar is 20\N{NO-BREAK SPACE}cm long.{turned}"
    )
    return ComparedView(
        title=title,
        stills=Plate(file=f"side_by_side_{view}", aspect=wide / high, title=title, caption=stills, says=stills),
        outlines=Plate(file=f"outlines_{view}", aspect=aspect, title=title, caption=outlines, says=outlines),
    )


def _say_missing(comparison: Comparison, view: View) -> list[str]:
    """Say of a view that both lessons have why there is no picture; one that a lesson lacks is warned of elsewhere."""
    sides = (comparison.before, comparison.after)
    if not all(view in each.record.views for each in sides):
        return []
    bare = [
        when for when, each in zip(("before", "after"), sides, strict=True) if view not in each.views and not each.says
    ]
    if not bare:
        return []
    lessons = "Both lessons were" if len(bare) == 2 else f"The lesson {bare[0]} was"
    return [f"{lessons} kept without pictures, so nothing can be laid together."]
