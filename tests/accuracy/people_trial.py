"""How far raw and corrected joints lie from joints of people that were filmed with motion capture.

    python tests/accuracy/people_trial.py FOLDER [--view face_on] [--cache FOLDER]

FOLDER holds pictures and their truth as the public test data of the repository open-mmlab/mmpose do
(``tests/data/h36m`` and ``tests/data/mpi_inf_3dhp``): files ``*.npz`` with ``imgname`` and, for each picture, ``part``
(17, 3): joints in the picture, pixels. Each person is cut out, enlarged, and looked at as a still; nothing is kept but
what ``--cache`` says. The data are for a private trial and are no part of this project; the table that came out is in
results.md.

Hips and shoulders of Human3.6M lie at the crests of the pelvis and on top of the shoulders and not at the joints, so
only angles that do not rest on where along the trunk a joint is are printed.
"""

import argparse
import sys
import tempfile
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Final

import cv2
import numpy as np
import pandas as pd
from kept_detections import detect_in_stills

from putt_posture import PuttPostureError
from putt_posture.joints import fit_joints
from putt_posture.landmarks.resolution import find_resolution
from putt_posture.values import VIEWS, Floats, View

Joints = Mapping[str, Floats]

_H36M: Final = """
    pelvis right_hip right_knee right_ankle left_hip left_knee left_ankle spine thorax neck head
    left_shoulder left_elbow left_wrist right_shoulder right_elbow right_wrist
"""
_3DHP: Final = """
    top neck right_shoulder right_elbow right_wrist left_shoulder left_elbow left_wrist
    right_hip right_knee right_ankle left_hip left_knee left_ankle pelvis spine head
"""
ORDERS: Final = {"h36m": tuple(_H36M.split()), "3dhp": tuple(_3DHP.split())}
"""Names of the 17 joints, by a word in the file's name."""

ROOM: Final = 0.35
TALL_PX: Final = 1000
"""How tall a person is made, so that they are looked at as the program detections at a student."""


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("folder", type=Path)
    parser.add_argument("--view", choices=VIEWS, default="face_on", help="how the people are seen")
    parser.add_argument("--cache", type=Path, help="keep the landmark model's detections here")
    options = parser.parse_args()
    people = list(read_people(options.folder))
    if not people:
        sys.exit(
            f"{options.folder} holds no *.npz with pictures beside it; see {Path(__file__).name} for what is needed."
        )
    rows = [row for person in people for row in try_person(*person, view=options.view, cache=options.cache)]
    if not rows:
        sys.exit("Every picture was refused, so there is nothing to print.")
    table = pd.DataFrame(rows)
    print(f"{table.picture.nunique()} of {len(people)} pictures measured")
    for name, group in table.groupby("angle", sort=False):
        told = "   ".join(
            f"{which} {group[which].mean():+5.1f}, RMSE {np.sqrt((group[which] ** 2).mean()):4.1f}"
            for which in ("raw", "corrected")
        )
        print(f"  {name:16s} n {len(group):2d}   {told} deg")


def read_people(folder: Path) -> Iterator[tuple[str, Path, Joints]]:
    """Read name, picture and true joints, px, of everybody in a folder and the folders in it."""
    for path in sorted(folder.rglob("*.npz")):
        with np.load(path, allow_pickle=False) as table:
            if not {"imgname", "part"} <= set(table.files):
                continue
            names, parts = table["imgname"].tolist(), table["part"]
        order = next((order for word, order in ORDERS.items() if word in path.stem), None)
        if order is None or parts.shape[1] != len(order):
            continue
        for name, part in zip(names, parts, strict=True):
            picture = path.parent / name
            if picture.is_file():
                yield (
                    f"{path.stem} {Path(name).stem}",
                    picture,
                    dict(zip(order, part[:, :2].astype(float), strict=True)),
                )


def try_person(
    name: str, picture: Path, true: Joints, *, view: View, cache: Path | None
) -> Iterator[dict[str, object]]:
    """Measure one person; yield a row for each angle, with the errors of raw and corrected joints, deg."""
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / "person.png"
        moved = cut_out(picture, true, file)
        try:
            detection = detect_in_stills({view: file}, cache=cache)[view]
            resolution = find_resolution(detection.still.picture, detection.landmarks.points_px[detection.still_index])
            joints = fit_joints(detection.landmarks, handed="right", roll_deg=0.0, resolution_px=resolution)
        except PuttPostureError as error:
            print(f"{name}: {error}")
            return
    truth, raw, corrected = (
        find_angles(at)
        for at in (
            moved,
            {joint: detection.landmarks.point(joint)[0] for joint in moved if _is_landmark(joint)},
            {joint: joints.landmarks.point(joint)[0] for joint in moved if _is_landmark(joint)},
        )
    )
    for side, angle in truth:
        value = truth[side, angle]
        yield {
            "picture": name,
            "angle": angle,
            "raw": _turn(raw[side, angle] - value),
            "corrected": _turn(corrected[side, angle] - value),
        }


def cut_out(picture: Path, true: Joints, file: Path) -> Joints:
    """Write the part of a picture that a person is in, enlarged; return the joints in it."""
    whole = cv2.imread(str(picture))
    points = np.array(list(true.values()))
    low, high = points.min(axis=0), points.max(axis=0)
    room = ROOM * float((high - low).max())
    start, end = np.maximum(low - room, 0).astype(int), (high + room).astype(int)
    times = max(TALL_PX / float(high[1] - low[1]), 1.0)
    part = whole[start[1] : end[1], start[0] : end[0]]
    cv2.imwrite(str(file), cv2.resize(part, None, fx=times, fy=times, interpolation=cv2.INTER_CUBIC))
    return {name: (point - start) * times for name, point in true.items()}


def find_angles(at: Joints) -> dict[tuple[str, str], float]:
    """Return the angles in the picture, deg, by side and name: trunk and shoulders against the picture, limbs bent."""
    trunk = (at["left_shoulder"] + at["right_shoulder"] - at["left_hip"] - at["right_hip"]) / 2
    line = at["left_shoulder"] - at["right_shoulder"]
    angles = {
        ("", "trunk lean"): float(np.degrees(np.arctan2(trunk[0], -trunk[1]))),
        ("", "shoulder line"): float(np.degrees(np.arctan2(line[1], line[0]))),
    }
    for side in ("left", "right"):
        for name, limb in (("knee", ("hip", "knee", "ankle")), ("elbow", ("shoulder", "elbow", "wrist"))):
            start, corner, end = (at[f"{side}_{joint}"] for joint in limb)
            first, second = corner - start, end - corner
            cross = first[0] * second[1] - first[1] * second[0]
            angles[side, f"{name} bend"] = float(np.degrees(np.arctan2(cross, first @ second)))
    return angles


def _is_landmark(joint: str) -> bool:
    return joint.startswith(("left_", "right_"))


def _turn(degrees: float) -> float:
    """Bring a difference of two angles to −180 to 180."""
    return (degrees + 180.0) % 360.0 - 180.0


if __name__ == "__main__":
    main()
