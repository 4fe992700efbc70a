"""Write gait_heel_strikes.csv and gait_toe_swings.csv from recordings of walking in gaitkit 1.5.0 (PyPI, MIT).

Run by itself: `python make_gait_table.py`, with gaitkit 1.5.0 installed or its folder `gaitkit/data` as argument. It
brings a C extension and is not a dependency of the checks. `healthy` is of Fukuchi, Fukuchi and Duarte 2018 (PeerJ 6,
e4640; CC BY 4.0; doi 10.7717/peerj.5960 as the file says), `parkinson` of doi 10.6084/m9.figshare.7734767 (ODC-By 1.0
as the file says), both at 150 frames a second. Columns: recording, frame, how far each heel is before the middle of
the hips along the way walked (mm), and 1 where the recording has a heel strike annotated for that foot.

Left out: in `healthy` the strikes of the left foot at frames 177, which follows another by 14 frames, and 340, where
the foot has stood for 16 frames.

The second table holds the toes along the way walked, in the room, from 0.45 s before they leave the ground until they
stand again: recording, side, frame, mm, and 1 where the recording has the toe-off annotated. Left out: in `healthy` the
toe-offs of the left foot at 117 and 280, where the toes have moved by 0.2 m and more, and 157, where they land; all
three of the right foot, where it stands; in `parkinson` the right one at 31, before which the foot stands for 0.2 s
only, and at 620, whose step does not end in the recording.
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


TOE_OFFS = {
    "healthy": {"left": [262], "right": []},
    "parkinson": {"left": [132, 332, 521], "right": [235, 427]},
}
RATE_HZ = 150
STANDS_MM_S = 100.0


def read(name):
    """Return the places (frames, 3) of each point in a recording, the axis walked along, its sign, and the events."""
    trial = json.loads((folder() / f"example_{name}.json").read_text(encoding="utf-8"))
    points = ("left_hip", "right_hip", "left_heel", "right_heel", "left_toe", "right_toe")
    at = {
        point: np.array([frame["landmark_positions"][point] for frame in trial["angle_frames"]], dtype=float)
        for point in points
    }
    hips = (at["left_hip"] + at["right_hip"]) / 2
    axis = int(np.argmax(np.ptp(hips, axis=0)))
    return at, hips, axis, np.sign(hips[-1, axis] - hips[0, axis]), trial["ground_truth"]


def open_table(name):
    return Path(__file__).with_name(name).open("w", encoding="utf-8", newline="\n")


with open_table("gait_heel_strikes.csv") as table:
    table.write("recording,frame,left_heel_mm,right_heel_mm,left_strike,right_strike\n")
    for name in ("healthy", "parkinson"):
        at, hips, axis, ahead, events = read(name)
        strikes = events["hs_frames"]
        for frame in range(len(hips)):
            heels = [ahead * (at[f"{side}_heel"][frame, axis] - hips[frame, axis]) for side in ("left", "right")]
            struck = [int(frame in strikes[side] and (name, side, frame) not in SPURIOUS) for side in ("left", "right")]
            table.write(f"{name},{frame},{heels[0]:.1f},{heels[1]:.1f},{struck[0]},{struck[1]}\n")

with open_table("gait_toe_swings.csv") as table:
    table.write("recording,side,frame,toe_mm,toe_off\n")
    for name, of_side in TOE_OFFS.items():
        at, _, axis, ahead, events = read(name)
        for side, frames in of_side.items():
            toe = ahead * at[f"{side}_toe"][:, axis]
            speed = RATE_HZ * np.gradient(toe)
            for off in frames:
                assert off in events["to_frames"][side]
                landed = off + int(0.2 * RATE_HZ)
                landed += int(np.argmax(speed[landed:] < STANDS_MM_S))
                for frame in range(off - int(0.45 * RATE_HZ), landed + 1):
                    table.write(f"{name},{side},{frame},{toe[frame]:.1f},{int(frame == off)}\n")
