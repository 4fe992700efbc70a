"""Outfit: what one person wears, and the colours there are. Colours are sRGB, 0 to 1."""

from __future__ import annotations

from typing import Literal

import attrs

Colour = tuple[float, float, float]

SKIN_TONES: tuple[Colour, ...] = (
    (0.94, 0.78, 0.68), (0.88, 0.69, 0.57), (0.78, 0.57, 0.43), (0.63, 0.43, 0.31),
    (0.47, 0.31, 0.22), (0.34, 0.22, 0.16),
)  # fmt: skip
HAIR_COLOURS: tuple[Colour, ...] = (
    (0.10, 0.08, 0.07),
    (0.25, 0.16, 0.10),
    (0.45, 0.31, 0.18),
    (0.70, 0.56, 0.35),
    (0.55, 0.53, 0.52),
)


@attrs.frozen
class Outfit:
    """Clothes, skin and hair of one person."""

    skin: Colour = SKIN_TONES[1]
    shirt: Colour = (0.20, 0.30, 0.55)
    sleeves: Literal["short", "long"] = "short"
    trousers: Colour = (0.18, 0.18, 0.20)
    """Colour of trousers, shorts or skirt."""
    legs: Literal["long", "shorts", "skirt"] = "long"
    shoes: Colour = (0.92, 0.92, 0.90)
    hair: Colour = HAIR_COLOURS[1]
    hair_style: Literal["short", "long", "cap", "bald"] = "short"
    shirt_ease: float = 0.0
    """How much wider than the chest a loose shirt is, as a share; 0 is a shirt that lies on the skin."""
    leg_girth: float = 0.0
    """Round one leg of loose trousers or shorts, metres; 0 is trousers that lie on the thigh."""
    peak: bool = False
    """Whether a cap has its peak."""
    pattern: Literal["plain", "stripes", "checks"] = "plain"
    pattern_colour: Colour = (0.9, 0.9, 0.9)
