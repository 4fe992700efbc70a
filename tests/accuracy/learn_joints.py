"""Learn the landmark error model: `python tests/accuracy/learn_joints.py [STILLS…]`.

With folders of stills it reads features and residuals of each shot from them and keeps these numbers in
``joint_examples.npz`` beside this file; without, it takes the kept ones. It writes
``putt_posture/joints/landmark_error_model.npz``. Only the tuning part of a study set is used, both its shots; a
golfer's shots stay together when bodies are left out to see what is left of the residuals.

Face on every example counts twice, as it is and with lead and trail exchanged: a golfer who grips lead hand low is the
mirror image of one who does not, and no side is to be learned as the usual one.
"""

import argparse
from collections.abc import Sequence
from pathlib import Path
from typing import Any, Final

import numpy as np
from attrs import evolve
from kept_detections import detect_in_stills
from shots import NOT_STATED, Shot, read_shots

import putt_posture.joints
from putt_posture.joints.features import JOINT_PARTS, Body, read_features
from putt_posture.joints.fit import YAW, YAW_UNIT_DEG, residual_name
from putt_posture.joints.landmark_error_model import LandmarkErrorModel, widening
from putt_posture.joints.outline_features import read_outline_features
from putt_posture.values import Floats, Landmarks, View

VIEWS: Final[tuple[View, ...]] = ("down_the_line", "face_on")
RIDGES: Final = (0.03, 0.1, 0.2, 0.4, 1.0)
SHOWN_ON_PEOPLE: Final = {"ear": 1.0, "heel": 1.0, "foot_index": 1.0, "wrist": 1.0, "pinky": 1.0, "index": 1.0}
"""How much of the mean residual of the renders is corrected: all of it where pictures of people show it too, as for
parts that can be seen (results.md); nothing of the joints inside the body but `SHOULDER_ALONG`."""
HANDS: Final = ("wrist", "pinky", "index")
"""Of these it was seen down the line alone."""
SHOULDER_ALONG: Final = 0.35
"""The same of the shoulder along the trunk, down the line: on three people whose acromia could be seen the landmark lay
1 to 2.4 cm above the centre of the joint, by the two rules for it; on renders it lies 5 cm above."""
DOUBTED: Final = {"knee": 0.5, "ankle": 0.5}
"""How much of what is not taken out counts as an uncertainty: all of it, but half of the legs'. Six people who locked
their knees read −6° to +5°, which the whole of it (8°) would make −14° to −3°."""
SHARE: Final = 0.5
"""Share of the deviation from the mean that is corrected. All of it moves people's tilt by 2° and knees by 4° one way;
half moves them by no more than their truth is known (results.md)."""
UNSHARED: Final = ("elbow", "wrist")
"""For these it is 0: on people it made the elbows' bend worse."""
OUT_OF_REACH: Final = frozenset(
    f"study {seed}" for seed in (7, 9, 12, 22, 27, 29, 36, 37, 39, 41, 47, 96, 100, 103, 104, 123, 126, 128, 131)
)
"""Golfers of whom nothing is learned: their shoulder blades were set 3° to 33° beyond what the pose solver allows since
(`sample_clips/golfers/skeleton.py`). No landmark model sees that, so they would teach that every shoulder is unsure. Of
the 119 bodies of earlier makings nobody can say any more."""
LITTLE_MORE: Final = 1.03
"""A larger ridge is safer for bodies unlike these."""
FOLDS: Final = 24
BLUNDER_SDS: Final = 4.0
MAD_TO_SD: Final = 1.4826
TRUTH_NAMES: Final = {"pinky": "little", "foot_index": "toe"}
EXAMPLES: Final = Path(__file__).with_name("joint_examples.npz")
OUT: Final = Path(putt_posture.joints.__file__).parent / "landmark_error_model.npz"


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("stills", type=Path, nargs="*")
    parser.add_argument("--cache", type=Path, help="keep detections here")
    parser.add_argument("--out", type=Path, default=OUT)
    options = parser.parse_args()
    if options.stills:
        shots = [
            shot for folder in options.stills for shot in read_shots(folder) if shot.part in ("tuning", NOT_STATED)
        ]
        gathered = {k: v for view in VIEWS for k, v in gather(shots, view, options.cache).items()}
        np.savez_compressed(EXAMPLES, **gathered, centres=np.array("anatomical"))
    table: dict[str, Any] = {}
    for view in VIEWS:
        model = learn(*load_examples(view))
        report(view, model)
        table |= {f"{view}/{name}": value for name, value in as_arrays(model).items()}
    np.savez_compressed(options.out, **table)


def gather(shots: Sequence[Shot], view: View, cache: Path | None) -> dict[str, Any]:
    """Return the examples of one view as arrays that load without pickle."""
    examples = [one for shot in shots if (one := read_example(shot, view, cache=cache)) is not None]
    features, residuals, whose = zip(*examples, strict=True)
    return {
        f"{view}/feature_names": np.array(list(features[0])),
        f"{view}/residual_names": np.array(list(residuals[0])),
        f"{view}/features": np.array([list(one.values()) for one in features], dtype=np.float32),
        f"{view}/residuals": np.array([list(one.values()) for one in residuals], dtype=np.float32),
        f"{view}/whose": np.array(whose),
    }


def load_examples(view: View) -> tuple[list[dict[str, float]], list[dict[str, float]], list[str]]:
    """Return features, residuals and golfer of each kept example of one view; face on, also of its mirror image."""
    with np.load(EXAMPLES) as table:
        of = {
            name: table[f"{view}/{name}"]
            for name in ("feature_names", "residual_names", "features", "residuals", "whose")
        }
    features = [dict(zip(of["feature_names"].tolist(), row, strict=True)) for row in of["features"].astype(float)]
    residuals = [dict(zip(of["residual_names"].tolist(), row, strict=True)) for row in of["residuals"].astype(float)]
    here = [row for row, one in enumerate(of["whose"].tolist()) if one not in OUT_OF_REACH]
    features, residuals, whose = ([told[row] for row in here] for told in (features, residuals, of["whose"].tolist()))
    if view == "face_on":
        features, residuals = (
            features + [exchange(one) for one in features],
            residuals + [exchange(one) for one in residuals],
        )
        whose = whose + whose
    return features, residuals, whose


def exchange(numbers: dict[str, float]) -> dict[str, float]:
    """Return the face-on features or residuals of the mirror image: lead and trail are exchanged."""
    return {name: _mirrored(name) * numbers[_other(name)] for name in numbers}


def _other(name: str) -> str:
    return name.replace("lead", "#").replace("trail", "lead").replace("#", "trail")


def _mirrored(name: str) -> float:
    """Return the sign that a number takes on in the mirror; the axes of a body's own sides stay as they are."""
    if " apart, " in name:  # first side less second: exchanged and turned round across, only exchanged along
        return 1.0 if name.endswith("across") else -1.0
    turned = name.endswith((", across", " depth")) or name in (YAW, "nose from ears")
    return -1.0 if turned else 1.0


def read_example(
    shot: Shot, view: View, *, cache: Path | None
) -> tuple[dict[str, float], dict[str, float], str] | None:
    """Return the features and the residuals of one shot, and whose they are; None where the view was refused."""
    try:
        landmarks = detect_in_stills({view: shot.picture(view)}, cache=cache)[view].landmarks
    except putt_posture.PuttPostureError as error:
        print(f"{shot.name} {view}: {error}")
        return None
    seen = shot.truth["views"][view]
    student, roll = shot.student, float(seen["camera"]["roll_deg"])
    body = Body(landmarks, handed=student.handed, roll_deg=roll)
    told = read_features(body) | read_outline_features(landmarks, body, roll_deg=roll)
    features = {name: float(value[0]) for name, value in told.items()}
    residuals = read_residuals(body, landmarks, seen["joints_px"], roll_deg=roll, handed=student.handed)
    residuals[YAW] = float(seen["camera"]["yaw_deg"]) / YAW_UNIT_DEG
    return features, residuals, f"{shot.folder.parent.name} {shot.seed}"


def read_residuals(body: Body, landmarks: Landmarks, true_px: Any, *, roll_deg: float, handed: Any) -> dict[str, float]:
    """Return how far each point of the first frame lies from its joint, in the golfer's axes, shares of the body."""
    points = landmarks.points_px.copy()
    for side, word in body.names.items():
        for part in JOINT_PARTS:
            points[:, body.index(side, part)] = true_px[f"{word}_{TRUTH_NAMES.get(part, part)}"]
    true = Body(evolve(landmarks, points_px=points), handed=handed, roll_deg=roll_deg)
    scale = true.size_px / body.size_px
    residuals = {}
    for side in body.sides:
        for part in JOINT_PARTS:
            residual = body.at(side, part) - true.at(side, part) * scale[:, None]
            for axis, told in enumerate(np.einsum("tij,tj->ti", body.axes(part), residual)[0]):
                residuals[residual_name(side, part, axis)] = float(told)
    return residuals


def learn(
    features: Sequence[dict[str, float]], residuals: Sequence[dict[str, float]], whose: Sequence[str]
) -> LandmarkErrorModel:
    """Learn with the largest ridge that leaves little more than the least on bodies that were left out."""
    feature_names, residual_names = tuple(features[0]), tuple(residuals[0])
    s = np.array([[one[name] for name in feature_names] for one in features])
    m = np.array([[one[name] for name in residual_names] for one in residuals])
    tries = []
    for ridge in RIDGES:
        left, misfits = leave_bodies_out(features, residuals, whose, ridge=ridge)
        widths = np.array([widening(misfit) for misfit in misfits])
        share = float(np.nanmean(np.nanmean(left**2, axis=0) / np.nanvar(m, axis=0)))
        usual, high, most = np.quantile(misfits, [0.5, 0.95, 1.0])
        misfit = f"misfit {usual:.2f}, 95 % {high:.2f}, most {most:.2f}"
        print(f"ridge {ridge:g}: {share:.3f} of the residuals' variance is left; {misfit}")
        tries.append((share, ridge, left / widths[:, None]))
    least = min(share for share, _, _ in tries)
    _, ridge, left = max((one for one in tries if one[0] <= LITTLE_MORE * least), key=lambda one: one[1])
    return evolve(
        _fit(s, m, feature_names, residual_names, ridge), unexplained=_second_moment(left), bodies=len(set(whose))
    )


def find_people_share(name: str) -> float:
    """Return how much of a residual that all renders share is taken out."""
    if name == residual_name("near", "shoulder", 1) or name == residual_name("far", "shoulder", 1):
        return SHOULDER_ALONG
    if _part(name) in HANDS and not name.startswith(("near", "far")):
        return 0.0
    return SHOWN_ON_PEOPLE.get(_part(name), 0.0)


def _part(name: str) -> str:
    """Return the part that a residual is of, such as ``knee``."""
    return name.partition(",")[0].partition(" ")[2]


def leave_bodies_out(
    features: Sequence[dict[str, float]], residuals: Sequence[dict[str, float]], whose: Sequence[str], *, ridge: float
) -> tuple[Floats, Floats]:
    """Return what is left of the residuals, (N, K), learned without the body it is of, and each one's misfit, (N,)."""
    feature_names, residual_names = tuple(features[0]), tuple(residuals[0])
    s = np.array([[one[name] for name in feature_names] for one in features])
    m = np.array([[one[name] for name in residual_names] for one in residuals])
    bodies = sorted(set(whose))
    fold = np.array([bodies.index(one) % FOLDS for one in whose])
    left, misfits = np.zeros_like(m), np.ones(len(m))
    for k in range(FOLDS):
        if (fold == k).any():
            model = _fit(s[fold != k], m[fold != k], feature_names, residual_names, ridge)
            residual_mean = np.nanmean(without_blunders(m[fold != k]), axis=0)
            for row in np.flatnonzero(fold == k):
                prediction = model.predict(dict(zip(feature_names, s[row][:, None], strict=True)))
                left[row] = m[row] - residual_mean - (prediction.residuals[0] - model.constant)
                misfits[row] = prediction.misfit
    return left, misfits


def _fit(
    s: Floats, m: Floats, features: tuple[str, ...], residuals: tuple[str, ...], ridge: float
) -> LandmarkErrorModel:
    feature_mean, residual_mean = np.nanmean(s, axis=0), np.nanmean(without_blunders(m), axis=0)
    shown = np.array([find_people_share(name) for name in residuals])
    constant = np.where(np.array(residuals) == YAW, 0.0, shown * residual_mean)
    doubted = np.array([DOUBTED.get(_part(name), 1.0) for name in residuals])
    offset = np.where(np.array(residuals) == YAW, 0.0, residual_mean - constant)
    ds, dm = np.nan_to_num(s - feature_mean), np.nan_to_num(without_blunders(m) - residual_mean)
    return LandmarkErrorModel(
        features=features, residuals=residuals, feature_mean=feature_mean, constant=constant, offset=doubted * offset,
        ridge=ridge, share=np.array([1.0 if name == YAW else 0.0 if _part(name) in UNSHARED else SHARE for name in
        residuals]), feature_covariance=ds.T @ ds / len(s), cross_covariance=dm.T @ ds / len(s),
        unexplained=np.zeros((len(residuals), len(residuals))), bodies=len(s),
    )  # fmt: skip


def without_blunders(m: Floats) -> Floats:
    """Return the residuals with blunders, such as one foot taken for the other, clipped: they must not be learned."""
    middle = np.nanmedian(m, axis=0)
    spread = MAD_TO_SD * np.nanmedian(np.abs(m - middle), axis=0)
    return np.asarray(np.clip(m, middle - BLUNDER_SDS * spread, middle + BLUNDER_SDS * spread))


def _second_moment(left: Floats) -> Floats:
    filled = np.nan_to_num(without_blunders(left))
    return np.asarray(filled.T @ filled / len(filled))


def as_arrays(model: LandmarkErrorModel) -> dict[str, Any]:
    """Return the model as arrays that load without pickle."""
    numbers = ("feature_mean", "constant", "offset", "share", "feature_covariance", "cross_covariance", "unexplained")
    return {
        "features": np.array(model.features), "residuals": np.array(model.residuals), "ridge": np.array(model.ridge),
        "bodies": np.array(model.bodies), **{name: getattr(model, name).astype(np.float32) for name in numbers},
    }  # fmt: skip


def report(view: View, model: LandmarkErrorModel) -> None:
    """Print what is left of each residual on bodies that were left out."""
    print(f"{view}: {model.bodies} bodies, {len(model.features)} features, ridge {model.ridge:g}")
    told = zip(model.residuals, model.constant, model.offset, np.sqrt(np.diag(model.unexplained)), strict=True)
    for name, constant, offset, left in told:
        print(
            f"  {name:26s} taken out {100 * constant:+.2f}, not taken out {100 * offset:+.2f}, left {100 * left:.2f} % "
            "of the body"
        )


if __name__ == "__main__":
    main()
