"""Still pictures: JPEG, PNG, HEIC and their kin, upright, in eight bits of sRGB."""

import io
import warnings
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Final

import numpy as np
import pillow_heif
from attrs import frozen
from PIL import Image, ImageCms, UnidentifiedImageError

from putt_posture.clips.files import check_size
from putt_posture.clips.orientation import AS_STORED, Orientation, orientation_from_exif
from putt_posture.errors import ClipTooLarge, UnreadableClip
from putt_posture.values import Picture

__all__ = ["StillHeader", "is_still", "read_still", "read_still_header"]

_FORMATS: Final = ("JPEG", "MPO", "PNG", "TIFF", "WEBP", "BMP", "GIF", "AVIF")
_MAGIC: Final = (b"\xff\xd8\xff", b"\x89PNG\r\n\x1a\n", b"II*\0", b"MM\0*", b"BM", b"GIF87a", b"GIF89a")
_HEIF_BRANDS: Final = {b"heic", b"heix", b"heim", b"heis", b"mif1", b"mif2", b"msf1", b"hevc", b"hevx"}
_AVIF_BRANDS: Final = {b"avif", b"avis"}
_EXIF_ORIENTATION: Final = 0x0112
_PAPER: Final = (255, 255, 255)


@frozen(kw_only=True)
class StillHeader:
    """What the head of a picture file tells.

    Attributes
    ----------
    width, height : int
        Upright.
    orientation : Orientation
    codec : str
    pixel_format : str
        Pillow's mode.
    """

    width: int
    height: int
    orientation: Orientation
    codec: str
    pixel_format: str


def is_still(path: Path) -> bool:
    """Tell by its first bytes whether a file is a picture, whatever its name says."""
    with path.open("rb") as file:
        head = file.read(16)
    brand = head[8:12] if head[4:8] == b"ftyp" else b""
    webp = head[:4] == b"RIFF" and head[8:12] == b"WEBP"
    return head.startswith(_MAGIC) or webp or brand in _HEIF_BRANDS | _AVIF_BRANDS


def read_still_header(path: Path) -> StillHeader:
    """Read size and orientation without decoding the picture.

    Raises
    ------
    UnreadableClip, ClipTooLarge
    """
    with _open(path) as (image, orientation):
        width, height = orientation.size(*image.size)
        return StillHeader(
            width=width,
            height=height,
            orientation=orientation,
            codec=(image.format or "heif").lower(),
            pixel_format=image.mode,
        )


def read_still(path: Path) -> Picture:
    """Read the upright picture at full size.

    Returns
    -------
    (H, W, 3) uint8
        sRGB; transparent parts are white.

    Raises
    ------
    UnreadableClip, ClipTooLarge
    """
    with _open(path) as (image, orientation):
        stored = np.asarray(_to_srgb(_to_eight_bits(image)), dtype=np.uint8)
        return orientation.turn(stored)


@contextmanager
def _open(path: Path) -> Iterator[tuple[Image.Image, Orientation]]:
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # Pillow warns of large and of untidy files; our own limit is below its own
            if pillow_heif.is_supported(str(path)) and not _is_avif(path):
                heif = pillow_heif.open_heif(str(path))
                check_size(*heif.size, path=path)
                yield heif.to_pillow(), AS_STORED  # the decoder has turned it already, as HEIF wants it
            else:
                with Image.open(path, formats=_FORMATS) as image:
                    check_size(*image.size, path=path)
                    yield image, orientation_from_exif(image.getexif().get(_EXIF_ORIENTATION))
    except (UnreadableClip, ClipTooLarge):
        raise
    except Image.DecompressionBombError as error:
        raise ClipTooLarge(f"{path.name} unfolds to more pixels than are taken. Make it smaller.", path=path) from error
    except UnidentifiedImageError as error:
        raise UnreadableClip(
            f"{path.name} starts like a picture but is none that can be read. Export it as JPEG.", path=path
        ) from error
    except (OSError, ValueError, SyntaxError, RuntimeError, EOFError, TypeError, KeyError, IndexError) as error:
        raise UnreadableClip(
            f"{path.name} is a damaged picture or was cut short. Copy it from the phone again.", path=path
        ) from error


def _is_avif(path: Path) -> bool:
    with path.open("rb") as file:
        return file.read(12)[8:12] in _AVIF_BRANDS


def _to_eight_bits(image: Image.Image) -> Image.Image:
    """Bring any mode to RGB of eight bits, laid on white."""
    if image.mode.startswith("I") or image.mode == "F":
        values = np.asarray(image, dtype=np.float64)
        full = 65535.0 if image.mode != "F" or values.max(initial=0.0) > 1.0 else 1.0
        return Image.fromarray(np.rint(255 * np.clip(values / full, 0, 1)).astype(np.uint8)).convert("RGB")
    if image.has_transparency_data:
        layer = image.convert("RGBA")
        flat = Image.new("RGBA", layer.size, _PAPER)
        flat.alpha_composite(layer)
        flat.info["icc_profile"] = image.info.get("icc_profile")
        return flat.convert("RGB")
    return image.convert("RGB")


def _to_srgb(image: Image.Image) -> Image.Image:
    """Turn a wide-gamut picture (phones write Display P3) to sRGB by its own colour profile."""
    profile = image.info.get("icc_profile")
    if not profile:
        return image
    try:
        found = ImageCms.ImageCmsProfile(io.BytesIO(profile))
        return ImageCms.profileToProfile(image, found, ImageCms.createProfile("sRGB")) or image
    except (ImageCms.PyCMSError, OSError):
        return image  # a profile of another kind of picture (grey, CMYK) or a broken one
