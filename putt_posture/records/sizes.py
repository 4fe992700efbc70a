"""How large the files of a result folder may be, and how much may come out of them."""

from typing import Final

__all__ = [
    "MOST_ARRAY_BYTES",
    "MOST_FRAMES",
    "MOST_STILL_PIXELS",
    "MOST_UNPACKED_BYTES",
    "most_bytes_of",
]

_MB: Final = 1_000_000

MOST_STILL_PIXELS: Final = 16 * _MB
"""Of one picture of a result folder, whose short side is 1200 pixels: one eleven times as long as it is high. Decoded
it takes 48 MB."""

MOST_FRAMES: Final = 10_000
"""Landmark frames of one view: two thousand setups of five frames."""

MOST_ARRAY_BYTES: Final = 32 * _MB
"""Of one array that is read whole, unpacked: more than `MOST_FRAMES` frames of 33 landmarks take (5 MB)."""

MOST_UNPACKED_BYTES: Final = 4_000 * _MB
"""Of all arrays of a lesson together: 300 frames of a whole 4K picture, masks and outlines; they are gone through
in pieces."""

_MOST_BYTES: Final = {
    ".json": 4 * _MB,
    ".csv": 4 * _MB,
    ".html": 8 * _MB,
    ".pdf": 16 * _MB,
    ".svg": 4 * _MB,
    ".png": 48 * _MB,
    ".jpg": 16 * _MB,
    ".npz": 256 * _MB,
}
"""Ten or more times what the program writes; a PNG may be as large as its pixels are."""


def most_bytes_of(name: str) -> int:
    """Return how many bytes a file of a result folder may have, by the ending of its name."""
    return _MOST_BYTES[name[name.rindex(".") :]]
