"""The pictures of a stored lesson: their size is checked before they are decoded, and only pixels are kept.

A file with nothing but a picture stays as it is, bit for bit, so that a lesson of this program is filed unchanged, and
recognised when it is filed again. If a file has more (camera data, a colour profile, a location, a comment, a second
picture), only the pixels are taken and written again.
"""

import io
import struct
import warnings
import zlib
from collections.abc import Iterator
from typing import Final, Literal

import numpy as np
from PIL import Image

from putt_posture.documents.json_values import MOST_STILL_PIXELS
from putt_posture.drawing.stills import as_jpeg, as_png, sizes_of_jpeg
from putt_posture.errors import UsageError
from putt_posture.pages.measured_files import PLAIN_BYTES
from putt_posture.values import Picture

__all__ = ["holds_nothing_else", "read_picture", "write_anew"]

Format = Literal["PNG", "JPEG"]
_PNG_START: Final = b"\x89PNG\r\n\x1a\n"
_PNG_KIND: Final = b"\x08\x02\x00\x00\x00"
"""Eight bits a sample, red, green and blue, no interlacing: as `as_png` writes."""
_JPEG_START: Final = b"\xff\xd8"
_JPEG_END: Final = b"\xff\xd9"
_JFIF: Final = b"JFIF\0"
_JFIF_BYTES: Final = 14
"""Length of a JFIF segment without a thumbnail (ITU-T T.871, 10.1)."""
_JPEG_PARTS: Final = frozenset({0xC0, 0xC1, 0xC2, 0xC4, 0xDB, 0xDD})
"""Frame headers, Huffman and quantisation tables, restart interval (ITU-T T.81, table B.1)."""
_JPEG_SCAN: Final = 0xDA


def read_picture(data: bytes, *, name: str, where: str, size: tuple[int, int] | None = None) -> Picture:
    """Decode a picture of a stored lesson.

    Parameters
    ----------
    data : bytes
    name : str
        Of the file; it must be PNG for ``.png`` and JPEG for ``.jpg``.
    where : str
        What holds the file, for the message.
    size : (int, int), optional
        Width and height from the document. A JPEG may be smaller by the steps of `as_jpeg`.

    Returns
    -------
    (H, W, 3) uint8
        RGB.

    Raises
    ------
    UsageError
        If it is damaged, of another format, has more than `MOST_STILL_PIXELS` pixels, or is not of that size.
    """
    kind: Format = "PNG" if name.endswith(".png") else "JPEG"
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # Pillow warns about large pictures; the limit here is lower
            with Image.open(io.BytesIO(data), formats=[kind]) as image:
                found = image.size
                if found[0] * found[1] > MOST_STILL_PIXELS:
                    raise UsageError(
                        f"{name} of {where} has {found[0]} × {found[1]} pixels, and {MOST_STILL_PIXELS:,} pixels is "
                        "the most. Measure the clips again."
                    )
                allowed = None if size is None else [size] if kind == "PNG" else sizes_of_jpeg(size)
                if allowed is not None and found not in allowed:
                    raise UsageError(
                        f"{name} of {where} has {found[0]} × {found[1]} pixels, and the document says {allowed[0][0]} "
                        f"× {allowed[0][1]}. Measure the clips again."
                    )
                return np.asarray(image.convert("RGB"))
    except (UsageError, MemoryError):
        raise
    except Exception as error:  # a decoder may raise almost any exception on damaged bytes
        raise UsageError(
            f"{name} of {where} is damaged, or not a {kind} ({type(error).__name__}). Measure the clips again."
        ) from None


def write_anew(data: bytes, picture: Picture, *, name: str) -> bytes:
    """Return the bytes of a picture file with nothing but the picture.

    Parameters
    ----------
    data : bytes
        The file.
    picture : (H, W, 3) uint8
        What `read_picture` read from it.
    name : str
        Of the file.
    """
    if holds_nothing_else(data):
        return data
    return as_png(picture) if name.endswith(".png") else as_jpeg(picture, most_bytes=PLAIN_BYTES)


def holds_nothing_else(data: bytes) -> bool:
    """Tell whether a PNG or JPEG has only a picture and what is needed to decode it.

    Parameters
    ----------
    data : bytes
        Content of the file.
    """
    try:
        return _is_plain_png(data) if data.startswith(_PNG_START) else _is_plain_jpeg(data)
    except (struct.error, IndexError, ValueError, zlib.error):  # an offset past the end, or no valid one
        return False


def _is_plain_png(data: bytes) -> bool:
    names, packed = [], []
    for name, body in _png_chunks(data):
        names.append(name)
        packed += [body] if name == b"IDAT" else []
        if name == b"IHDR":
            wide, high = struct.unpack(">II", body[:8])
            if body[8:] != _PNG_KIND or wide * high > MOST_STILL_PIXELS:
                return False
    if names != [b"IHDR", *[b"IDAT"] * len(packed), b"IEND"] or not packed:
        return False
    unpacker, size = zlib.decompressobj(), high * (3 * wide + 1)
    found = unpacker.decompress(b"".join(packed), size + 1)
    return len(found) == size and unpacker.eof and not unpacker.unused_data


def _png_chunks(data: bytes) -> Iterator[tuple[bytes, bytes]]:
    """Go through names and contents of the chunks (PNG, third edition, 5.3); bytes after the last have no name."""
    place = len(_PNG_START)
    while place < len(data):
        (length,) = struct.unpack(">I", data[place : place + 4])
        name, body = data[place + 4 : place + 8], data[place + 8 : place + 8 + length]
        place += length + 12
        if place > len(data):
            raise struct.error
        yield name, body
        if name == b"IEND":
            if place < len(data):
                yield b"", data[place:]
            return


def _is_plain_jpeg(data: bytes) -> bool:
    """Go through the segments up to the first scan; after a scan only tables and scans may follow, then the end."""
    if not data.startswith(_JPEG_START) or not data.endswith(_JPEG_END):
        return False
    place = len(_JPEG_START)
    while True:
        if data[place] != 0xFF:
            return False
        code = data[place + 1]
        if code == _JPEG_END[1]:
            return place + 2 == len(data)
        (length,) = struct.unpack(">H", data[place + 2 : place + 4])
        body = data[place + 4 : place + 2 + length]
        plain_jfif = code == 0xE0 and body.startswith(_JFIF) and len(body) == _JFIF_BYTES
        if not (plain_jfif or code in _JPEG_PARTS or code == _JPEG_SCAN):
            return False
        place += 2 + length
        if code == _JPEG_SCAN:
            place = _end_of_scan(data, place)


def _end_of_scan(data: bytes, place: int) -> int:
    """Return where the next segment begins: at an 0xFF that is neither stuffed nor a restart (ITU-T T.81, B.1.1)."""
    while True:
        place = data.index(b"\xff", place)
        if data[place + 1] != 0 and not 0xD0 <= data[place + 1] <= 0xD7:
            return place
        place += 2
