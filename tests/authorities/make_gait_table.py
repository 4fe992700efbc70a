"""Write gait_heel_strikes.csv from two recordings of walking that gaitkit 1.5.0 (PyPI, MIT) brings as examples.

Run by itself: `python make_gait_table.py`, with gaitkit 1.5.0 installed or its folder `gaitkit/data` as argument. It
brings a C extension and is not a dependency of the checks. `healthy` is of Fukuchi, Fukuchi and Duarte 2018 (PeerJ 6,
e4640; CC BY 4.0; doi 10.7717/peerj.5960 as the file says), `parkinson` of doi 10.6084/m9.figshare.7734767 (ODC-By 1.0
as the file says), both at 150 frames a second. Columns: recording, frame, how far each heel is before the middle of
the hips along the way walked (mm), and 1 where the recording has a heel strike annotated for that foot.

Left out: in `healthy` the strikes of the left foot at frames 177, which follows another by 14 frames, and 340, where
the foot has stood for 16 frames.
"""

import json
import sys
from pathlib import Path

import numpy as np

SPURIOUS = {("healthy", "left", 177), ("healthy", "left", 340)}


def folder():
    if len(sys.argv) > 1:
        return Path(sys.argv[1])
    import gaitkit

    return Path(gaitkit.__file__).parent / "data"


with Path(__file__).with_name("gait_heel_strikes.csv").open("w", encoding="utf-8", newline="\n") as table:
    table.write("recording,frame,left_heel_mm,right_heel_mm,left_strike,right_strike\n")
    for name in ("healthy", "parkinson"):
        trial = json.loads((folder() / f"example_{name}.json").read_text(encoding="utf-8"))
        at = {
            point: np.array([frame["landmark_positions"][point] for frame in trial["angle_frames"]], dtype=float)
            for point in ("left_hip", "right_hip", "left_heel", "right_heel")
        }
        hips = (at["left_hip"] + at["right_hip"]) / 2
        axis = int(np.argmax(np.ptp(hips, axis=0)))
        ahead = np.sign(hips[-1, axis] - hips[0, axis])
        strikes = trial["ground_truth"]["hs_frames"]
        for frame in range(len(hips)):
            heels = [ahead * (at[f"{side}_heel"][frame, axis] - hips[frame, axis]) for side in ("left", "right")]
            struck = [int(frame in strikes[side] and (name, side, frame) not in SPURIOUS) for side in ("left", "right")]
            table.write(f"{name},{frame},{heels[0]:.1f},{heels[1]:.1f},{struck[0]},{struck[1]}\n")
