"""Move the landmarks of one view to the joint centres, with the uncertainty that remains."""

from typing import Final

import numpy as np
from attrs import evolve, field, frozen

from putt_posture.joints.features import JOINT_PARTS, Body, read_features
from putt_posture.joints.landmark_error_model import LandmarkErrorModel, Prediction, load_landmark_error_model
from putt_posture.joints.outline_features import read_outline_features
from putt_posture.values import LANDMARK_NAMES, VIEW_TITLES, Estimate, Floats, Handed, Landmarks, medians_seen
from putt_posture.values.showing import brief

__all__ = ["YAW", "fit_joints", "residual_name"]

YAW: Final = "yaw"
YAW_UNIT_DEG: Final = 100.0
"""Degrees of yaw that count as one body size among the residuals, so that all spreads are similar."""

ALIGNMENT_SD_DEG: Final = 1.2
"""How far a body that looks square may be off the target line, one sigma, deg (judged; golfers aim their feet and
shoulders a few degrees off without noticing)."""
RESOLUTION_SD: Final = 1.5
"""Landmark error from a coarse picture, one sigma, in units of its resolution: rendered golfers made 80 to 400 pixels
tall and enlarged again moved their landmarks by 0.6 of the small pixels, which are 2 to 3 times as large as the
resolution that is found (DEVELOPERS.md)."""
MISFIT_WARNING: Final = 2.3
"""Largest misfit of people at address (DEVELOPERS.md); a takeaway that has just begun came to 2.7."""


def residual_name(side: str, part: str, axis: int) -> str:
    """Return the name of a residual in the landmark error model.

    Parameters
    ----------
    side, part : str
        As in `Body.index`.
    axis : int
        0 is forward or square to the trunk, 1 is up or along the trunk.
    """
    return f"{side} {part}, {('across', 'along')[axis]}"


@brief
@frozen(kw_only=True, eq=False)
class Joints:
    """Joint centres of T frames of one view.

    Attributes
    ----------
    landmarks : Landmarks
        The landmarks moved to the joint centres.
    errors_px : (C, 33, 2)
        Remaining errors: C independent patterns, one sigma each, pixels. All frames share them.
    offsets_px : (C, 33, 2)
        Mean errors of landmarks on renders, which landmarks on people may not have: C independent patterns of all
        joints together, one sigma each, pixels. They are the same in every lesson.
    yaw : Estimate
        How far the camera stood off square to the body, deg; + = nearer to the ball down the line, nearer to the
        target face on.
    misfit : float
        How unusual the landmarks are, compared with the training set of the landmark error model: 1 = as usual.
    warnings : tuple of str
        Sentences for the coach.
    """

    landmarks: Landmarks
    errors_px: Floats = field(repr=False)
    offsets_px: Floats = field(repr=False)
    yaw: Estimate
    misfit: float = 1.0
    warnings: tuple[str, ...] = ()


def fit_joints(landmarks: Landmarks, *, handed: Handed, roll_deg: float, resolution_px: float = 1.0) -> Joints:
    """Move the landmarks of one view to the joint centres.

    Parameters
    ----------
    landmarks : Landmarks
        As the model gave them.
    handed : Handed
    roll_deg : float
        Camera roll, + = content turned clockwise.
    resolution_px : float
        Smallest detail that the picture shows, pixels, from `putt_posture.landmarks.resolution`: 1 in a sharp
        picture.

    Returns
    -------
    Joints
        Points that are not seen, or have no residual in the model, stay as they are. A large misfit is not refused
        here: see `putt_posture.scene.check_setup`.
    """
    body = Body(landmarks, handed=handed, roll_deg=roll_deg)
    model = load_landmark_error_model(landmarks.view)
    features = read_features(body) | read_outline_features(landmarks, body, roll_deg=roll_deg)
    prediction = model.predict(features)
    points = landmarks.points_px - _to_picture(body, model, prediction.residuals, roll_deg=roll_deg)
    moved = np.where(np.isfinite(points), points, landmarks.points_px)
    yaw = _yaw(model, prediction, landmarks)
    return Joints(
        landmarks=evolve(landmarks, points_px=moved),
        errors_px=_error_patterns(body, model, prediction, roll_deg=roll_deg, resolution_px=resolution_px),
        offsets_px=_median_patterns(body, model, model.offset[None], roll_deg=roll_deg),
        yaw=yaw,
        misfit=prediction.misfit,
        warnings=_warn(landmarks, prediction.misfit),
    )


def _to_picture(body: Body, model: LandmarkErrorModel, residuals: Floats, *, roll_deg: float) -> Floats:
    """Turn residuals (…, T, K) in the golfer's axes into picture shifts (…, T, 33, 2), px; 0 for points without any."""
    column = {name: index for index, name in enumerate(model.residuals)}
    level = np.zeros((*residuals.shape[:-1], len(LANDMARK_NAMES), 2))
    for part in JOINT_PARTS:
        axes = body.axes(part)
        for side in body.sides:
            pair = residuals[..., [column[residual_name(side, part, axis)] for axis in (0, 1)]]
            level[..., body.index(side, part), :] = np.einsum("tij,...ti->...tj", axes, pair)
    level *= body.size_px[:, None, None]
    roll = np.radians(roll_deg)
    right, up = body.forward * level[..., 0], level[..., 1]
    return np.stack([right * np.cos(roll) + up * np.sin(roll), right * np.sin(roll) - up * np.cos(roll)], axis=-1)


def _error_patterns(
    body: Body, model: LandmarkErrorModel, prediction: Prediction, *, roll_deg: float, resolution_px: float
) -> Floats:
    """Return independent one-sigma patterns (K, 33, 2), px, at the frames' median body."""
    resolution = RESOLUTION_SD * resolution_px / float(np.nanmedian(body.size_px))
    values, vectors = np.linalg.eigh(prediction.covariance + resolution**2 * np.eye(len(model.residuals)))
    return _median_patterns(body, model, (vectors * np.sqrt(np.clip(values, 0.0, None))).T, roll_deg=roll_deg)


def _median_patterns(body: Body, model: LandmarkErrorModel, columns: Floats, *, roll_deg: float) -> Floats:
    """Turn residuals (N, K) into picture patterns (N, 33, 2), px, at the frames' median body."""
    every_frame = np.repeat(columns[:, None], len(body.size_px), axis=1)
    patterns = _to_picture(body, model, every_frame, roll_deg=roll_deg)
    return np.nan_to_num(medians_seen(patterns, axis=1))


def _yaw(model: LandmarkErrorModel, prediction: Prediction, landmarks: Landmarks) -> Estimate:
    index = model.residuals.index(YAW)
    yaws = prediction.residuals[:, index]
    seen = yaws[np.isfinite(yaws)]
    learned_sd = float(np.sqrt(prediction.covariance[index, index]))
    return Estimate(
        value=YAW_UNIT_DEG * float(np.median(seen)) if seen.size else 0.0,
        standard_uncertainty=float(np.hypot(YAW_UNIT_DEG * learned_sd, ALIGNMENT_SD_DEG)),
        unit="deg",
        view=landmarks.view,
        frames=int(seen.size),
        method="how far apart near and far side, or lead and trail, are",
    )


def _warn(landmarks: Landmarks, misfit: float) -> tuple[str, ...]:
    if misfit <= MISFIT_WARNING:
        return ()
    return (
        f"{VIEW_TITLES[landmarks.view]} the body fits golfers at address less well than people at address do "
        f"({misfit:.1f} times the usual misfit; theirs is at most {MISFIT_WARNING:g}), so the intervals were widened. "
        "Look whether the moment is the address and the lines lie on the body.",
    )
