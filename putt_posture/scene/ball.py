"""The ball by the head of the putter in one picture.

Down the line the head stands before the ball and hides its lower half; face on the ball lies beside the head, toward
the target. So a circle is asked for whose upper arc parts something bright or coloured from the floor.
"""

import math
from typing import Final

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import least_squares

from putt_posture.scene.strip import Strip
from putt_posture.scene.unlike_floor import brighter_or_coloured, grey_beside_head
from putt_posture.values import Floats, FoundBall, Picture, Scene, Segment, View

__all__ = ["BALL_CM", "find_ball"]

BALL_CM: Final = 4.267
"""Least diameter (Rules of Golf, Equipment Rules, part 4, 3)."""

_STEP_CM: Final = 0.15
_GRID_CM: Final = 0.3
_WINDOW_CM: Final[dict[View, tuple[float, float, float, float]]] = {
    "down_the_line": (-4.0, 10.0, 0.8, 6.0),
    "face_on": (1.5, 15.0, -3.0, 5.5),
}
"""Where its centre is looked for from the sole: least and greatest distance toward the ball side down the line, or
toward the target face on; least and greatest distance upward."""
_ARC_DEG: Final[dict[View, tuple[float, float]]] = {"down_the_line": (10.0, 170.0), "face_on": (-25.0, 205.0)}
"""What shows of its rim, from the right anticlockwise."""
_RADII: Final = np.linspace(0.62, 1.50, 18)
"""Looked for, in shares of the radius that the scale tells."""
_INSIDE: Final = 0.80
_OUTSIDE: Final = 1.22
_MIN_RIM: Final = 0.62
"""Mean difference of inside and outside along the arc, 0 to 1."""
_MIN_FILLED: Final = 0.80
_MIN_LEAD: Final = 0.10
_ODD_SIZE: Final = 1.0
"""How fast a circle loses credit that is larger or smaller than the scale tells; 25 % costs a twentieth."""
_MIN_EDGES: Final = 10
_PRIOR: Final = 1.0
_SHAFT_HALF_CM: Final = 0.9
_MIN_SEEN: Final = 0.5

_NOTHING: Final = "nothing round and bright lies by the putter's head"

Flags = NDArray[np.bool_]


def find_ball(picture: Picture, *, shaft_px: Segment, scene: Scene, px_per_cm: float) -> FoundBall:
    """Find the ball near the head of the putter.

    Parameters
    ----------
    picture : (H, W, 3) uint8
    shaft_px : Segment
        Butt and sole: the ball is looked for by the sole, and what the shaft covers is left out.
    scene : Scene
        View and facing of the same picture.
    px_per_cm : float
        At the ball.
    """
    patch = Strip(
        start_px=np.array(shaft_px[1]),
        along=np.array([0.0, 1.0]),
        step_px=_STEP_CM * px_per_cm,
        first=-12.0 * px_per_cm,
        last=10.0 * px_per_cm,
        half_width=20.0 * px_per_cm,
    )
    cut = patch.cut(picture)
    shaft = _under_shaft(patch, shaft_px, half=_SHAFT_HALF_CM * px_per_cm)
    found = FoundBall()
    for unlike in (brighter_or_coloured, grey_beside_head):
        shown = unlike(cut, patch, px_per_cm=px_per_cm)
        shown[shaft] = np.nan
        found = _find_disc(shown, patch, scene, px_per_cm)
        if found or found.why_not != _NOTHING:
            break
    return found


def _find_disc(bright: Floats, patch: Strip, scene: Scene, px_per_cm: float) -> FoundBall:
    centres, scores, radii = _search(bright, patch, scene, px_per_cm)
    best = int(np.argmax(scores))
    if scores[best] < _MIN_RIM:
        return FoundBall(why_not=_NOTHING)
    apart = np.linalg.norm(centres - centres[best], axis=1) > 1.5 * radii[best]
    if apart.any() and scores[best] - scores[apart].max() < _MIN_LEAD:
        return FoundBall(why_not="more than one ball may lie by the putter's head")
    fitted = _fit_circle(
        bright, patch, centres[best], float(radii[best]), usual=BALL_CM / 2 * px_per_cm, view=scene.view
    )
    if fitted is None:
        return FoundBall(why_not="what lies by the putter's head is not round")
    u, v, radius, spread = fitted
    point = patch.to_px(v, u)
    return FoundBall(
        centre_px=point,
        diameter_px=2 * radius,
        sd_px=math.hypot(spread, 0.1 * px_per_cm),
        score=float(scores[best]),
    )


def _under_shaft(patch: Strip, shaft_px: Segment, *, half: float) -> Flags:
    """Return the places that the shaft covers, (rows, columns)."""
    down = np.subtract(shaft_px[1], shaft_px[0])
    down = down / np.linalg.norm(down)
    square = patch.offsets[None, :] * down[1] - patch.distances[:, None] * down[0]
    return np.asarray((np.abs(square) < half) & (patch.distances[:, None] < half))


def _search(bright: Floats, patch: Strip, scene: Scene, px_per_cm: float) -> tuple[Floats, Floats, Floats]:
    """Return centres (N, 2) as offset and distance, their best score and radius, (N,); px."""
    low, high, least, most = (edge * px_per_cm for edge in _WINDOW_CM[scene.view])
    grid = _GRID_CM * px_per_cm
    sideways = scene.forward * np.arange(low, high, grid)
    down = -np.arange(least, most, grid)
    centres = np.stack(np.meshgrid(sideways, down), axis=-1).reshape(-1, 2)
    turns = _turns(scene.view)
    usual = BALL_CM / 2 * px_per_cm
    all_scores = []
    for share in _RADII:
        inside = _look(bright, patch, centres[:, None] + _INSIDE * share * usual * turns)
        outside = _look(bright, patch, centres[:, None] + _OUTSIDE * share * usual * turns)
        filled = _mean_of_seen(_look(bright, patch, centres[:, None] + 0.45 * share * usual * turns))
        rim = _mean_of_seen(np.clip(inside - outside, 0.0, 1.0))
        likely = 1.0 - _ODD_SIZE * math.log(share) ** 2
        all_scores.append(np.where(filled > _MIN_FILLED, rim * likely, 0.0))
    scores = np.array(all_scores)
    best = scores.argmax(axis=0)
    return centres, scores[best, np.arange(len(centres))], _RADII[best] * usual


def _mean_of_seen(values: Floats) -> Floats:
    """Return the mean over the angles, (N,); 0 where the shaft covers too many of them."""
    seen = np.isfinite(values)
    enough = seen.mean(axis=1) > _MIN_SEEN
    return np.where(enough, np.nansum(values, axis=1) / np.maximum(seen.sum(axis=1), 1), 0.0)


def _fit_circle(
    bright: Floats, patch: Strip, centre: Floats, radius: float, *, usual: float, view: View
) -> tuple[float, float, float, float] | None:
    """Return offset, distance and radius of the circle through the rim, and the centre's one sigma; px."""
    turns = _turns(view)
    reach = np.linspace(0.55, 1.45, 37)
    rays = _look(bright, patch, centre + radius * reach[None, :, None] * turns[:, None, :])
    edges = []
    for turn, ray in zip(turns, rays, strict=True):
        falls = np.flatnonzero((ray[:-1] >= 0.5) & (ray[1:] < 0.5))
        if falls.size:
            k = falls[np.argmin(np.abs(reach[falls] - 1.0))]
            at = reach[k] + (ray[k] - 0.5) / (ray[k] - ray[k + 1]) * (reach[k + 1] - reach[k])
            edges.append(centre + radius * at * turn)
    if len(edges) < _MIN_EDGES:
        return None
    rim = np.array(edges)

    # An upper arc alone hardly tells a radius.
    prior = [usual] if view == "down_the_line" else []

    def misses(guess: Floats) -> Floats:
        rim_off = np.linalg.norm(rim - guess[:2], axis=1) - guess[2]
        return np.concatenate([rim_off, [_PRIOR * (guess[2] - one) for one in prior]]) / radius

    found = least_squares(misses, [*centre, radius], loss="soft_l1", f_scale=0.05)
    u, v, fitted = (float(one) for one in found.x)
    off = np.abs(misses(found.x))[: len(rim)]
    # The tip of a ball behind a head fits small circles as well, so there the size is held against the usual one.
    if np.mean(off < 0.12) < 0.7 or not 0.65 < fitted / (prior[0] if prior else radius) < 1.5:
        return None
    spread = 1.48 * float(np.median(off)) * radius * math.sqrt(4.0 / len(rim)) * 1.5
    return u, v, fitted, spread


def _turns(view: View) -> Floats:
    """Return unit vectors from the centre to its rim, (angles, 2): to the right and down."""
    low, high = _ARC_DEG[view]
    angles = np.radians(np.linspace(low, high, 36))
    return np.stack([np.cos(angles), -np.sin(angles)], axis=-1)


def _look(bright: Floats, patch: Strip, points: Floats) -> Floats:
    """Return the values at points (…, 2) of offset and distance."""
    columns = np.rint((points[..., 0] - patch.offsets[0]) / patch.step_px).astype(int)
    rows = np.rint((points[..., 1] - patch.first) / patch.step_px).astype(int)
    np.clip(columns, 0, bright.shape[1] - 1, out=columns)
    np.clip(rows, 0, bright.shape[0] - 1, out=rows)
    return np.asarray(bright[rows, columns])
