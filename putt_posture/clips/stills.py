"""Still pictures: JPEG, PNG, HEIC and their kin, upright, in eight bits of sRGB."""

import io
import warnings
from collections.abc import Mapping
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
    """Tell by its first bytes whether a file is a picture, whatever its name says."""
    with path.open("rb") as file:
        head = file.read(12)
    webp = head[:4] == b"RIFF" and head[8:12] == b"WEBP"
    return head.startswith(_MAGIC) or webp or _brand(path) in _HEIF_BRANDS | _AVIF_BRANDS


def read_still(path: Path) -> Still:
    """Read a picture file.

    Raises
    ------
    UnreadableClip
        Damaged, cut short, or of a kind that is not read.
    ClipTooLarge
    """
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # Pillow warns of large and untidy files; our own limit is below its own
            return _read_heif(path) if _brand(path) in _HEIF_BRANDS else _read_by_pillow(path)
    except (UnreadableClip, ClipTooLarge):
        raise
    except Image.DecompressionBombError as error:
        raise ClipTooLarge(f"{path.name} unfolds to more pixels than are taken. Make it smaller.", path=path) from error
    except UnidentifiedImageError as error:
        raise UnreadableClip(
            f"{path.name} starts like a picture but is none that can be read. Export it as JPEG.", path=path
        ) from error
    except MemoryError:
        raise
    except Exception as error:  # a decoder given damaged bytes may raise nearly anything
        raise UnreadableClip(
            f"{path.name} is a damaged picture or was cut short. Copy it from the phone again.", path=path
        ) from error


def _read_by_pillow(path: Path) -> Still:
    with Image.open(path, formats=_FORMATS) as image:
        check_size(*image.size, path=path)
        orientation = orientation_from_exif(image.getexif().get(_EXIF_ORIENTATION))
        codec, mode = (image.format or "").lower(), image.mode
        picture = orientation.turn(_to_srgb(image))
    return Still(picture=picture, orientation=orientation, codec=codec, pixel_format=mode)


def _read_heif(path: Path) -> Still:
    """Read HEIF, whose decoder lays the picture upright by itself."""
    heif = pillow_heif.open_heif(str(path), convert_hdr_to_8bit=False)
    check_size(*heif.size, path=path)
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
    """Return the code of white in a decoded HEIF picture, whose samples are moved up to fill 16 bits."""
    bits = int(image.info.get("bit_depth", 16))
    return ((1 << bits) - 1) << (16 - bits)


def _brand(path: Path) -> bytes:
    with path.open("rb") as file:
        head = file.read(12)
    return head[8:12] if head[4:8] == b"ftyp" else b""


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
        return flat.convert("RGB")
    return image.convert("RGB")


def _to_srgb(image: Image.Image) -> Picture:
    """Turn any picture to eight-bit sRGB by its own colour profile (phones write Display P3), where it has one."""
    profile = image.info.get("icc_profile")
    flat = _to_eight_bits(image)
    if profile and image.mode in {"RGB", "RGBA"}:
        try:
            found = ImageCms.ImageCmsProfile(io.BytesIO(profile))
            flat = ImageCms.profileToProfile(flat, found, ImageCms.createProfile("sRGB")) or flat
        except (ImageCms.PyCMSError, OSError):
            pass  # a broken profile, or one of another kind of picture
    return np.array(flat, dtype=np.uint8)
