"""Short clips of a stroke for the tests: landmarks of a stick figure whose hands and putter swing by closed forms."""

import sys
from fractions import Fraction
from pathlib import Path

import av
import numpy as np
from attrs import evolve

sys.path.insert(0, str(Path(__file__).parents[1] / "strokes"))
from made_up import BACK_S, FOLLOW_S, THROUGH_S, make_stroke, swing_at

from putt_posture.clips import read_clip
from putt_posture.drawing.overlay_clip import FilmedStroke
from putt_posture.values import LANDMARK_INDEX, SeenStroke, absent

WIDTH, HEIGHT = 240, 320
PX_PER_CM = 1.5
STANDING = {
    "nose": (120, 60), "ear": (120, 55), "eye": (120, 57), "mouth": (120, 64), "shoulder": (120, 90),
    "elbow": (118, 135), "wrist": (120, 170), "index": (120, 178), "pinky": (120, 178),
    "thumb": (120, 176), "hip": (120, 175), "knee": (120, 235), "ankle": (120, 285),
    "heel": (118, 290), "foot_index": (125, 290),
}  # fmt: skip
APART = {"eye": 3, "ear": 7, "mouth": 2, "shoulder": 18, "elbow": 22, "hip": 12, "knee": 14, "ankle": 16, "heel": 16}
EVENTS_S = (1.0, 1.0 + BACK_S, 1.0 + BACK_S + THROUGH_S, 1.0 + BACK_S + THROUGH_S + FOLLOW_S)


def points_at(times_s):
    """Return the landmarks of the stick figure, (N, 33, 2) px, and its putter head, (N, 2) px."""
    along = swing_at(times_s, start_s=EVENTS_S[0]) * PX_PER_CM
    points = np.full((len(times_s), 33, 2), np.nan)
    for name, index in LANDMARK_INDEX.items():
        side = 1 if "left" in name else -1 if "right" in name else 0
        part = next(key for key in sorted(STANDING, key=len, reverse=True) if key in name)
        u, v = STANDING[part]
        points[:, index] = u + side * APART.get(part, 4 if part != "nose" else 0), v
        if part in ("wrist", "index", "pinky", "thumb"):
            points[:, index, 0] += 0.43 * along
    head = np.stack([120 + along, np.full(len(times_s), 292.0)], axis=1)
    return points, head


def write_pictures(path, pictures, *, times_s):
    """Write RGB pictures with their times as H.264."""
    with av.open(str(path), "w") as container:
        stream = container.add_stream("libx264", rate=60, options={"crf": "8", "bf": "0"})
        for number, (picture, time) in enumerate(zip(pictures, times_s, strict=True)):
            frame = av.VideoFrame.from_ndarray(picture, "rgb24")
            if number == 0:
                stream.width, stream.height, stream.pix_fmt = frame.width, frame.height, "yuv420p"
                stream.codec_context.time_base = Fraction(1, 90000)
            frame.pts, frame.time_base = round(time * 90000), Fraction(1, 90000)
            container.mux(stream.encode(frame))
        container.mux(stream.encode(None))
    return path


def film_stroke(
    folder, *, name="clip.mp4", view="face_on", rate_hz=30, times_s=None, seconds=3.4, picture=None, pan_px=0.0
):
    """Return a filmed stroke; `pan_px` is how far the camera is turned over the clip, so that all in it moves left."""
    times = np.arange(0, seconds, 1 / rate_hz) if times_s is None else np.asarray(times_s)
    points, head = points_at(times)
    moved = np.stack([np.rint(-pan_px * times / times[-1]), np.zeros(len(times))], axis=1)
    plain = np.full((HEIGHT, WIDTH, 3), (70, 110, 70), np.uint8) if picture is None else picture
    pictures = (np.roll(plain, round(shift), axis=1) for shift, _ in moved)
    clip = read_clip(write_pictures(folder / name, pictures, times_s=times), view=view)
    camera = np.tile(np.eye(2, 3), (len(times), 1, 1))
    camera[:, :, 2] = -moved
    seen = SeenStroke.without_putter(
        view=view,
        times_s=times,
        address_s=(0.1, 0.9),
        stroke_s=(EVENTS_S[0], EVENTS_S[3]),
        points_px=points + moved[:, None],
        ball_leaves_s=absent("No ball was drawn.", unit="s"),
        why="The ball leaves.",
    )
    wrists = (seen.points_px[:, LANDMARK_INDEX["left_wrist"]] + seen.points_px[:, LANDMARK_INDEX["right_wrist"]]) / 2
    seen = evolve(
        seen,
        putter_head_px=head + moved,
        shaft_px=np.stack([wrists, head + moved], axis=1),
        camera_px=camera,
    )
    stroke = make_stroke(view, start_s=EVENTS_S[0])
    return FilmedStroke(clip=clip, stroke=stroke, seen=seen, px_per_cm=PX_PER_CM)


def decode(path):
    """Return the pictures of a clip and their times, as PyAV reads them without the program."""
    with av.open(str(path)) as container:
        frames = list(container.decode(video=0))
    return [frame.to_ndarray(format="rgb24") for frame in frames], np.array([float(frame.time) for frame in frames])
