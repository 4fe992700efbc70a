"""Move the landmarks of one view to the joints, and say how far the joints may still be off."""

from typing import Final

import numpy as np
from attrs import evolve

from putt_posture.joints.learned import Answer, MissModel, load_miss_model
from putt_posture.joints.outline_signs import read_outline_signs
from putt_posture.joints.signs import JOINT_PARTS, Body, read_signs
from putt_posture.values import LANDMARK_NAMES, VIEW_TITLES, Estimate, Floats, Handed, Joints, Landmarks, medians_seen

__all__ = ["YAW", "fit_joints", "miss_name"]

YAW: Final = "yaw"
YAW_UNIT_DEG: Final = 100.0
"""Degrees that stand for one body size among the misses, so that their spreads are alike."""

ALIGNMENT_SD_DEG: Final = 1.2
"""How far a body that looks square may stand off the target line, one sigma (judged; golfers aim their feet and
shoulders a few degrees off without noticing)."""
GRAIN_SD: Final = 1.5
"""How far a landmark is off for what a picture does not show, one sigma, in sizes of the smallest thing that it shows:
rendered golfers made 80 to 400 pixels tall and enlarged again moved their landmarks by 0.6 of the small pixels, which
are 2 to 3 times as large as the grain that is found (DEVELOPERS.md)."""
MISFIT_WARNING: Final = 2.3
"""People at address came up to this (DEVELOPERS.md); a takeaway that has just begun to 2.7."""


def miss_name(side: str, part: str, axis: int) -> str:
    """Return the name of a miss: axis 0 is forward or square to the trunk, 1 up or along the trunk."""
    return f"{side} {part}, {('across', 'along')[axis]}"


def fit_joints(landmarks: Landmarks, *, handed: Handed, roll_deg: float, grain_px: float = 1.0) -> Joints:
    """Move the landmarks of one view to the joints.

    Parameters
    ----------
    landmarks : Landmarks
        As the model gave them.
    handed : Handed
    roll_deg : float
        Camera roll, + = content turned clockwise.
    grain_px : float
        How coarse the picture is, pixels, from `putt_posture.landmarks.grain`: 1 in a sharp picture.

    Returns
    -------
    Joints
        Points that are unseen, or of which nothing is known, are left as they are. Their misfit may be that of no
        golfer: see `putt_posture.scene.check_setup`.
    """
    body = Body(landmarks, handed=handed, roll_deg=roll_deg)
    model = load_miss_model(landmarks.view)
    signs = read_signs(body) | read_outline_signs(landmarks, body, roll_deg=roll_deg)
    answer = model.answer(signs)
    points = landmarks.points_px - _to_picture(body, model, answer.misses, roll_deg=roll_deg)
    moved = np.where(np.isfinite(points), points, landmarks.points_px)
    yaw = _yaw(model, answer, landmarks)
    return Joints(
        landmarks=evolve(landmarks, points_px=moved),
        errors_px=_error_patterns(body, model, answer, roll_deg=roll_deg, grain_px=grain_px),
        offsets_px=_median_patterns(body, model, model.offset[None], roll_deg=roll_deg),
        yaw=yaw,
        misfit=answer.misfit,
        warnings=_warn(landmarks, answer.misfit),
    )


def _to_picture(body: Body, model: MissModel, misses: Floats, *, roll_deg: float) -> Floats:
    """Turn misses (T, K) in the golfer's axes into picture points (T, 33, 2), px; 0 for points without a miss."""
    column = {name: misses[:, index] for index, name in enumerate(model.misses)}
    level = np.zeros((len(misses), len(LANDMARK_NAMES), 2))
    for side in body.sides:
        for part in JOINT_PARTS:
            told = np.column_stack([column[miss_name(side, part, axis)] for axis in (0, 1)])
            level[:, body.index(side, part)] = np.einsum("tij,ti->tj", body.axes(part), told)
    level *= body.size_px[:, None, None]
    roll = np.radians(roll_deg)
    right, up = body.forward * level[..., 0], level[..., 1]
    return np.stack([right * np.cos(roll) + up * np.sin(roll), right * np.sin(roll) - up * np.cos(roll)], axis=-1)


def _error_patterns(body: Body, model: MissModel, answer: Answer, *, roll_deg: float, grain_px: float) -> Floats:
    """Return independent one-sigma patterns (K, 33, 2), px, at the frames' median body."""
    grain = GRAIN_SD * grain_px / float(np.nanmedian(body.size_px))
    values, vectors = np.linalg.eigh(answer.covariance + grain**2 * np.eye(len(model.misses)))
    return _median_patterns(body, model, (vectors * np.sqrt(np.clip(values, 0.0, None))).T, roll_deg=roll_deg)


def _median_patterns(body: Body, model: MissModel, columns: Floats, *, roll_deg: float) -> Floats:
    """Turn misses (N, K) into picture patterns (N, 33, 2), px, at the frames' median body."""
    patterns = [
        _to_picture(body, model, np.tile(column, (len(body.size_px), 1)), roll_deg=roll_deg) for column in columns
    ]
    return np.nan_to_num(medians_seen(np.array(patterns), axis=1))


def _yaw(model: MissModel, answer: Answer, landmarks: Landmarks) -> Estimate:
    index = model.misses.index(YAW)
    told = answer.misses[:, index]
    seen = told[np.isfinite(told)]
    learned_sd = float(np.sqrt(answer.covariance[index, index]))
    return Estimate(
        value=YAW_UNIT_DEG * float(np.median(seen)) if seen.size else 0.0,
        standard_uncertainty=float(np.hypot(YAW_UNIT_DEG * learned_sd, ALIGNMENT_SD_DEG)),
        unit="deg",
        view=landmarks.view,
        frames=int(seen.size),
        method="how far near and far side, or lead and trail, stand apart",
    )


def _warn(landmarks: Landmarks, misfit: float) -> tuple[str, ...]:
    if misfit <= MISFIT_WARNING:
        return ()
    return (
        f"{VIEW_TITLES[landmarks.view]} the body fits golfers at address less well than people at address do "
        f"({misfit:.1f} times the usual misfit; theirs is at most {MISFIT_WARNING:g}), so the intervals were widened. "
        "Look whether the moment is the address and the lines lie on the body.",
    )
