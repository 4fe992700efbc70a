"""The sample clips with the student followed through them and one setup, recorded, so that tests of strokes are quick.

python tests/detection/tracked_samples.py    # records them anew
"""

import io
import json
from pathlib import Path

import numpy as np

from putt_posture.clips import read_clip, read_frames_at
from putt_posture.detection.detect import Detection
from putt_posture.landmarks import find_landmarks, track_student
from putt_posture.setups import find_setups_together
from putt_posture.values import Clip, Estimate, Landmarks, Scene, Setup, Track, ViewResult, absent

SAMPLES = Path(__file__).parents[2] / "sample_clips"
RECORDED = Path(__file__).with_name("tracked_samples.npz")
RECORDED_OF = ("before", "left_hander", "filmed_badly")
VIEWS = ("down_the_line", "face_on")
_FIELDS = ("times_s", "points_px", "visibility", "boxes_px", "motion_times_s", "motion")


def truth_of(name: str) -> dict:
    return json.loads((SAMPLES / name / "truth.json").read_text(encoding="utf-8"))


def clip_of(name: str, view: str) -> Clip:
    return read_clip(SAMPLES / name / truth_of(name)["views"][view]["file"], view=view)


def track_of(name: str, view: str, *, scale: float = 1.0) -> Track:
    with np.load(RECORDED) as kept:
        fields = {field: kept[f"{name}.{view}.{field}"].astype(float) for field in _FIELDS}
    fields["points_px"], fields["boxes_px"] = scale * fields["points_px"], scale * fields["boxes_px"]
    return Track(**fields, people=1)


def detection_of(
    name: str, view: str, *, clip: Clip | None = None, track: Track | None = None, scale: float = 1.0
) -> Detection:
    """Return a sample clip as detected, with the first setup's still alone.

    Or another file of the same pictures, made smaller by `scale`.
    """
    clip = clip or clip_of(name, view)
    with np.load(RECORDED) as kept:
        still_s, stroke_s = float(kept[f"{name}.{view}.still_s"]), kept[f"{name}.{view}.stroke_s"].tolist()
        points = scale * kept[f"{name}.{view}.still_points_px"].astype(float)
    still = read_frames_at(clip, [still_s])[0]
    setup = Setup(moment_s=still_s, times_s=(still_s,), window_s=(still_s, still_s), stroke_s=tuple(stroke_s) or None)
    landmarks = Landmarks(
        view=view,
        times_s=np.array([still_s]),
        setup_index=np.zeros(1, dtype=np.int64),
        points_px=points[np.newaxis],
        visibility=np.ones((1, 33)),
        depth=np.zeros((1, 33)),
        masks=np.zeros((1, 4, 4), dtype=np.uint8),
        mask_box_px=(0, 0, 4, 4),
        size_px=(clip.width, clip.height),
        model="recorded",
    )
    return Detection(
        clip=clip,
        setups=(setup,),
        landmarks=landmarks,
        still=still,
        still_index=0,
        track=track or track_of(name, view, scale=scale),
    )


def result_of(detection: Detection) -> ViewResult:
    """Return the setup as measured without putter and ball, so that these are not searched for."""
    unknown = absent("It was not measured.", unit="px", view=detection.clip.view)
    none = Estimate(value=0.0, standard_uncertainty=0.5, unit="deg")
    scene = Scene(
        view=detection.clip.view,
        px_per_cm=Estimate(value=4.0, standard_uncertainty=0.1, unit="px/cm"),
        scale_source="stature",
        roll=none,
        yaw=none,
        forward=1,
        ground_v_px=unknown,
        distance_cm=unknown,
    )
    return ViewResult(
        clip=detection.clip, setups=detection.setups, landmarks=detection.landmarks, scene=scene, still=detection.still
    )


def _record() -> None:
    arrays: dict[str, object] = {}
    for name in RECORDED_OF:
        tracked = {view: (track_student(clip_of(name, view)), clip_of(name, view)) for view in VIEWS}
        setups = find_setups_together(tracked).of
        for view, (track, clip) in tracked.items():
            landmarks, still, row = find_landmarks(clip, setups[view][:1], track)
            for field in _FIELDS:
                arrays[f"{name}.{view}.{field}"] = getattr(track, field).astype(np.float32)
            arrays[f"{name}.{view}.still_s"] = still.time_s
            arrays[f"{name}.{view}.stroke_s"] = np.array(setups[view][0].stroke_s or ())
            arrays[f"{name}.{view}.still_points_px"] = landmarks.points_px[row].astype(np.float32)
    packed = io.BytesIO()
    np.savez_compressed(packed, **arrays)
    RECORDED.write_bytes(packed.getvalue())


if __name__ == "__main__":
    _record()
