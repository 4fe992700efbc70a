"""A person's mask refined on the picture, checked against shapes whose edge is known by construction."""

import cv2
import numpy as np
import pytest
from numpy.typing import NDArray

from putt_posture.landmarks.outline import refine_mask

SIZE = 700
CELL_PX = 4
"""The pose model's mask is 256 cells for a person of some 750 pixels."""
EDGE_TOLERANCE_PX = 1.0
"""95th percentile: what a smooth back line needs."""
BIAS_TOLERANCE_PX = 0.4
SOFT_TOLERANCE = 12
"""Of 255, mean over the picture: grain may ruffle a mask that finds no edge, and no more."""


def textured(colour: tuple[int, int, int], *, seed: int, grain: float = 6.0) -> NDArray[np.float32]:
    """Return a plain with soft blotches and grain, (SIZE, SIZE, 3)."""
    random = np.random.default_rng(seed)
    blotches = cv2.resize(random.normal(0, 1, (20, 20, 3)).astype(np.float32), (SIZE, SIZE)) * 5
    return (np.float32(colour) + blotches + random.normal(0, grain, (SIZE, SIZE, 3))).astype(np.float32)


def radius_at(angle: NDArray[np.float64]) -> NDArray[np.float64]:
    return 200 + 30 * np.cos(2 * angle) + 8 * np.sin(5 * angle)


def shape() -> NDArray[np.float32]:
    """Return how much of each pixel a wavy body covers, 0 to 1, to a quarter of a pixel."""
    fine = 4 * SIZE
    angles = np.linspace(0, 2 * np.pi, 2000, endpoint=False)
    rim = fine / 2 + 4 * radius_at(angles)[:, None] * np.stack([np.cos(angles), np.sin(angles)], axis=1)
    drawn = np.zeros((fine, fine), dtype=np.uint8)
    cv2.fillPoly(drawn, [np.rint(rim).astype(np.int32)], 255)
    return cv2.resize(drawn, (SIZE, SIZE), interpolation=cv2.INTER_AREA).astype(np.float32) / 255


def coarse_mask(cover: NDArray[np.float32], *, shift_px: float) -> NDArray[np.uint8]:
    """Return the shape as the model would: a shifted, smooth mask of few cells."""
    moved = cv2.warpAffine(cover, np.float32([[1, 0, shift_px], [0, 1, -shift_px]]), (SIZE, SIZE))
    cells = cv2.resize(moved, (SIZE // CELL_PX, SIZE // CELL_PX), interpolation=cv2.INTER_AREA)
    smooth = cv2.GaussianBlur(cells, (0, 0), 1.0)
    return np.rint(255 * np.clip(cv2.resize(smooth, (SIZE, SIZE)), 0, 1)).astype(np.uint8)


def painted(cover: NDArray[np.float32], body: NDArray[np.float32], behind: NDArray[np.float32]) -> NDArray[np.uint8]:
    mixed = cover[..., None] * body + (1 - cover[..., None]) * behind
    return np.clip(np.rint(mixed), 0, 255).astype(np.uint8)


def edge_errors(mask: NDArray[np.uint8]) -> NDArray[np.float64]:
    """Return how far the mask's edge lies outside the true one along rays from the middle, pixels."""
    angles = np.linspace(0, 2 * np.pi, 720, endpoint=False)
    reach = np.arange(100, 300, 0.25)
    at = (SIZE - 1) / 2 + reach[None, :] * np.cos(angles)[:, None], (SIZE - 1) / 2 + reach * np.sin(angles)[:, None]
    values = cv2.remap(mask, at[0].astype(np.float32), at[1].astype(np.float32), cv2.INTER_LINEAR)
    return reach[(values >= 128).cumprod(axis=1).sum(axis=1) - 1] - radius_at(angles)


@pytest.mark.parametrize(
    ("body", "behind"),
    [((40, 60, 160), (150, 150, 155)), ((190, 185, 180), (120, 150, 100)), ((35, 35, 40), (70, 75, 70))],
    ids=["blue on grey", "light on green", "dark on dark"],
)
@pytest.mark.parametrize("shift_px", [0.0, 2.0])
def test_the_edge_of_a_body_on_a_textured_background_is_found(body, behind, shift_px) -> None:
    cover = shape()
    picture = painted(cover, textured(body, seed=1), textured(behind, seed=2))
    coarse = coarse_mask(cover, shift_px=shift_px)
    before, after = edge_errors(coarse), edge_errors(refine_mask(coarse, picture))
    assert np.quantile(np.abs(after), 0.95) < EDGE_TOLERANCE_PX
    assert abs(after.mean()) < BIAS_TOLERANCE_PX
    assert after.std() < 0.7 * before.std() + 0.1


def test_a_body_of_the_background_s_colour_keeps_its_soft_mask() -> None:
    cover = shape()
    same = textured((120, 125, 130), seed=3)
    coarse = coarse_mask(cover, shift_px=2.0)
    refined = refine_mask(coarse, painted(cover, same, same))
    assert (edge_errors(refined) - edge_errors(coarse)).std() < 1.5 * EDGE_TOLERANCE_PX
    assert abs((edge_errors(refined) - edge_errors(coarse)).mean()) < EDGE_TOLERANCE_PX
    assert np.abs(refined.astype(int) - coarse).mean() < SOFT_TOLERANCE


def test_the_edge_is_steep_where_it_is_seen_and_soft_where_it_is_not() -> None:
    cover = shape()
    behind = textured((120, 125, 130), seed=3)
    body = behind.copy()
    body[:, : SIZE // 2] = textured((40, 60, 160), seed=4)[:, : SIZE // 2]
    refined = refine_mask(coarse_mask(cover, shift_px=1.0), painted(cover, body, behind))
    row = refined[SIZE // 2].astype(int)
    seen, unseen = row[: SIZE // 2], row[SIZE // 2 :]
    between = [int(((side > 60) & (side < 195)).sum()) for side in (seen, unseen)]
    assert between[0] * 2 < between[1]


def test_a_shirt_s_stripes_do_not_pull_the_edge_inside() -> None:
    cover = shape()
    body = textured((200, 200, 205), seed=5)
    body[np.arange(SIZE) % 60 < 20] = (60, 40, 120)
    picture = painted(cover, body, textured((110, 140, 90), seed=6))
    after = edge_errors(refine_mask(coarse_mask(cover, shift_px=1.0), picture))
    assert np.quantile(np.abs(after), 0.9) < 2 * EDGE_TOLERANCE_PX


def test_a_large_picture_gives_the_same_outline_as_a_small_one() -> None:
    cover = shape()
    picture = painted(cover, textured((40, 60, 160), seed=1, grain=2.0), textured((150, 150, 155), seed=2, grain=2.0))
    coarse = coarse_mask(cover, shift_px=1.0)
    twice = [cv2.resize(each, None, fx=3, fy=3, interpolation=cv2.INTER_LINEAR) for each in (coarse, picture)]
    small = refine_mask(coarse, picture)
    large = cv2.resize(refine_mask(*twice), (SIZE, SIZE), interpolation=cv2.INTER_AREA)
    assert abs((edge_errors(large) - edge_errors(small)).mean()) < EDGE_TOLERANCE_PX


def test_a_mask_without_a_person_stays_empty() -> None:
    empty = np.zeros((60, 40), dtype=np.uint8)
    assert not refine_mask(empty, np.full((60, 40, 3), 90, dtype=np.uint8)).any()
