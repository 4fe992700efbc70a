"""Render style: how surfaces give light back and how lamps are placed, apart from where the key light comes from."""

from __future__ import annotations

from typing import Literal

import attrs

Shading = Literal["phong", "flat", "pbr"]
Lamps = Literal["key_and_fill", "three_points", "sky"]


@attrs.frozen
class RenderStyle:
    """Settings of the renderer; the defaults are those of the sample clips."""

    shading: Shading = "phong"
    lamps: Lamps = "key_and_fill"
    ambient: float = 0.38
    diffuse: float = 0.80
    specular: float = 0.06
    specular_power: float = 20
    samples: int = 8
    """Samples a pixel along edges."""
    shadow_depth: float = 0.45
    """How much of the light a shadow takes away."""
