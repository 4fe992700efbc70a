"""Paths of hands and putter head from above, put together from both views, beside the arc that the setup gives."""

from collections.abc import Mapping
from typing import Any, Final

import numpy as np
from matplotlib.axes import Axes
from matplotlib.patches import Circle

from putt_posture.drawing.charts import (
    BEFORE,
    INK,
    SOFT,
    as_svg,
    styled,
    tick_in_shown_unit,
)
from putt_posture.drawing.stroke_data import (
    PathFromAbove,
    find_path_from_above,
    is_within_noise,
    strokes_from_two_sides,
)
from putt_posture.drawing.stroke_panels import (
    ACROSS,
    BAND,
    DASHES,
    LEAST_HEIGHT,
    POINT_TITLES,
    WITHIN,
    Drawn,
    PanelRange,
    PathsOf,
    at_least,
    fill_tube,
    mark_events,
    new_scaled,
    toward,
)
from putt_posture.values import NORMAL_95, Arc, Estimate, Floats, Stroke, Strokes

__all__ = ["draw_paths_from_above"]

_BALL_CM: Final = 2.135
"""Radius of the smallest ball (Equipment Rules, part 4: 42.67 mm across)."""
_WIDER: Final = 5.0
"""How many times as large the way across the line is drawn where it says so."""
_GRID: Final = 80
"""Places along the line at which a band is filled."""


def draw_paths_from_above(
    strokes: Strokes, *, forward: int = 1, predicted: Arc | None = None, under_shoulders: Estimate | None = None
) -> str | None:
    """Draw hands and putter head from above, put together from both views in step by the events.

    The upper panel is to scale. In the lower ones the way across the line is drawn `_WIDER` times as large.

    Parameters
    ----------
    strokes : Strokes
    forward : {-1, +1}
        +1 where the target is to the right face on; the golfer stands at the top.
    predicted : Arc, optional
        The arc that the setup tends to give.
    under_shoulders : Estimate, optional
        As for `draw_paths`.

    Returns
    -------
    str or None
        SVG; None where not both views have a stroke with paths.
    """
    sides = strokes_from_two_sides(strokes)
    if sides is None:
        return None
    found = {point: find_path_from_above(*sides, point) for point in POINT_TITLES}
    paths = {point: path for point, path in found.items() if path is not None}
    if not paths:
        return None
    face_on = PathsOf(stroke=sides[0])
    bodies = {
        point: Drawn(
            places=_as_seen(path), times_s=path.times_s, margins=NORMAL_95 * path.sd_cm,
            beyond=not is_within_noise(path, sides[0].events, axis=1), of=face_on,
        )
        for point, path in paths.items()
    }  # fmt: skip
    inside = _hands_inside(sides[1])
    plan = _plan_window(bodies, inside=inside, shoulders=under_shoulders)
    arc = predicted if predicted else None
    windows = [plan] + [
        _wide_window(POINT_TITLES[point], bodies[point], arc if point == "putter_head" else None, plan)
        for point in bodies
    ]
    with styled():
        figure, axes = new_scaled(windows, forward=forward, key=arc is not None and "putter_head" in bodies)
        _draw_plan(axes[0], bodies, inside=inside, shoulders=under_shoulders, forward=forward)
        for panel, (point, body) in zip(axes[1:], bodies.items(), strict=True):
            panel.axhline(0, color=INK, linewidth=1.0, linestyle=(0, (1, 2)), zorder=1)
            if point == "putter_head" and arc is not None:
                _draw_predicted(panel, arc)
            _draw_wide(panel, body, paths[point])
            panel.set_ylabel(f"inside, {tick_in_shown_unit(panel.yaxis, unit='cm', most=4)}")
        for panel in axes[:-1]:
            tick_in_shown_unit(panel.xaxis, unit="cm")
        unit = tick_in_shown_unit(axes[-1].xaxis, unit="cm")
        axes[-1].set_xlabel(f"along the line, {unit} {toward('the target', forward)}")
        if arc is not None and "putter_head" in bodies:
            handles, labels = axes[1 + list(bodies).index("putter_head")].get_legend_handles_labels()
            figure.legend(handles, labels, loc="upper left", ncols=2, borderpad=0.1)
        return as_svg(figure)


def _as_seen(path: PathFromAbove) -> Floats:
    """Return along and inside: across the line, + toward the golfer."""
    return np.asarray(path.moved_cm * np.array([1.0, -1.0]))


def _hands_inside(side: Stroke) -> float | None:
    """Return how far inside the ball's middle the hands are at address, cm."""
    if "hands" not in side.paths:
        return None
    along = side.paths["hands"].from_ball_cm[0]
    return -float(along) if np.isfinite(along) else None


def _plan_window(bodies: Mapping[str, Drawn], *, inside: float | None, shoulders: Estimate | None) -> PanelRange:
    along = np.concatenate([each.places[:, 0] for each in bodies.values()])
    low, high = (float(end) for end in (np.nanmin(along) - 4, np.nanmax(along) + 4))
    top = 4.0 if inside is None or "hands" not in bodies else inside + 3
    if shoulders is not None and shoulders and inside is not None:
        top = max(top, inside + shoulders.value + 3)
    return PanelRange(low=(low, -4.0), high=(high, top), heading="From above, to scale")


def _draw_plan(
    panel: Axes, bodies: Mapping[str, Drawn], *, inside: float | None, shoulders: Estimate | None,
    forward: int,
) -> None:  # fmt: skip
    """Draw the ball, the line through it, the putter head on it, the hands and the line under the shoulders."""
    panel.axhline(0, color=INK, linewidth=1.0, linestyle=(0, (1, 2)), zorder=1)
    panel.add_patch(Circle((0, 0), _BALL_CM, facecolor="white", edgecolor=INK, linewidth=1.2, zorder=4))
    left = forward > 0
    edge = panel.get_xlim()[0]
    beside: dict[str, Any] = {"ha": "left", "va": "bottom", "color": INK, "fontsize": 10}
    for point, each in bodies.items():
        shift = np.array([0.0, 0.0 if point == "putter_head" else inside if inside is not None else np.nan])
        if not np.isfinite(shift).all():
            continue
        colour = each.of.colour if each.beyond else SOFT
        across, up = (each.places + shift)[np.isfinite(each.places).all(axis=1)].T
        fill_tube(panel, each, colour=colour, shift=float(shift[1]))
        panel.plot(across, up, color=colour, linewidth=2.0, zorder=3)
        under = point == "putter_head"
        panel.text(
            edge + (0.6 if left else -0.6), float(np.nanmedian(up)) + (-0.9 if under else 0.8), POINT_TITLES[point],
            **{**beside, "va": "top" if under else "bottom"},
        )  # fmt: skip
    if shoulders is not None and shoulders and inside is not None:
        at = inside + shoulders.value
        panel.axhspan(at - shoulders.margin, at + shoulders.margin, color=BEFORE, alpha=0.1, linewidth=0, zorder=0)
        panel.axhline(at, color=BEFORE, linewidth=1.4, linestyle=(0, DASHES), zorder=1)
        panel.text(
            panel.get_xlim()[1] - (0.6 if left else -0.6), at + 0.4, "under the shoulders", **{**beside, "ha": "right"}
        )
    panel.set_ylabel(f"inside, {tick_in_shown_unit(panel.yaxis, unit='cm', most=4)}")


def _wide_window(heading: str, body: Drawn, arc: Arc | None, plan: PanelRange) -> PanelRange:
    up = [np.array(body.ends(1))]
    if arc is not None:
        up += [arc.inside_cm - NORMAL_95 * arc.inside_sd_cm, arc.inside_cm + NORMAL_95 * arc.inside_sd_cm]
    least = LEAST_HEIGHT * (plan.high[0] - plan.low[0]) / (ACROSS * _WIDER)
    bottom, top = at_least(min(map(np.nanmin, up)) - 0.2, max(map(np.nanmax, up)) + 0.2, least)
    said = f"{heading}, {_WIDER:g} × across" if body.beyond else f"{heading}, {_WIDER:g} ×: {WITHIN}"
    return PanelRange(
        low=(plan.low[0], float(bottom)), high=(plan.high[0], float(top)), heading=said, times_up=_WIDER,
    )  # fmt: skip


def _draw_wide(panel: Axes, body: Drawn, path: PathFromAbove) -> None:
    colour = body.of.colour if body.beyond else SOFT
    seen = np.isfinite(body.places).all(axis=1) & np.isfinite(path.sd_cm).all(axis=1)
    along, inside = body.places[seen].T
    _fill_band(panel, along, inside, NORMAL_95 * path.sd_cm[seen, 1], colour=colour)
    panel.plot(along, inside, color=colour, linewidth=2.0, label="as measured", zorder=4)
    mark_events(panel, body, colour)


def _fill_band(panel: Axes, along: Floats, inside: Floats, margin: Floats, *, colour: str) -> None:
    """Fill the band around the way back and the way through as one, however they lie over each other."""
    turn = int(np.argmin(along))
    grid = np.linspace(along.min(), along.max(), _GRID)
    low, high = [], []
    for part in (slice(turn, None, -1), slice(turn, None)):
        order = np.argsort(along[part])
        where, at, by = (each[part][order] for each in (along, inside, margin))
        if len(where) > 1:
            low.append(np.interp(grid, where, at - by, left=np.nan, right=np.nan))
            high.append(np.interp(grid, where, at + by, left=np.nan, right=np.nan))
    panel.fill_between(
        grid, np.nanmin(low, axis=0), np.nanmax(high, axis=0), color=colour, alpha=BAND, linewidth=0, zorder=2
    )


def _draw_predicted(panel: Axes, arc: Arc) -> None:
    margin = NORMAL_95 * arc.inside_sd_cm
    panel.fill_between(
        arc.distance_cm, arc.inside_cm - margin, arc.inside_cm + margin, color=BEFORE, alpha=0.12, linewidth=0, zorder=1
    )
    (line,) = panel.plot(arc.distance_cm, arc.inside_cm, color=BEFORE, linewidth=1.8, label="by the setup", zorder=3)
    line.set_dashes(DASHES)
