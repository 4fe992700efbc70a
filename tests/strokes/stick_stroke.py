"""A stick golfer who putts before a pinhole camera: seen strokes whose truth is known by construction.

Arms and putter turn as one about an axis through the middle of the shoulders. Everything is centimetres in the axes of
the program: x toward the target, y toward the ball, z up.
"""

import math

import numpy as np
from attrs import evolve, frozen
from stick_golfer import SIZE, Camera, Golfer, result_of, student_of

from putt_posture.values import (
    LANDMARK_NAMES,
    STROKE_EVENTS,
    Estimate,
    Landmarks,
    SeenStroke,
    SeenStrokes,
    absent,
)

ARMS = ("elbow", "wrist", "pinky", "index", "thumb")
HEAD = ("nose", "eye", "ear", "mouth")
LIE_DEG = 71.0


@frozen(kw_only=True)
class Stroke:
    """How the stick golfer swings; seconds, degrees, centimetres."""

    start_s: float = 1.3
    back_s: float = 0.67
    through_s: float = 0.32
    follow_s: float = 0.42
    back_deg: float = 10.0
    follow_share: float = 1.2
    plane_deg: float = 0.0
    head_along: float = 0.0
    """How far the head is along the line at the top; half of it at impact."""
    head_up: float = 0.0
    sternum_along: float = 0.0
    hips_across: float = 0.0
    tilt_deg: float = 0.0
    """How much further the trunk leans at impact."""
    wrist_deg: float = 0.0
    """How much the lead wrist is bent back at impact."""

    @property
    def events(self):
        at = np.cumsum([self.start_s, self.back_s, self.through_s, self.follow_s])
        return dict(zip(STROKE_EVENTS, map(float, at), strict=True))

    def turn(self, times):
        """Return how far the arms have turned, (N,) rad, + toward the target."""
        start, top, impact, finish = self.events.values()
        back = np.radians(self.back_deg)
        tau = np.clip((times - start) / (top - start), 0, 1)
        turned = -back * tau**3 * (10 - 15 * tau + 6 * tau**2)
        down = np.clip((times - top) / (impact - top), 0, 1)
        turned = np.where(times > top, -back * np.cos(np.pi / 2 * down), turned)
        on = np.clip((times - impact) / (finish - impact), 0, 1)
        return np.where(times > impact, self.follow_share * back * np.sin(np.pi / 2 * on), turned)

    def come(self, times, *, impact_share):
        """Return how far a movement is that is whole at the top and has some share left at impact, (N,) 0 to 1."""
        start, top, impact, _ = self.events.values()
        up = 0.5 - 0.5 * np.cos(np.pi * np.clip((times - start) / (top - start), 0, 1))
        down = 0.5 - 0.5 * np.cos(np.pi * np.clip((times - top) / (impact - top), 0, 1))
        return up + (impact_share - 1) * down

    def toward_impact(self, times):
        """Return a change that is whole at impact, (N,) 0 to 1."""
        start, _, impact, _ = self.events.values()
        return 0.5 - 0.5 * np.cos(np.pi * np.clip((times - start) / (impact - start), 0, 1))


def _turned(points, turn, *, about, plane_deg):
    """Turn points (3,) by angles (N,) about an axis across the line that leans by the plane."""
    lean = math.radians(plane_deg)
    axis = np.array([0.0, math.cos(lean), math.sin(lean)])
    arm = points - about
    level = np.cross(arm, axis)
    c, s = np.cos(turn)[:, None], np.sin(turn)[:, None]
    return about + arm * c + level * s * 1.0 + axis * (arm @ axis) * (1 - c)


def positions(golfer, stroke, times):
    """Return every landmark (N, 33, 3), the putter head (N, 3) and the ball (3,) in space."""
    joints = golfer.joints()
    middle = (joints["left_shoulder"] + joints["right_shoulder"]) / 2
    hips = (joints["left_hip"] + joints["right_hip"]) / 2
    hands = (joints["left_wrist"] + joints["right_wrist"]) / 2
    turn = stroke.turn(times)
    tilt = np.radians(stroke.tilt_deg) * stroke.toward_impact(times)
    trunk = middle - hips
    c, s = np.cos(tilt), np.sin(tilt)
    leaned = np.stack([0 * tilt + trunk[0], trunk[1] * c + trunk[2] * s, trunk[2] * c - trunk[1] * s], axis=1) - trunk
    sway = np.zeros((len(times), 3))
    sway[:, 0] = stroke.sternum_along * stroke.come(times, impact_share=0.5)
    hip_sway = np.zeros((len(times), 3))
    hip_sway[:, 1] = stroke.hips_across * stroke.come(times, impact_share=0.5)
    head_sway = np.zeros((len(times), 3))
    head_sway[:, 0] = stroke.head_along * stroke.come(times, impact_share=0.5)
    head_sway[:, 2] = stroke.head_up * stroke.come(times, impact_share=0.5)
    lead = "right" if golfer.left_handed else "left"
    bend = np.radians(stroke.wrist_deg) * stroke.toward_impact(times)
    points = []
    for name in LANDMARK_NAMES:
        at = np.tile(joints[name], (len(times), 1))
        if any(part in name for part in ARMS):
            at = _turned(joints[name], turn, about=middle, plane_deg=stroke.plane_deg)
            if name in (f"{lead}_pinky", f"{lead}_index"):
                wrist = _turned(joints[f"{lead}_wrist"], turn, about=middle, plane_deg=stroke.plane_deg)
                hand = at - wrist
                x, z = hand[:, 0].copy(), hand[:, 2].copy()
                hand[:, 0] = x * np.cos(bend) - z * np.sin(bend)
                hand[:, 2] = x * np.sin(bend) + z * np.cos(bend)
                at = wrist + hand
        elif "shoulder" in name:
            at = at + sway + leaned
        elif "hip" in name:
            at = at + hip_sway
        elif any(part in name for part in HEAD):
            at = at + head_sway
        points.append(at)
    sole = hands + np.array([0.0, (hands[2] - 0.8) / math.tan(math.radians(LIE_DEG)), 0.8 - hands[2]])
    head = _turned(sole, turn, about=middle, plane_deg=stroke.plane_deg)
    return np.stack(points, axis=1), head, sole + np.array([2.2, 0.0, 1.3])


def wide_hands(golfer):
    """Give the hands the size of hands, so that the bend of a wrist is there to be seen."""

    class Wide(type(golfer)):
        def joints(self):
            joints = super().joints()
            for side in ("left", "right"):
                joints[f"{side}_wrist"] = joints[f"{side}_wrist"] + np.array([0.0, -1.0, 4.0])
                joints[f"{side}_index"] = joints[f"{side}_index"] + np.array([0.5, 1.0, -3.0])
                joints[f"{side}_pinky"] = joints[f"{side}_pinky"] + np.array([-0.5, 0.0, -4.0])
            return joints

    return Wide(**{name: getattr(golfer, name) for name in golfer.__class__.__annotations__})


def shake(times, *, rng, shift_px=0.0, turn_deg=0.0):
    """Return affine maps (N, 2, 3) of a camera that is held in the hand."""

    def slow():
        return sum(
            math.sqrt(2 / 3) * np.sin(2 * np.pi * times / period + rng.uniform(0, 7)) for period in (0.5, 1.1, 2.3)
        )

    turn = np.radians(turn_deg) * slow()
    c, s = np.cos(turn), np.sin(turn)
    middle = np.array(SIZE) / 2
    turned = np.stack([np.stack([c, -s], axis=1), np.stack([s, c], axis=1)], axis=1)
    moved = middle - turned @ middle + shift_px * np.stack([slow(), slow()], axis=1)
    return np.concatenate([turned, moved[:, :, None]], axis=2)


def film(
    golfer,
    camera,
    stroke,
    *,
    rng,
    rate_hz=60.0,
    noise_px=0.0,
    shift_px=0.0,
    turn_deg=0.0,
    kind="putt",
    hidden=(),
    stretch=1.0,
    offset_s=0.0,
    with_events=True,
    with_putter=True,
    unseen_s=None,
):
    """Return the seen stroke and the truth of its paths."""
    events = stroke.events
    times = np.arange(0.0, events["finish"] + 0.4, 1 / rate_hz) + rng.uniform(0, 1 / rate_hz)
    at, head, ball = positions(golfer, stroke, times)

    def project(points):
        return camera.project(points, left_handed=golfer.left_handed)

    def noise(shape):
        return noise_px * rng.normal(size=shape)

    points = project(at) + noise((len(times), 33, 2))
    points[:, [LANDMARK_NAMES.index(name) for name in hidden]] = np.nan
    heads = project(head) + noise((len(times), 2))
    if unseen_s is not None:
        heads[(times >= unseen_s[0]) & (times <= unseen_s[1])] = np.nan
    moves = shake(times, rng=rng, shift_px=shift_px, turn_deg=turn_deg)
    back = np.linalg.inv(np.concatenate([moves, np.tile([[[0.0, 0.0, 1.0]]], (len(times), 1, 1))], axis=1))[:, :2]

    def shaken(each):
        return np.einsum("nij,n...j->n...i", moves[:, :, :2], each) + moves[:, :, 2].reshape(
            len(times), *[1] * (each.ndim - 2), 2
        )

    seen_at = np.array([events[name] for name in STROKE_EVENTS])
    nearest = [int(np.argmin(np.abs(times - time))) for time in seen_at]
    pictures = Landmarks(
        view=camera.view,
        times_s=(times[nearest] + offset_s) * stretch,
        setup_index=np.arange(4),
        points_px=shaken(project(at) + noise((len(times), 33, 2)) / 2)[nearest],
        visibility=np.ones((4, 33)),
        depth=np.zeros((4, 33)),
        masks=np.zeros((4, 0, 0), dtype=np.uint8),
        mask_box_px=(0, 0, 0, 0),
        size_px=SIZE,
        model="stick",
    )
    bare = SeenStroke.without_putter(
        view=camera.view,
        times_s=(times + offset_s) * stretch,
        address_s=((0.05 + offset_s) * stretch, (events["start"] - 0.05 + offset_s) * stretch),
        stroke_s=((events["start"] - 0.05 + offset_s) * stretch, (events["finish"] + 0.1 + offset_s) * stretch),
        points_px=shaken(points),
        ball_leaves_s=Estimate(
            value=(events["impact"] + offset_s) * stretch,
            standard_uncertainty=stretch / rate_hz / math.sqrt(12),
            unit="s",
            view=camera.view,
        )
        if kind == "putt"
        else absent("The ball stays.", unit="s"),
        why="made",
    )
    seen = evolve(bare, kind=kind, camera_px=back, camera_sd_px=0.0 if not shift_px else 0.05)
    if with_putter:
        seen = evolve(seen, putter_head_px=shaken(heads), putter_head_sd_px=np.full(len(times), max(noise_px, 0.05)))
    if with_events:
        seen = evolve(seen, at_events=pictures, event_names=STROKE_EVENTS)
    return seen, (times, at, head, ball)


def view_of(golfer, camera, strokes, *, rng, noise_px=0.0, moment_s=0.6, **changed):
    """Return the view result of a setup with the strokes that follow it."""
    at, head, ball = positions(golfer, Stroke(), np.zeros(1))
    shaft = (tuple(camera.project((at[0, 15] + [0.0, -2.0, 8.0]), left_handed=golfer.left_handed)),
             tuple(camera.project(head[0], left_handed=golfer.left_handed)))  # fmt: skip
    ball_px = tuple(camera.project(ball, left_handed=golfer.left_handed))
    if not changed.get("without_putter"):
        changed = {"shaft_px": shaft, "ball_px": ball_px} | changed
    result = result_of(golfer, camera, **changed)
    frames = np.repeat(result.landmarks.points_px[:1], 8, axis=0)
    landmarks = evolve(
        result.landmarks,
        times_s=moment_s + np.arange(8) / 30,
        setup_index=np.zeros(8, dtype=np.int64),
        points_px=frames + noise_px / 2 * rng.normal(size=frames.shape),
        visibility=np.ones((8, 33)),
        depth=np.zeros((8, 33)),
        masks=np.zeros((8, 8, 8), dtype=np.uint8),
        outlines=np.zeros((8, 8, 8), dtype=np.uint8),
    )
    setups = (evolve(result.setups[0], moment_s=moment_s, times_s=tuple(landmarks.times_s)),)
    return evolve(
        result,
        landmarks=landmarks,
        joints=landmarks,
        setups=setups,
        strokes=SeenStrokes(view=camera.view, strokes=tuple(strokes)),
    )


__all__ = ["Camera", "Golfer", "Stroke", "film", "positions", "shake", "student_of", "view_of", "wide_hands"]
