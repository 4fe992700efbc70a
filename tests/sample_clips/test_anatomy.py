"""Joint centres of the rendered golfers, against the published regressions worked out by hand on a box of a pelvis."""

import sys
from pathlib import Path
from types import SimpleNamespace

import numpy as np
import pytest

sys.path.insert(0, str(Path(__file__).parents[2] / "sample_clips"))

from golfers.anatomy import DE_LEVA, MARKS, OVER_BONE, RAB, find_centres, find_hip

WIDTH, DEPTH, HEIGHT, LEG = 0.240, 0.150, 1.000, 0.900
"""Metres: between the ASIS, from PSIS to ASIS between the bones, above the ground, from ASIS to malleolus."""
EXACT = 1e-9


@pytest.fixture
def marks() -> dict[str, np.ndarray]:
    """A level pelvis that faces -y, marked on skin that lies over its bones."""
    front, back = -DEPTH / 2 - OVER_BONE, DEPTH / 2 + OVER_BONE
    return {
        "asis.L": np.array([WIDTH / 2, front, HEIGHT]),
        "asis.R": np.array([-WIDTH / 2, front, HEIGHT]),
        "psis.L": np.array([0.05, back, HEIGHT]),
        "psis.R": np.array([-0.05, back, HEIGHT]),
    }


@pytest.mark.parametrize(
    ("rule", "behind", "below", "outward"),
    [
        # Harrington 2007, mm: 0.24 · 150 + 9.9, 0.30 · 240 + 10.9, 0.33 · 240 + 7.3
        ("harrington", 0.0459, 0.0829, 0.0865),
        # Bell 1990: 19, 30 and 36 % of the width
        ("bell", 0.0456, 0.0720, 0.0864),
        # Hara 2016, mm: 0.063 · 900 - 11, 0.078 · 900 + 9, 0.086 · 900 + 8
        ("hara", 0.0457, 0.0792, 0.0854),
    ],
)
def test_hip_centre_is_where_the_regression_says(marks, rule, behind, below, outward) -> None:
    left, right = (find_hip(marks, side, rule=rule, leg=LEG) for side in ("L", "R"))
    expected = np.array([outward, -DEPTH / 2 + behind, HEIGHT - below])
    np.testing.assert_allclose(left, expected, atol=EXACT)
    np.testing.assert_allclose(right, expected * [-1, 1, 1], atol=EXACT)


def test_hip_centre_turns_with_the_pelvis(marks) -> None:
    turn = np.radians(20)
    tipped = np.array([[1, 0, 0], [0, np.cos(turn), -np.sin(turn)], [0, np.sin(turn), np.cos(turn)]])
    turned = find_hip({name: tipped @ mark for name, mark in marks.items()}, "L")
    np.testing.assert_allclose(turned, tipped @ find_hip(marks, "L"), atol=EXACT)


def test_shoulder_stays_below_the_acromion_when_the_arm_swings() -> None:
    at_rest = {
        "asis": (0.12, -0.085, 1.0), "psis": (0.05, 0.085, 1.0), "acromion": (0.20, 0.0, 1.45),
        "outer_epicondyle": (0.22, 0.0, 1.15), "inner_epicondyle": (0.18, 0.0, 1.15),
        "outer_knee": (0.15, 0.0, 0.5), "inner_knee": (0.05, 0.0, 0.5),
        "outer_malleolus": (0.14, 0.0, 0.08), "inner_malleolus": (0.07, 0.0, 0.09),
    }  # fmt: skip
    vertices = np.zeros((max(MARKS.values()) + 1, 3))
    for name, row in MARKS.items():
        vertices[row] = at_rest[name]
    arms_forward = SimpleNamespace(
        body=SimpleNamespace(vertices=vertices),
        motion=SimpleNamespace(
            carry=lambda bone, point: [point - (np.array([0.0, 0.03, 0.0]) if "arm" in bone else 0.0)]
        ),
    )
    upper_arm = np.linalg.norm(np.subtract(at_rest["acromion"], at_rest["outer_epicondyle"]))
    below = (RAB * 0.40 + DE_LEVA * upper_arm) / 2
    left = find_centres(arms_forward)["shoulder.L"]
    np.testing.assert_allclose(left, [0.20, 0.0, 1.45 - below], atol=EXACT)
