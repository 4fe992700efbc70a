"""The ball by the head of the putter in one picture.

Down the line the head stands before the ball and hides its lower half; face on the ball lies beside the head, toward
the target. So the search is for a circle whose upper arc separates something bright or coloured from the floor. A ball
differs from the floor in one of two ways: it is brighter or has a colour of its own, or it is grey on a green.

Face on, the side of the head on which the ball lies must fit the handedness. A right-hander's target side is on the
right of the picture. With the wrong handedness the ball is searched for on the other side, where the head or its shadow
may be mistaken for it.
"""

import math
from typing import Final, Literal

import numpy as np
from attrs import evolve
from numpy.typing import NDArray
from scipy.optimize import least_squares

from putt_posture.body import BALL_CM
from putt_posture.scene.strip import Strip
from putt_posture.values import VIEW_TITLES, Floats, FoundBall, Handed, Picture, Point, Scene, Segment, View

__all__ = [
    "NOTHING_THERE",
    "brighter_or_coloured",
    "find_ball",
    "find_ball_by_hand",
    "grey_beside_head",
    "warn_of_ball_side",
]

_STEP_CM: Final = 0.15
_GRID_CM: Final = 0.3
_WINDOW_CM: Final[dict[View, tuple[float, float, float, float]]] = {
    "down_the_line": (-4.0, 10.0, 0.8, 6.0),
    "face_on": (1.5, 15.0, -3.0, 5.5),
}
"""Where the centre of the ball is searched for, from the sole, cm: least and greatest distance toward the ball side
down the line, or toward the target face on; least and greatest distance upward."""
_ARC_DEG: Final[dict[View, tuple[float, float]]] = {"down_the_line": (10.0, 170.0), "face_on": (-25.0, 205.0)}
"""Visible part of its rim, from the right, anticlockwise."""
_RADII: Final = np.linspace(0.62, 1.50, 18)
"""Radii that are tried, as shares of the radius by the scale."""
_INSIDE: Final = 0.80
_OUTSIDE: Final = 1.22
_MIN_RIM: Final = 0.62
"""Mean difference of inside and outside along the arc, 0 to 1."""
_MIN_FILLED: Final = 0.80
_MIN_LEAD: Final = 0.10
_ODD_SIZE: Final = 1.0
"""How fast the score falls for a circle larger or smaller than the scale says; 25 % costs a twentieth."""
_MIN_EDGES: Final = 10
_PRIOR: Final = 1.0
_SHAFT_HALF_CM: Final = 0.9
_MIN_SEEN: Final = 0.5

NOTHING_THERE: Final = "nothing round and bright lies by the putter's head"

Flags = NDArray[np.bool_]

_BRIGHTER: Final = 22.0
_COLOURED: Final = 26.0
"""Difference from the floor, of 255, in brightness or colour, that counts in full."""
_LIT: Final = 90.0
"""Brightness of a well-lit floor; on a darker one every difference is smaller in proportion."""
_DARKEST: Final = 0.35
_HEAD_CM: Final = (0.6, 2.2)
"""Height above the sole and distance to either side in which the head's colour is read, cm."""
_HEAD_ASIDE_CM: Final = 1.2

CLEARER: Final = 0.1
"""A ball on the other side is accepted where its score is higher by this than that of the expected side, 0 to 1. Of
rendered golfers the ball's side scored 0.95 and more, the other side 0."""

_Side = Literal[-1, 1]


def find_ball(picture: Picture, *, shaft_px: Segment, scene: Scene, px_per_cm: float) -> FoundBall:
    """Find the ball near the head of the putter.

    Parameters
    ----------
    picture : (H, W, 3) uint8
        RGB, upright and not mirrored, full size.
    shaft_px : Segment
        Butt and sole, px: the ball is searched for at the sole, and what the shaft covers is left out.
    scene : Scene
        View and facing of the same picture.
    px_per_cm : float
        Scale at the ball, pixels per cm.

    Returns
    -------
    FoundBall
        Centre and diameter, px, with the centre's one sigma; falsy with a reason where no ball was found.
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
        if found or found.why_not != NOTHING_THERE:
            break
    return found


def brighter_or_coloured(cut: Floats, patch: Strip, *, px_per_cm: float) -> Floats:
    """Return how much brighter than the floor, or how much more colourful, each place is.

    Parameters
    ----------
    cut : (rows, columns, 3)
        Of the patch, as `Strip.cut` returns it.
    patch : Strip
        Upright, its distance 0 at the sole.
    px_per_cm : float
        Scale at the ball, pixels per cm.

    Returns
    -------
    (rows, columns)
        0 to 1; all 0 where no floor is in the picture.
    """
    floor = _floor(cut, patch, px_per_cm)
    if len(floor) == 0:
        return np.zeros(cut.shape[:2])
    middle, spread = _middle(floor)
    over = cut - middle
    dim = _dimness(middle)
    brighter = (over[..., 0] - 2.0 * spread[0]) / (_BRIGHTER * dim)
    # Grey differs from green as well, but has no colour of its own.
    own = np.linalg.norm(cut[..., 1:], axis=-1)
    coloured = np.minimum(own, np.linalg.norm(over[..., 1:], axis=-1)) - 2.0 * np.hypot(*spread[1:])
    return _shares(np.maximum(brighter, coloured / (_COLOURED * dim)))


def grey_beside_head(cut: Floats, patch: Strip, *, px_per_cm: float) -> Floats:
    """Return how much less coloured than the floor each place is, and how much brighter than the head.

    A white ball looks like this against the light: darker than the green, but grey, while a shadow on the green stays
    green.

    Parameters
    ----------
    cut : (rows, columns, 3)
        Of the patch, as `Strip.cut` returns it.
    patch : Strip
        Upright, its distance 0 at the sole.
    px_per_cm : float
        Scale at the ball, pixels per cm.

    Returns
    -------
    (rows, columns)
        0 to 1; all 0 where no floor or no head is in the picture.
    """
    floor = _floor(cut, patch, px_per_cm)
    above, aside = patch.distances / px_per_cm, np.abs(patch.offsets) / px_per_cm
    near = ((-above > _HEAD_CM[0]) & (-above < _HEAD_CM[1]))[:, None] & (aside < _HEAD_ASIDE_CM)[None, :]
    head = cut[near & np.isfinite(cut).all(axis=-1)]
    if len(floor) == 0 or len(head) == 0:
        return np.zeros(cut.shape[:2])
    middle, _ = _middle(floor)
    # Colour divided by brightness is the same in light and in shadow.
    level = middle[0] / np.maximum(cut[..., :1], 0.25 * middle[0])
    colours = cut[..., 1:] * level
    spread = 1.48 * np.median(np.abs(_floor(colours, patch, px_per_cm) - middle[1:]), axis=0)
    dim = _dimness(middle)
    greyer = np.linalg.norm(middle[1:]) - np.linalg.norm(colours, axis=-1) - 2.0 * np.hypot(*spread)
    dark, dark_spread = _middle(head)
    lighter = cut[..., 0] - dark[0] - 2.0 * min(float(dark_spread[0]), _BRIGHTER / 4)
    return _shares(np.minimum(greyer / _COLOURED, lighter / _BRIGHTER) / dim)


def find_ball_by_hand(
    picture: Picture, *, shaft_px: Segment, scene: Scene, px_per_cm: float, handed: Handed
) -> tuple[FoundBall, tuple[str, ...]]:
    """Find the ball; face on, search the other side of the head as well.

    Parameters
    ----------
    picture : (H, W, 3) uint8
        RGB, upright and not mirrored, full size.
    shaft_px : Segment
        Butt and sole, px.
    scene : Scene
        View and facing of the same picture.
    px_per_cm : float
        Scale at the ball, pixels per cm.
    handed : Handed
        As typed.

    Returns
    -------
    ball : FoundBall
        Falsy where the ball is on the wrong side for this handedness: every distance from it would have the wrong sign.
    warnings : tuple of str
        The sentence that says so.
    """
    found = find_ball(picture, shaft_px=shaft_px, scene=scene, px_per_cm=px_per_cm)
    if scene.view == "down_the_line":
        return found, ()
    other_side: _Side = -1 if scene.forward == 1 else 1
    turned = evolve(scene, forward=other_side)
    other = find_ball(picture, shaft_px=shaft_px, scene=turned, px_per_cm=px_per_cm)
    if not other or (found and other.score < found.score + CLEARER):
        return found, ()
    why_not = "it is on the side of the putter head that is away from the target"
    return FoundBall(why_not=why_not), _say(other_side, handed)


def warn_of_ball_side(ball_px: Point, *, shaft_px: Segment, scene: Scene, handed: Handed) -> tuple[str, ...]:
    """Return a sentence where the ball that the coach marked is on the other side of the head, face on.

    Parameters
    ----------
    ball_px : Point
        Centre of the ball, u and v.
    shaft_px : Segment
        Butt and sole, px.
    scene : Scene
        View and facing of the same picture.
    handed : Handed
        As typed.

    Returns
    -------
    tuple of str
        One sentence, or empty.
    """
    if scene.view == "down_the_line" or (ball_px[0] - shaft_px[1][0]) * scene.forward >= 0:
        return ()
    return _say(-1 if scene.forward == 1 else 1, handed)


def _find_disc(bright: Floats, patch: Strip, scene: Scene, px_per_cm: float) -> FoundBall:
    centres, scores, radii = _search(bright, patch, scene, px_per_cm)
    best = int(np.argmax(scores))
    if scores[best] < _MIN_RIM:
        return FoundBall(why_not=NOTHING_THERE)
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
    """Return which places the shaft covers, (rows, columns)."""
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

    # An upper arc alone hardly determines a radius.
    prior = [usual] if view == "down_the_line" else []

    def residuals(guess: Floats) -> Floats:
        rim_off = np.linalg.norm(rim - guess[:2], axis=1) - guess[2]
        return np.concatenate([rim_off, [_PRIOR * (guess[2] - one) for one in prior]]) / radius

    found = least_squares(residuals, [*centre, radius], loss="soft_l1", f_scale=0.05)
    u, v, fitted = (float(one) for one in found.x)
    off = np.abs(residuals(found.x))[: len(rim)]
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


def _floor(values: Floats, patch: Strip, px_per_cm: float) -> Floats:
    """Return the values away from the head, (N, channels)."""
    far = (np.abs(patch.offsets) > 8.0 * px_per_cm)[None, :] | (patch.distances > 5.0 * px_per_cm)[:, None]
    return np.asarray(values[far & np.isfinite(values).all(axis=-1)])


def _middle(values: Floats) -> tuple[Floats, Floats]:
    middle = np.median(values, axis=0)
    return middle, np.asarray(1.48 * np.median(np.abs(values - middle), axis=0))


def _dimness(middle: Floats) -> float:
    return float(np.clip(middle[0] / _LIT, _DARKEST, 1.0))


def _shares(values: Floats) -> Floats:
    return np.asarray(np.clip(np.nan_to_num(values), 0.0, 1.0))


def _say(side: _Side, handed: Handed) -> tuple[str, ...]:
    other: Handed = "right" if side == 1 else "left"
    return (
        f"{VIEW_TITLES['face_on']}, are you sure: the ball is to the {other} of the putter head, as for a "
        f"{other}-hander, but --handed {handed} was given. Give --handed {other}, or, where the clip is mirrored, film "
        "again without the mirror; now lead and trail may be swapped.",
    )
