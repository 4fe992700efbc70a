"""The whole true head lies inside what is hidden, in every kept shot and both views.

The truth is the renderer's, outside the project's measuring: the places of crown, ears, eyes and nose in the picture.
"""

from pathlib import Path
from typing import Final

import numpy as np
import pytest
from kept_detections import detect_in_stills
from PIL import Image
from shots import read_shots

from putt_posture.drawing import hide_heads
from putt_posture.landmarks import find_head, find_heads
from putt_posture.values import VIEWS

GOLFERS = Path(__file__).parent / "golfers"
SHOTS: Final = {shot.folder.name: shot for shot in read_shots(GOLFERS)}

PARTS: Final = ("crown", "left_ear", "right_ear", "left_eye", "right_eye", "nose")

REFUSED: Final = {("golfer_044_usual", "face_on")}
"""The program takes the chest for the back and measures nothing; the head is found as that of anybody else."""

MARGIN: Final = 0.8
"""No part may be farther out than this share of the radius: hair, cap and chin lie some 4 cm beyond these points."""

EDGES_LEFT: Final = 0.25
"""Share of the steepest edges of the head that may be left: what is smooth over a cell of 7 cm and no less."""


def still_and_head(name, view, cache):
    path = SHOTS[name].picture(view)
    if (name, view) in REFUSED:
        picture = np.asarray(Image.open(path).convert("RGB"))
        return picture, find_heads(picture)[0]
    detection = detect_in_stills({view: path}, cache=cache)[view]
    return detection.still.picture, find_head(detection.landmarks.points_px[detection.still_index])


@pytest.mark.parametrize("view", VIEWS)
@pytest.mark.parametrize("name", SHOTS)
def test_the_true_head_lies_well_inside_what_is_hidden(name, view, detections_folder):
    picture, head = still_and_head(name, view, detections_folder)
    joints = SHOTS[name].truth["views"][view]["joints_px"]
    true = np.array([joints[part] for part in PARTS])
    assert np.hypot(*(true - head.centre_px).T).max() < MARGIN * head.radius_px

    hidden = hide_heads(picture, [head])
    face = true[2:].mean(axis=0)
    u, v = (round(float(each)) for each in face)
    reach = round(0.35 * head.radius_px)
    square = np.s_[v - reach : v + reach, u - reach : u + reach]
    assert steepest(hidden[square]) < EDGES_LEFT * steepest(picture[square])


def steepest(picture):
    """The steepest step between neighbours in a square of the picture: the 99th percentile, levels a pixel."""
    grey = picture.astype(float).mean(axis=2)
    return float(np.percentile(np.hypot(*np.gradient(grey)), 99))
