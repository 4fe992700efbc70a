"""Still pictures: JPEG, PNG, HEIC and others, upright, in eight bits of sRGB.

The memory that decoding takes is found from the header before a picture is decoded. Then it is processed in strips, so
that no second copy in wide numbers is ever in memory.
"""

import io
import warnings
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any, Final

import numpy as np
import pillow_heif
from attrs import field, frozen
from PIL import Image, ImageCms, UnidentifiedImageError

from putt_posture.clips.files import check_size
from putt_posture.clips.hdr import Transfer, tone_picture
from putt_posture.clips.orientation import Orientation, orientation_from_exif
from putt_posture.errors import ClipTooLarge, UnreadableClip
from putt_posture.values import Picture

__all__ = ["Still", "is_still", "read_still"]

_FORMATS: Final = ("JPEG", "PNG", "TIFF", "WEBP", "BMP", "GIF", "AVIF")
_MAGIC: Final = (b"\xff\xd8\xff", b"\x89PNG\r\n\x1a\n", b"II*\0", b"MM\0*", b"BM", b"GIF87a", b"GIF89a")
_HEIF_BRANDS: Final = {b"heic", b"heix", b"heim", b"heis", b"mif1", b"mif2", b"msf1", b"hevc", b"hevx"}
_AVIF_BRANDS: Final = {b"avif", b"avis"}
_EXIF_ORIENTATION: Final = 0x0112
_TRANSFERS: Final[Mapping[int | None, Transfer]] = {16: "pq", 18: "hlg"}
"""Transfer characteristics of ITU-T H.273, table 3."""

_PAPER: Final = (255, 255, 255)

MOST_DECODING_BYTES: Final = 640_000_000
"""Most memory for decoding: `MAX_PIXELS` in a TIFF of 16 bits and three colours. With the finished picture, and a copy
while it is turned upright, it stays below a gigabyte."""
_DECODED: Final = 4
"""Bytes for each pixel in Pillow's own memory, for every kind of file."""
_DECODING: Final[Mapping[str, int]] = {"WEBP": 16, "AVIF": 16, "HEIF": 10}
"""Bytes a pixel that these decoders take, their own copies counted (measured); the others go row by row."""
_TIFF_BITS: Final = 258
_TIFF_SAMPLES: Final = 277
"""Tags of TIFF 6.0: bits a sample, samples a pixel. A strip of a TIFF may be the whole picture."""
_STRIP_ROWS: Final = 256
"""Rows that are turned to eight bits of sRGB at a time."""


@frozen(kw_only=True, eq=False)
class Still:
    """A picture file, decoded.

    Attributes
    ----------
    picture : (H, W, 3) uint8
        Upright, full size, sRGB; transparent parts are white.
    orientation : Orientation
        How it was stored.
    codec : str
    pixel_format : str
        Pillow's name of the mode.
    transfer : {"sdr", "hlg", "pq"}
    """

    picture: Picture = field(repr=False)
    orientation: Orientation
    codec: str
    pixel_format: str
    transfer: Transfer = "sdr"


def is_still(path: Path) -> bool:
    """Return whether a file is a picture, by its first bytes and not by its name.

    Parameters
    ----------
    path : Path
        The file.
    """
    with path.open("rb") as file:
        head = file.read(12)
    webp = head[:4] == b"RIFF" and head[8:12] == b"WEBP"
    return head.startswith(_MAGIC) or webp or _brand(path) in _HEIF_BRANDS | _AVIF_BRANDS


def read_still(path: Path) -> Still:
    """Read a picture file.

    Parameters
    ----------
    path : Path
        The file.

    Raises
    ------
    UnreadableClip
        Damaged, cut short, or of a kind that is not read.
    ClipTooLarge
    """
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # Pillow warns of large and irregular files; our limit is lower
            return _read_heif(path) if _brand(path) in _HEIF_BRANDS else _read_by_pillow(path)
    except (UnreadableClip, ClipTooLarge):
        raise
    except Image.DecompressionBombError as error:
        raise ClipTooLarge(f"{path.name} has more pixels than are accepted. Make it smaller.", path=path) from error
    except UnidentifiedImageError as error:
        raise UnreadableClip(
            f"{path.name} starts like a picture but cannot be read as one. Export it as JPEG.", path=path
        ) from error
    except MemoryError:
        raise
    except Exception as error:  # a decoder may raise almost any error for damaged bytes
        raise UnreadableClip(
            f"{path.name} is a damaged picture or was cut short. Copy it from the phone again.", path=path
        ) from error


def _read_by_pillow(path: Path) -> Still:
    with Image.open(path, formats=_FORMATS) as image:
        check_size(*image.size, path=path)
        _check_memory(image.size, _bytes_a_pixel(image), path=path)
        if image.format != "MPO" and getattr(image, "is_animated", False):  # a phone's JPEG may carry a second picture
            raise UnreadableClip(
                f"{path.name} has more than one picture: it moves, or has pages, and is not a still. Give one picture "
                "as JPEG or PNG, or the video itself.",
                path=path,
            )
        orientation = orientation_from_exif(image.getexif().get(_EXIF_ORIENTATION))
        codec, mode = (image.format or "").lower(), image.mode
        flat = _to_srgb(image)
    picture = orientation.turn(flat)  # the decoded file is gone by now
    return Still(picture=picture, orientation=orientation, codec=codec, pixel_format=mode)


def _read_heif(path: Path) -> Still:
    """Read HEIF, whose decoder already turns the picture upright."""
    heif = pillow_heif.open_heif(str(path), convert_hdr_to_8bit=False)
    check_size(*heif.size, path=path)
    _check_memory(heif.size, _DECODING["HEIF"], path=path)
    image = heif[heif.primary_index]
    transfer = _TRANSFERS.get(image.info.get("nclx_profile", {}).get("transfer_characteristics"), "sdr")
    if transfer != "sdr" and image.mode == "RGB;16":
        signal = np.ascontiguousarray(np.asarray(image))
        picture = tone_picture(signal, transfer=transfer, full_code=_full_code(image))
    else:
        transfer = "sdr"
        picture = _to_srgb(pillow_heif.open_heif(str(path)).to_pillow())
    exif = Image.Exif()
    exif.load(image.info.get("exif") or b"")
    return Still(
        picture=picture,
        orientation=orientation_from_exif(exif.get(_EXIF_ORIENTATION)),
        codec="heif",
        pixel_format=image.mode,
        transfer=transfer,
    )


def _full_code(image: Any) -> int:
    """Return the code of white in a decoded HEIF picture, whose samples are shifted to fill 16 bits."""
    bits = int(image.info.get("bit_depth", 16))
    return ((1 << bits) - 1) << (16 - bits)


def _brand(path: Path) -> bytes:
    with path.open("rb") as file:
        head = file.read(12)
    return head[8:12] if head[4:8] == b"ftyp" else b""


def _bytes_a_pixel(image: Image.Image) -> int:
    """Return the bytes that a pixel takes while the picture is decoded, by its header."""
    kind = image.format or ""
    if kind != "TIFF":
        return _DECODING.get(kind, _DECODED)
    tags: Mapping[int, Any] = getattr(image, "tag_v2", {})
    bits, samples = tags.get(_TIFF_BITS, 8), tags.get(_TIFF_SAMPLES, 1)
    widest = max(bits) if isinstance(bits, tuple) else int(bits)
    return _DECODED + -(-widest // 8) * int(samples)


def _check_memory(size: tuple[int, int], bytes_a_pixel: int, *, path: Path) -> None:
    needed = size[0] * size[1] * bytes_a_pixel
    if needed > MOST_DECODING_BYTES:
        raise ClipTooLarge(
            f"{path.name} takes {needed // 1_000_000} megabytes to decode, and {MOST_DECODING_BYTES // 1_000_000} is "
            "the most that one picture may take. Make it smaller, or export it as JPEG.",
            path=path,
        )


def _to_srgb(image: Image.Image) -> Picture:
    """Convert any picture to eight-bit sRGB by its own colour profile (phones write Display P3), where it has one."""
    wide, high = image.size
    to_eight_bits, to_srgb = _find_scaling(image), _find_profile(image)
    picture = np.empty((high, wide, 3), dtype=np.uint8)
    for top in range(0, high, _STRIP_ROWS):
        strip = image.crop((0, top, wide, min(top + _STRIP_ROWS, high)))
        picture[top : top + _STRIP_ROWS] = np.asarray(to_srgb(to_eight_bits(strip)))
    return picture


def _find_scaling(image: Image.Image) -> Callable[[Image.Image], Image.Image]:
    """Return the function that converts strips of this picture to RGB of eight bits on white."""
    if image.mode.startswith("I") or image.mode == "F":
        full = 65535.0
        if image.mode == "F" and not _largest(image) > 1.0:
            full = 1.0

        def scale(strip: Image.Image) -> Image.Image:
            values = np.nan_to_num(np.asarray(strip).astype(np.float64) / full)
            return Image.fromarray(np.rint(255 * np.clip(values, 0, 1)).astype(np.uint8)).convert("RGB")

        return scale
    if image.has_transparency_data:

        def lay_on_paper(strip: Image.Image) -> Image.Image:
            layer = strip.convert("RGBA")
            flat = Image.new("RGBA", layer.size, _PAPER)
            flat.alpha_composite(layer)
            return flat.convert("RGB")

        return lay_on_paper
    return lambda strip: strip.convert("RGB")


def _largest(image: Image.Image) -> float:
    high = image.size[1]
    tops = range(0, high, _STRIP_ROWS)
    strips = (image.crop((0, top, image.size[0], min(top + _STRIP_ROWS, high))) for top in tops)
    return max(float(np.asarray(strip).max(initial=0.0)) for strip in strips)


def _find_profile(image: Image.Image) -> Callable[[Image.Image], Image.Image]:
    """Return the function that converts strips to sRGB by the picture's profile, or that changes nothing."""
    profile = image.info.get("icc_profile")
    if profile and image.mode in {"RGB", "RGBA"}:
        try:
            found = ImageCms.ImageCmsProfile(io.BytesIO(profile))
            way = ImageCms.buildTransform(found, ImageCms.createProfile("sRGB"), "RGB", "RGB")
        except (ImageCms.PyCMSError, OSError):
            pass  # a broken profile, or one of another kind of picture
        else:
            return lambda strip: ImageCms.applyTransform(strip, way) or strip
    return lambda strip: strip
