"""A jointed stick golfer, moved through a list of actions and seen by a pinhole camera: tracks with known truth.

Golfer frame in metres: x toward the target, y toward the ball, z up. A right-hander seen down the line faces to the
right of the picture (u grows with y); face on the target is to the right (u grows with x). A left-hander is the mirror
image.

Segment lengths as shares of stature are those of de Leva (1996) to two digits. Stroke timing: 670 ± 90 ms back,
317 ± 35 ms from there to impact, putter head 241 mm back (99 tour players, a 2007 study as a newsletter quotes it).
The picture's motion is an invented model: each part of the body adds to the mean grey change by its area, growing with
its speed in the picture and levelling off once it has moved by its own width between two frames.
"""

import itertools
from pathlib import Path

import numpy as np
from attrs import evolve, field, frozen

from putt_posture.values import LANDMARK_INDEX, LANDMARK_NAMES, Clip, Track

STATURE_M = 1.75
SHANK, THIGH, TRUNK, ANKLE = 0.246, 0.245, 0.29, 0.04
NECK_TO_PUTTER = 1.35 / 0.65
"""The putter's head swings about twice as far as the hands: both hang from the base of the neck."""
STEP_S = 1 / 60
MIRRORED = [
    LANDMARK_INDEX[name.replace("left", "RIGHT").replace("right", "left").replace("RIGHT", "right")]
    for name in LANDMARK_NAMES
]
"""Index of the same landmark on the other side."""

POSES = {
    # tilt deg, hip height, hands x y z (m, shares of stature from the feet), half distance between the hands
    "stand": (4.0, 0.525, 0.0, 0.02, 0.47, 0.16),
    "address": (36.0, 0.515, 0.0, 0.22, 0.40, 0.03),
    "address tall": (18.0, 0.524, 0.0, 0.16, 0.46, 0.03),
    "address low": (50.0, 0.50, 0.0, 0.26, 0.36, 0.03),
    "lean on the putter": (5.0, 0.525, 0.0, 0.16, 0.50, 0.03),
    "crouch": (30.0, 0.27, 0.0, 0.22, 0.26, 0.03),
    "tie a shoe": (95.0, 0.50, 0.03, 0.12, 0.08, 0.03),
    "place a ball": (85.0, 0.49, 0.05, 0.38, 0.06, 0.09),
    "hands on knees": (50.0, 0.51, 0.0, 0.09, 0.29, 0.12),
}


@frozen
class Action:
    """What is done for how long; `at` is where to (m), `size` a share of a full-length stroke."""

    kind: str
    seconds: float
    pose: str | tuple[float, ...] = ""
    """One of `POSES`, or numbers like theirs."""
    at: tuple[float, float] | None = None
    size: float = 1.0
    counts: bool = True


def walk(seconds, x, y):
    return Action("walk", seconds, at=(x, y))


def take(pose, seconds=0.8):
    return Action("take", seconds, pose=pose)


def still(seconds):
    return Action("still", seconds)


def step_to(x, y, seconds=0.6):
    return Action("step", seconds, at=(x, y))


def stroke(size=1.0, *, back_s=0.67, down_s=0.317, held_s=0.0, counts=True):
    """Return a stroke; `held_s` is how long the top of the backswing is held."""
    return Action(f"stroke {back_s} {held_s} {down_s}", back_s + held_s + 2 * down_s, size=size, counts=counts)


def stroke_that_stops_at_the_ball(size=1.0, *, back_s=0.67, down_s=0.317, rest_s=0.8):
    """Return a stroke that rests at the ball before it goes on, as in a drill."""
    return Action(f"stroke {back_s} 0.0 {down_s} {rest_s}", back_s + 3.5 * down_s + rest_s, size=size)


def to_the_top(size=1.0, back_s=0.8):
    """Return a backswing without the way through: the top is rehearsed."""
    return Action("to the top", back_s, size=size)


def back_to_ball(seconds=0.9):
    return Action("back to ball", seconds)


def look(seconds=0.45, *, away=True):
    return Action("look" if away else "look back", seconds)


def waggle(seconds=0.5, size=0.12):
    return Action("waggle", seconds, size=size)


@frozen
class Truth:
    quiet_s: tuple[tuple[tuple[float, float], ...], ...]
    """For each stroke that counts, the still stretches at address since the student came to it, clip time."""
    strokes_s: tuple[tuple[float, float], ...]
    practice_s: tuple[tuple[float, float], ...] = ()
    """Still stretches before strokes that do not count."""


@frozen
class Filming:
    view: str = "down_the_line"
    look_hz: float = 8.0
    reading_hz: float = 30.0
    noise: float = 0.012
    """Standard deviation of each landmark coordinate, share of stature."""
    noise_s: float = 0.0
    """Over which the noise is correlated; 0 makes it new in every frame."""
    flicker: float = 0.0
    """Share of looks in which left and right are taken for each other."""
    sway: float = 0.0
    """Sway of the trunk about the hips, degrees, and of the hands with it: breathing and balance."""
    missing: float = 0.05
    jumps: float = 0.02
    time_stretch: float = 1.0
    frame_hz: float = 60.0
    shake: float = 0.0
    """Hand-held: sway of the picture, share of stature, and noise that comes and goes."""
    floor: float = 1.0
    """Grey levels of change in a still picture."""
    contrast: float = 1.0
    fidget: float = 0.0
    """Change by the golfer's own sway, clothes in the wind; a stroke down the line adds about 0.5, face on 1.0."""
    height_px: float = 700.0
    mirrored: bool = False
    key_frames_s: float = 1.0
    seed: int = 0
    start_s: float = 0.0


@frozen
class State:
    place: np.ndarray
    pose: np.ndarray
    swing: float = 0.0
    yaw: float = 0.0
    stride: float = 0.0
    lift: float = field(default=0.0)


def film(actions, **how):
    """Return clip, track and truth of a list of actions."""
    filming = Filming(**how)
    states, quiet, strokes, practice = _act(actions)
    times = np.arange(len(states)) * STEP_S
    rng = np.random.default_rng(filming.seed)
    if filming.sway:
        states = _swayed(states, filming.sway * _wander(rng, times, 0.35, columns=2))
    points, extra = _project(states, filming)
    if filming.shake:
        sway = filming.shake * filming.height_px * _wander(rng, times, 0.7, columns=2)
        points, extra = points + sway[:, None], extra + sway[:, None]
    motion = _motion(points, extra, times, filming, rng)

    look_times = np.arange(0, times[-1], 1 / filming.look_hz)
    seen = points[np.searchsorted(times, look_times)]
    seen = seen + filming.noise * filming.height_px * _noise(rng, seen.shape, filming)
    if filming.flicker:
        swapped = rng.random(len(seen)) < filming.flicker
        seen[swapped] = seen[swapped][:, MIRRORED]
    jump = rng.random(seen.shape[:2]) < filming.jumps
    seen[jump] += rng.normal(0, 0.1 * filming.height_px, (int(jump.sum()), 2))
    if filming.mirrored:
        seen[..., 0] = 1000 - seen[..., 0]
    seen[rng.random(len(seen)) < filming.missing] = np.nan
    boxes = np.concatenate([seen.min(axis=1), seen.max(axis=1)], axis=1)
    scale = filming.time_stretch
    reading_times = np.arange(1 / filming.reading_hz, times[-1], 1 / filming.reading_hz)
    track = Track(
        times_s=filming.start_s + look_times * scale,
        points_px=seen,
        visibility=np.where(np.isfinite(seen[..., 0]), 0.95, np.nan),
        boxes_px=boxes,
        motion_times_s=filming.start_s + reading_times * scale,
        motion=np.interp(reading_times, times, motion),
    )
    clip = Clip(
        path=Path("simulated.mp4"),
        sha256="0" * 64,
        view=filming.view,
        kind="video",
        width=1000,
        height=1000,
        duration_s=filming.start_s + times[-1] * scale,
        rate_hz=filming.frame_hz / scale,
        time_stretch=scale,
    )

    def in_clip(stretch):
        return tuple(filming.start_s + edge * scale for edge in stretch)

    return (
        clip,
        track,
        Truth(
            tuple(tuple(map(in_clip, each)) for each in quiet),
            *(tuple(map(in_clip, all)) for all in (strokes, practice)),
        ),
    )


def _pose(pose):
    return np.array(POSES[pose] if isinstance(pose, str) else pose)


def _act(actions):
    state = State(place=np.array([0.0, 0.0]), pose=np.array(POSES["stand"]))
    first = next((action for action in actions if action.kind not in {"walk", "step"}), None)
    if actions[0].kind == "still" or first is actions[0]:
        state = evolve(state, pose=_pose(actions[0].pose or "address"))
    if actions[0].kind == "still" and actions[0].at is not None:
        state = evolve(state, place=np.array(actions[0].at))
    if actions[0].kind == "walk":
        state = evolve(state, place=np.array([-1.5, -1.0]))
    states, quiet, strokes, practice, rests, now = [], [], [], [], [], 0.0
    for action in actions:
        count = round(action.seconds / STEP_S)
        begin = state
        for share in (np.arange(count) + 1) / count:
            state = _step(begin, action, share)
            states.append(state)
        state = evolve(state, stride=0.0, lift=0.0)
        end = now + count * STEP_S
        if np.array_equal(state.pose, begin.pose) and state.swing == begin.swing and action.kind in {"still", "take"}:
            if state.yaw == 0:
                joins = rests and rests[-1][1] == now
                rests[-1:] = [(rests[-1][0], end)] if joins else [*rests[-1:], (now, end)]
        elif action.kind.startswith("stroke"):
            if action.counts:
                quiet.append(tuple(rests))
                strokes.append((now, end))
            else:
                practice += rests
            rests = []
        elif action.kind == "to the top":
            practice += rests
            rests = []
        elif not action.kind.startswith(("look", "waggle")):
            rests = []
        now = end
    return states, quiet, strokes, practice


def _step(begin, action, share):
    ease = _eased(share)
    kind = action.kind.split()[0] if action.kind.startswith("stroke") else action.kind
    match kind:
        case "walk":
            place = begin.place + (np.array(action.at) - begin.place) * share
            pose = begin.pose + (np.array(POSES["stand"]) - begin.pose) * min(1.0, 3 * ease)
            return evolve(
                begin, place=place, pose=pose, stride=np.sin(share * action.seconds * 2 * np.pi * 0.9), swing=0.0
            )
        case "step":
            place = begin.place + (np.array(action.at) - begin.place) * ease
            return evolve(begin, place=place, lift=np.sin(2 * np.pi * share))
        case "take":
            return evolve(
                begin,
                pose=begin.pose + (_pose(action.pose) - begin.pose) * ease,
                swing=begin.swing * (1 - ease),
                yaw=begin.yaw * (1 - ease),
            )
        case "stroke":
            back_s, held_s, down_s, *rests = (float(part) for part in action.kind.split()[1:])
            far, now = 0.116 * action.size, share * action.seconds
            if rests:
                to_ball, on = 1.5 * down_s, 2 * down_s
                through = _eased((now - back_s) / to_ball) + _eased((now - back_s - to_ball - rests[0]) / on)
                return evolve(begin, swing=begin.swing + far * (through - _eased(now / back_s)))
            back, through = _eased(now / back_s), _eased((now - back_s - held_s) / (2 * down_s))
            return evolve(begin, swing=begin.swing + far * (2 * through - back))
        case "to the top":
            return evolve(begin, swing=begin.swing - 0.116 * action.size * ease)
        case "back to ball":
            return evolve(begin, swing=begin.swing * (1 - ease))
        case "look":
            return evolve(begin, yaw=np.radians(60) * ease)
        case "look back":
            return evolve(begin, yaw=np.radians(60) * (1 - ease))
        case "waggle":
            return evolve(begin, swing=begin.swing - 0.116 * action.size * np.sin(2 * np.pi * share) ** 2)
        case _:
            return begin


def _eased(share):
    """Minimum jerk (Flash and Hogan 1985) from 0 to 1."""
    share = np.clip(share, 0.0, 1.0)
    return share**3 * (10 - 15 * share + 6 * share**2)


def _skeleton(state):
    """Return landmarks (33, 3) and putter points (2, 3), metres."""
    tilt, hip_z, hand_x, hand_y, hand_z, half = state.pose
    stature = STATURE_M
    base = np.array([*state.place, 0.0])
    tilt = np.radians(tilt)
    along = np.array([0.0, np.sin(tilt), np.cos(tilt)])
    front = np.array([0.0, np.cos(tilt), -np.sin(tilt)])
    hips = np.array([0.0, -0.25 * TRUNK * np.sin(tilt), hip_z]) * stature
    crouched = hip_z < 0.45
    if crouched:  # Shanks lean forward by 30°, thighs reach back from the knees to the hips.
        knee_y, knee_z = SHANK * 0.5, ANKLE + SHANK * 0.866
        hips[1] = (knee_y - np.sqrt(THIGH**2 - (hip_z - knee_z) ** 2)) * stature
    shoulders = hips + TRUNK * stature * along
    points = np.zeros((33, 3))
    rock = 0.19 * state.swing / 0.65

    def put(name, point):
        points[LANDMARK_INDEX[name]] = base + point

    for side, sign in (("left", 1.0), ("right", -1.0)):
        stride = sign * state.stride
        ankle = np.array([sign * 0.12 + 0.25 * stride, 0.0, ANKLE * stature + 0.05 * abs(stride)])
        ankle[2] += 0.07 * max(0.0, sign * state.lift)
        hip = hips + np.array([sign * 0.09, 0.0, 0.0])
        reach = np.linalg.norm(hip - ankle)
        bend = np.sqrt(max((SHANK * stature) ** 2 - (reach / 2) ** 2, 0.0))
        knee = (hip + ankle) / 2 + np.array([0.0, bend, 0.0])
        if crouched:
            knee = ankle + np.array([0.0, SHANK * 0.5, SHANK * 0.866]) * stature
        shoulder = shoulders + np.array([sign * 0.19, 0.0, 0.0]) + sign * rock * along
        hand = np.array([hand_x, hand_y, hand_z]) * stature
        hand += np.array([sign * half * stature + state.swing - 0.12 * stride, 0.0, -sign * half * stature * 0.5])
        elbow = (shoulder + hand) / 2 + np.array([sign * 0.05, -0.04, 0.0])
        put(f"{side}_ankle", ankle)
        put(f"{side}_heel", ankle + np.array([0.0, -0.05, -0.05]))
        put(f"{side}_foot_index", ankle + np.array([sign * 0.03, 0.15, -0.06]))
        put(f"{side}_hip", hip)
        put(f"{side}_knee", knee)
        put(f"{side}_shoulder", shoulder)
        put(f"{side}_elbow", elbow)
        put(f"{side}_wrist", hand)
        for finger, down in (("index", 0.07), ("pinky", 0.06), ("thumb", 0.04)):
            put(f"{side}_{finger}", hand + np.array([0.0, 0.02, -down]))
        head = shoulders + 0.13 * stature * along
        facing = np.array([np.sin(state.yaw), np.cos(state.yaw), 0.0])
        face = facing[0] * np.array([1.0, 0.0, 0.0]) + facing[1] * front
        across = facing[1] * np.array([1.0, 0.0, 0.0]) - facing[0] * front
        put(f"{side}_ear", head + sign * 0.075 * across)
        for part in ("eye_inner", "eye", "eye_outer"):
            put(f"{side}_{part}", head + 0.08 * face + sign * 0.03 * across + 0.03 * along)
        put(f"mouth_{side}", head + 0.09 * face + sign * 0.02 * across - 0.05 * along)
    put("nose", shoulders + 0.13 * stature * along + 0.11 * face)
    hands = np.array([hand_x, hand_y, hand_z]) * stature
    head_x = NECK_TO_PUTTER * state.swing
    putter = base + np.array(
        [[head_x, hands[1] + 0.25, 0.03 + head_x**2 / 2.7], [0.75 * head_x, hands[1] + 0.12, 0.35]]
    )
    return points, putter


def _project(states, filming):
    distance, camera_z = 3.6, 1.0
    focal = filming.height_px * distance / STATURE_M
    cache, points, extra = {}, [], []
    for state in states:
        key = id(state)
        if key not in cache:
            cache[key] = _skeleton(state)
        body, putter = cache[key]
        points.append(body)
        extra.append(putter)
    out = []
    for xyz in (np.array(points), np.array(extra)):
        x, y, z = xyz[..., 0], xyz[..., 1], xyz[..., 2]
        aside, depth = (y - 0.3, distance + x) if filming.view == "down_the_line" else (x, distance + 0.3 - y)
        out.append(np.stack([500 + focal * aside / depth, 500 - focal * (z - camera_z) / depth], axis=-1))
    return out


_AREAS = {"nose": 3.0, "shoulder": 5.0, "elbow": 2.0, "wrist": 2.0, "hip": 5.0, "knee": 3.0, "ankle": 2.0}
"""Shares of the picture that move with each part, per side; the putter's head and shaft count 1 each."""


def _motion(points, extra, times, filming, rng):
    parts, weights = [extra[:, 0], extra[:, 1]], [1.0, 1.0]
    for name, area in _AREAS.items():
        for label in {name} if name == "nose" else {f"left_{name}", f"right_{name}"}:
            parts.append(points[:, LANDMARK_INDEX[label]])
            weights.append(area)
    moved = np.stack(parts, axis=1) - np.roll(np.stack(parts, axis=1), 2, axis=0)
    moved[:2] = 0
    # Change is counted over 1/30 s.
    speed = np.hypot(moved[..., 0], moved[..., 1]) / filming.height_px
    seen = (speed / (speed + 0.015)) @ np.array(weights) / 10
    floor = filming.floor * np.ones_like(times)
    if filming.shake:
        floor += 0.25 * filming.floor * np.abs(_wander(rng, times, 1.5))
    floor = floor + rng.normal(0, 0.05 * filming.floor, len(times))
    if filming.key_frames_s:
        floor[(times % filming.key_frames_s) < 1 / 60] += 2.0 * filming.floor
    return floor + filming.fidget * np.abs(_wander(rng, times, 0.8)) + 2.0 * filming.contrast * seen


def _noise(rng, shape, filming):
    """Noise of standard deviation one, new in each look or with a memory of `noise_s` (first order)."""
    fresh = rng.normal(0, 1, shape)
    if filming.noise_s:
        kept = np.exp(-1 / (filming.look_hz * filming.noise_s))
        for before, now in itertools.pairwise(fresh):
            now *= np.sqrt(1 - kept**2)
            now += kept * before
    return fresh


def _swayed(states, sway):
    """Let the trunk sway by (N, 2) degrees forward and along the line, and the hands by 3 mm a degree."""
    return [
        evolve(
            state,
            pose=state.pose + np.array([forward, 0.0, 0.0, 0.0017 * forward, 0.0, 0.0]),
            swing=state.swing + 0.003 * aside,
        )
        for state, (forward, aside) in zip(states, sway, strict=True)
    ]


def _wander(rng, times, hz, columns=None):
    """Slow random motion of standard deviation one."""
    shape = (columns or 1, 6)
    phase, rate = rng.uniform(0, 2 * np.pi, shape), hz * rng.uniform(0.3, 1.2, shape)
    waves = np.sin(2 * np.pi * rate * times[:, None, None] + phase).sum(axis=-1) / np.sqrt(3)
    return waves if columns else waves[:, 0]
