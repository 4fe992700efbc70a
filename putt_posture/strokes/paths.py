"""Where points of the body and the putter head go in a stroke, in the golfer's plane.

A path is how far one and the same point moved from where it was just before the start, cm: along (y, + toward the ball,
down the line; x, + toward the target, face on) and up. What a landmark is always off by is not in it. The camera's own
motion is taken out first, then depth: what is nearer to the camera looks larger, and down the line the stroke itself
goes toward the camera and away from it. Nothing is smoothed across impact.
"""

import math
from collections.abc import Callable, Mapping, Sequence
from typing import Final

import numpy as np
from attrs import evolve, field, frozen
from numpy.typing import NDArray

from putt_posture.posture.plane import HANDS_APART_CM, Plane, near_side
from putt_posture.strokes.depth_way import DepthWay
from putt_posture.strokes.noise import measure_noise
from putt_posture.strokes.putter_scale import PutterScale
from putt_posture.strokes.smoothing import smooth_series
from putt_posture.strokes.stroke_plane import reference_frames, steady
from putt_posture.values import (
    HAND_POINTS,
    LANDMARK_INDEX,
    Estimate,
    Floats,
    Scene,
    SeenStroke,
    StrokeEvent,
    StrokePath,
    medians_seen,
)

__all__ = [
    "BODY_POINTS",
    "HANDS_HOLD",
    "HANDS_LAG",
    "MODELS_DISAGREE",
    "PointPath",
    "follow_points",
]

BODY_POINTS: Final[Mapping[str, tuple[str, ...]]] = {
    "hands": tuple(f"{side}_{joint}" for side in ("left", "right") for joint in HAND_POINTS),
    "head": ("left_ear", "right_ear"),
    "sternum": ("left_shoulder", "right_shoulder"),
    "hips": ("left_hip", "right_hip"),
    "knees": ("left_knee", "right_knee"),
}
"""The landmarks whose mean a point is; the sternum is taken midway between the shoulder joints."""
MODELS_DISAGREE: Final = "models disagree"
"""The cause of uncertainty that half of the difference between small and large model is."""
HANDS_LAG: Final = "landmarks that stay behind"
HANDS_LAG_SD: Final = 0.04
"""The landmarks of hands that swing go less far than the hands, one sigma, as a share of the way: in four rendered
strokes by 1 to 9 % (not corrected, as people may differ)."""
HANDS_HOLD: Final = "place of the hands on the shaft"
HOLD_SD_CM: Final = 1.5
"""How well it is known where along the shaft the middle of the hands is, one sigma, cm (judged: what landmarks of the
hands miss at address)."""
_FEWEST: Final = 3
_SEEN_SHARE: Final = 0.8
"""A landmark that is seen in a smaller share of the frames does not count."""
_NEAREST_SHARE: Final = 0.4
"""A camera is not nearer than this share of its distance, whatever the uncertainty."""
_NO_NOISE_CM: Final = 0.3
"""One sigma of a frame where too little stillness was seen to measure it, cm (judged)."""


@frozen(kw_only=True, eq=False)
class PointPath:
    """One point through a stroke in the golfer's plane.

    Attributes
    ----------
    point : str
    times_s : (N,)
        Clip time.
    stretch : float
        Clip seconds in a real second.
    impact_s : float
        Clip time of the break in the smoothing; NaN where there is none.
    raw_cm, moved_cm : (N, 2)
        Along and up from address, as seen and smoothed; NaN where it was not seen.
    rate_cm_s : (N, 2)
        Smoothed speed, cm a real second.
    noise_cm : (N, 2)
        One sigma of `moved_cm` from landmark noise, without that of the address.
    frame_noise_cm : (2,)
        One sigma of one frame.
    address_sd_cm : (2,)
        One sigma of the place at address from landmark noise.
    effects_cm : mapping of str to (N, 2)
        What one sigma of each cause that the frames share does to `moved_cm`.
    place_cm : (2,)
        The place at address in the plane.
    independent : float
        How many independent frames one frame is worth, 0 to 1.
    """

    point: str
    times_s: Floats = field(repr=False)
    stretch: float
    impact_s: float
    raw_cm: Floats = field(repr=False)
    moved_cm: Floats = field(repr=False)
    rate_cm_s: Floats = field(repr=False)
    noise_cm: Floats = field(repr=False)
    frame_noise_cm: Floats
    address_sd_cm: Floats
    effects_cm: Mapping[str, Floats] = field(repr=False)
    place_cm: Floats
    independent: float = 1.0

    def index_at(self, time_s: float) -> int | None:
        """Return the frame that stands for a clip time, on the same side of impact; None where it was not seen there.

        Parameters
        ----------
        time_s : float
        """
        seen = np.isfinite(self.moved_cm).all(axis=1)
        if math.isfinite(self.impact_s):
            seen &= (self.times_s <= self.impact_s) if time_s <= self.impact_s else (self.times_s > self.impact_s)
        if not seen.any():
            return None
        index = int(np.argmin(np.where(seen, np.abs(self.times_s - time_s), np.inf)))
        step = float(np.median(np.diff(self.times_s))) if len(self.times_s) > 1 else math.inf
        return index if abs(self.times_s[index] - time_s) <= 3 * step else None

    def at(self, time_s: float) -> Floats | None:
        """Return along and up at a clip time, (2,) cm; None where it was not seen there.

        Parameters
        ----------
        time_s : float
            Impact itself is read from the frames before it.
        """
        index = self.index_at(time_s)
        if index is None:
            return None
        late = (time_s - self.times_s[index]) / self.stretch
        return np.asarray(self.moved_cm[index] + late * self.rate_cm_s[index])

    @property
    def sd_cm(self) -> Floats:
        """One sigma of `moved_cm` from all causes, (N, 2) cm."""
        parts = [self.noise_cm**2, np.broadcast_to(self.address_sd_cm**2, self.noise_cm.shape)]
        parts += [effect**2 for effect in self.effects_cm.values()]
        return np.asarray(np.sqrt(np.sum(parts, axis=0)))

    def as_value(self, ball_along_cm: float) -> StrokePath:
        """Return what is kept of the path.

        Parameters
        ----------
        ball_along_cm : float
            Where the ball lies in the plane; NaN where that is not known.
        """
        return StrokePath(
            point=self.point,
            times_s=self.times_s,
            moved_cm=self.moved_cm,
            sd_cm=self.sd_cm,
            from_ball_cm=(float(self.place_cm[0] - ball_along_cm), float(self.place_cm[1])),
        )


def follow_points(
    seen: SeenStroke,
    plane: Plane,
    scene: Scene,
    events: Mapping[StrokeEvent, Estimate],
    *,
    stretch: float,
    depth_sd_cm: float,
    ways: Mapping[str, DepthWay],
    head_toward_cm: float,
    at_events: Plane | None = None,
    putter_scale: PutterScale | None = None,
) -> dict[str, PointPath]:
    """Follow the points of the body and the putter head through one stroke.

    The large model looked at the events. Where its way from address to an event differs from that of the small model in
    the same frame, the mean of the two counts, and half of their difference is uncertainty; between events both run
    evenly.

    Parameters
    ----------
    seen : SeenStroke
    plane : Plane
        As `plane_of_stroke` makes it.
    scene : Scene
        The uncertainty of scale, roll, yaw and distance.
    events : mapping of StrokeEvent to Estimate
        Clip times.
    stretch : float
        Clip seconds in a real second.
    depth_sd_cm : float
        One sigma of how far each point is from the mid-plane, cm.
    ways : mapping of str to DepthWay
        By point; points left out stay at their depth.
    head_toward_cm : float
        How much nearer to the camera than the mid-plane the putter head is at address.
    at_events : Plane, optional
        The landmarks of the large model, the first frame at the start, in the frames' own times.
    putter_scale : PutterScale, optional
        For putter head and hands; by default they have the scale of the plane.

    Returns
    -------
    dict of str to PointPath
        A point that was not seen at address or in the stroke is left out.
    """
    reference = reference_frames(seen, events, stretch)
    found = {}
    for point, names in BODY_POINTS.items():
        if point == "hands":
            names = _hands_that_count(plane, names, scene, reference)
        indices = [LANDMARK_INDEX[name] for name in names]
        toward = plane.toward_cm[indices]
        own = putter_scale if point == "hands" else None
        path = _follow(seen, plane, scene, events, point, plane.points_px[:, indices], toward, reference, stretch,
                       depth_sd_cm, ways.get(point), own)  # fmt: skip
        if path is not None and at_events is not None:
            large = at_events if own is None else own.at_putter(at_events)
            path = _join_models(path, seen, large, names, ways.get(point))
        if path is not None and point == "hands":
            path = evolve(path, effects_cm={**path.effects_cm, HANDS_LAG: HANDS_LAG_SD * np.nan_to_num(path.moved_cm)})
            held = _hold_shaft(seen, plane, reference, indices)
            if held is not None and seen.view == "face_on":
                depth = np.array([float(np.mean(toward))])
                on_shaft = [
                    _follow(seen, plane, scene, events, point, each[:, None], depth, reference, stretch, depth_sd_cm,
                            ways.get(point), putter_scale)
                    for each in held
                ]  # fmt: skip
                path = _along_shaft(path, *on_shaft)
        if path is not None:
            found[point] = path
    head_px = steady(seen.putter_head_px, seen.camera_px)[:, None]
    path = _follow(seen, plane, scene, events, "putter_head", head_px, np.array([head_toward_cm]), reference, stretch,
                   depth_sd_cm, ways.get("putter_head"), putter_scale)  # fmt: skip
    if path is not None:
        found["putter_head"] = path
    return found


def _join_models(
    path: PointPath, seen: SeenStroke, large: Plane, names: Sequence[str], way: DepthWay | None
) -> PointPath:
    """Return the mean of the path by the small model and of that by the large one at the events."""
    if seen.at_events is None or "start" not in seen.event_names:
        return path
    indices = [LANDMARK_INDEX[name] for name in names]
    times = seen.at_events.times_s
    toward = np.broadcast_to(large.toward_cm[indices], (len(times), len(indices)))
    if way is not None:
        toward = toward + np.interp(times, path.times_s, way.toward_cm)[:, None]
    places = large.to_cm(large.points_px[:, indices], toward_cm=toward).mean(axis=1)
    moved = places - places[seen.event_names.index("start")]
    frames = [path.index_at(float(time)) for time in times]
    apart = np.array([
        np.full(2, np.nan) if frame is None else moved[row] - path.moved_cm[frame] for row, frame in enumerate(frames)
    ])  # fmt: skip
    apart[seen.event_names.index("start")] = 0.0
    known = np.isfinite(apart).all(axis=1)
    if known.sum() < 2:
        return path
    half = np.stack([np.interp(path.times_s, times[known], apart[known, axis]) / 2 for axis in (0, 1)], axis=1)
    return evolve(
        path,
        raw_cm=path.raw_cm + half,
        moved_cm=path.moved_cm + half,
        effects_cm={**path.effects_cm, MODELS_DISAGREE: half},
    )


def _hold_shaft(
    seen: SeenStroke, plane: Plane, reference: NDArray[np.bool_], indices: Sequence[int]
) -> tuple[Floats, Floats] | None:
    """Return where on the shaft the hands hold it in each frame, (N, 2) px, and the same one sigma farther down.

    Hands do not slide on a grip. None where the shaft was not followed at address.
    """
    ends = steady(seen.shaft_px, seen.camera_px)
    butt, sole = (medians_seen(ends[reference, end]) for end in (0, 1))
    hands = medians_seen(plane.points_px[reference][:, indices].mean(axis=1))
    if not np.isfinite([*butt, *sole, *hands]).all():
        return None
    down = sole - butt
    share = float((hands - butt) @ down / (down @ down))
    step = HOLD_SD_CM * plane.px_per_cm / float(np.linalg.norm(down))
    way = ends[:, 1] - ends[:, 0]
    return ends[:, 0] + share * way, ends[:, 0] + (share + step) * way


def _along_shaft(path: PointPath, held: PointPath | None, lower: PointPath | None) -> PointPath:
    """Return the hands' path with its way along the line by the shaft that they hold; upward by their landmarks.

    A shaft that comes toward the camera looks shorter, so it does not tell the height.
    """
    if held is None or lower is None:
        return path
    seen = np.isfinite(held.moved_cm[:, 0])
    needed = np.isfinite(path.moved_cm[:, 0])
    if not needed.any() or seen[needed].mean() < _SEEN_SHARE:
        return path

    def joined(along: Floats, up: Floats) -> Floats:
        return np.stack([along[:, 0], up[:, 1]], axis=1)

    hold = np.zeros_like(path.moved_cm)
    hold[:, 0] = np.nan_to_num(lower.raw_cm[:, 0] - held.raw_cm[:, 0])
    nothing = np.zeros_like(path.moved_cm)
    causes = dict.fromkeys([*path.effects_cm, *held.effects_cm])
    return evolve(
        path,
        raw_cm=joined(held.raw_cm, path.raw_cm),
        moved_cm=joined(held.moved_cm, path.moved_cm),
        rate_cm_s=joined(held.rate_cm_s, path.rate_cm_s),
        noise_cm=joined(held.noise_cm, path.noise_cm),
        frame_noise_cm=np.array([held.frame_noise_cm[0], path.frame_noise_cm[1]]),
        address_sd_cm=np.array([held.address_sd_cm[0], path.address_sd_cm[1]]),
        effects_cm={
            **{
                cause: joined(held.effects_cm.get(cause, nothing), path.effects_cm.get(cause, nothing))
                for cause in causes
            },
            HANDS_HOLD: hold,
        },
    )


def _hands_that_count(
    plane: Plane, names: Sequence[str], scene: Scene, reference: NDArray[np.bool_]
) -> tuple[str, ...]:
    """Return the landmarks of the hands: of both, or of the near one where the far one is not on the grip."""
    both: list[Floats] = []
    for side in ("left", "right"):
        points = np.array([plane.at(f"{side}_{joint}")[reference] for joint in HAND_POINTS])
        both.append(np.nanmean(points.reshape(-1, 2), axis=0) if np.isfinite(points).any() else np.full(2, np.nan))
    if np.linalg.norm(both[0] - both[1]) <= HANDS_APART_CM or scene.view != "down_the_line":
        return tuple(names)
    near = near_side(scene)
    return tuple(name for name in names if name.startswith(near))


def _follow(
    seen: SeenStroke,
    plane: Plane,
    scene: Scene,
    events: Mapping[StrokeEvent, Estimate],
    point: str,
    points_px: Floats,
    toward_cm: Floats,
    reference: NDArray[np.bool_],
    stretch: float,
    depth_sd_cm: float,
    way: DepthWay | None,
    putter_scale: PutterScale | None = None,
) -> PointPath | None:
    """Follow the mean of some points (N, K, 2); None where none of them was seen at address and in the stroke."""
    inside = (seen.times_s >= seen.stroke_s[0]) & (seen.times_s <= seen.stroke_s[1])
    known: NDArray[np.bool_] = np.asarray(np.isfinite(points_px).all(axis=2))
    enough = (known[inside].mean(axis=0) >= _SEEN_SHARE) & (known[reference].sum(axis=0) >= _FEWEST)
    if not inside.any() or not enough.any():
        return None
    points_px, toward_cm = points_px[:, enough], toward_cm[enough]
    moving = np.zeros(len(points_px)) if way is None else way.toward_cm

    def moved_in(
        of: Plane, *, nearer_cm: float = 0.0, share: float = 1.0, cause: int | None = None
    ) -> tuple[Floats, Floats]:
        if putter_scale is not None:
            of = putter_scale.at_putter(of, nearer_cm=nearer_cm, cause=cause)
        places = of.to_cm(points_px, toward_cm=toward_cm + nearer_cm + share * moving[:, None])
        still = np.nanmean(places[reference], axis=0)
        apart = places - still
        seen_some = np.isfinite(apart).any(axis=1)
        mean = np.where(seen_some, np.nansum(np.nan_to_num(apart), axis=1), np.nan)
        count = np.maximum(np.isfinite(apart).sum(axis=1), 1)
        return mean / count, np.asarray(still.mean(axis=0))

    raw, place = moved_in(plane)
    real_s = seen.times_s / stretch
    still_s = (seen.address_s[0] / stretch, seen.address_s[1] / stretch)
    noise = measure_noise(real_s, raw, still_s=still_s)
    known_sd = point == "putter_head" and np.isfinite(seen.putter_head_sd_px).any()
    judged = float(np.nanmedian(seen.putter_head_sd_px)) / plane.px_per_cm if known_sd else _NO_NOISE_CM
    noise = evolve(noise, quick=np.where(np.isfinite(noise.quick), noise.quick, judged))
    impact = events["impact"]
    breaks = (impact.value / stretch,) if impact else ()
    smooth = smooth_series(real_s, raw, noise, breaks_s=breaks)
    times = real_s[reference]
    worth = max(noise.independent(times), 1.0)
    return PointPath(
        point=point,
        times_s=seen.times_s,
        stretch=stretch,
        impact_s=impact.value if impact else math.nan,
        raw_cm=raw,
        moved_cm=smooth.values,
        rate_cm_s=smooth.rates,
        noise_cm=smooth.sd,
        frame_noise_cm=noise.quick,
        address_sd_cm=noise.quick / math.sqrt(worth),
        effects_cm=_effects(moved_in, raw, plane, scene, seen, depth_sd_cm, way, putter_scale),
        place_cm=place,
        independent=min(1.0, worth / max(len(times), 1)),
    )


def _effects(
    moved_in: Callable[..., tuple[Floats, Floats]],
    raw: Floats,
    plane: Plane,
    scene: Scene,
    seen: SeenStroke,
    depth_sd_cm: float,
    way: DepthWay | None,
    putter_scale: PutterScale | None,
) -> dict[str, Floats]:
    """Return what one sigma of each shared cause does to a path, (N, 2) cm each."""
    scale, distance = scene.px_per_cm, scene.distance_cm
    effects = {
        "scale": moved_in(plane.shifted(scale=scale.standard_uncertainty / scale.value))[0] - raw,
        "camera roll": moved_in(plane.shifted(roll_deg=scene.roll.standard_uncertainty))[0] - raw,
        "camera off square": moved_in(plane.shifted(yaw_deg=scene.yaw.standard_uncertainty))[0] - raw,
        "depth": moved_in(plane, nearer_cm=depth_sd_cm)[0] - raw,
    }
    if putter_scale is not None:
        effects["scale"] = moved_in(plane, cause=0)[0] - raw
        effects["distance of the camera"] = moved_in(plane, cause=1)[0] - raw
    elif distance and distance.standard_uncertainty > 0:
        sd = distance.standard_uncertainty
        ends = (max(plane.distance_cm - sd, _NEAREST_SHARE * plane.distance_cm), plane.distance_cm + sd)
        near, far = (moved_in(evolve(plane, distance_cm=end))[0] for end in ends)
        effects["distance of the camera"] = (far - near) / 2  # a near camera counts more than a far one
    if way is not None:
        effects["motion toward the camera"] = moved_in(plane, share=1 + way.share_sd)[0] - raw
    if seen.camera_sd_px > 0:
        effects["motion of the camera"] = np.full_like(raw, math.sqrt(2) * seen.camera_sd_px / plane.px_per_cm)
    return {cause: np.nan_to_num(effect) for cause, effect in effects.items()}
