"""What this installation has of the things that the program needs.

Nothing is taken on trust: each codec decodes a picture that was just encoded, each pose model is compared with its
digest and opened, and the maker of PDF files makes one.
"""

import os
import platform
import sys
from collections.abc import Callable, Iterator
from fractions import Fraction
from importlib import import_module, metadata
from io import BytesIO
from pathlib import Path
from typing import Final, cast, get_args

import numpy as np
from attrs import frozen
from packaging.requirements import Requirement

from putt_posture.errors import InstallationError
from putt_posture.landmarks.model import open_pose_model
from putt_posture.landmarks.quiet import quiet_stderr
from putt_posture.landmarks.weights import ModelSize, load_weights

__all__ = ["Finding", "read_installation"]

REINSTALL: Final = "Install putt_posture again with its dependencies: pip install --force-reinstall putt_posture"
SYSTEM_LIBRARIES: Final = "A bare Debian lacks system libraries: apt-get install libgl1 libegl1 libgles2 libglib2.0-0"

_IMPORTS: Final = {"av": "av", "mediapipe": "mediapipe", "pillow-heif": "pillow_heif", "typst": "typst"}
"""Libraries with compiled parts, which can be installed and still not load."""

_CODECS: Final = (
    # part, decoder, encoder, pixel format, needed
    ("H.264", "h264", "libx264", "yuv420p", True),
    ("HEVC, 8 bit", "hevc", "libx265", "yuv420p", True),
    ("HEVC, 10 bit", "hevc", "libx265", "yuv420p10le", True),
    ("ProRes", "prores", "prores_ks", "yuv422p10le", False),
    ("AV1", "libdav1d", "libsvtav1", "yuv420p", False),
    ("VP9", "vp9", "libvpx-vp9", "yuv420p", False),
)
"""Phones write H.264 and HEVC; the others come from editing programs and the web."""

_MODEL_SIZES: Final[tuple[ModelSize, ...]] = get_args(ModelSize)
_QUIET_ENCODERS: Final = {"libx265": {"x265-params": "log-level=none"}}
_SIDE_PX: Final = 64
_GREY_TOLERANCE: Final = 8.0
"""Mean error in grey levels that lossy coding of a smooth ramp stays well below."""


@frozen(kw_only=True)
class Finding:
    """One part of the installation.

    Attributes
    ----------
    part : str
    works : bool
    needed : bool
        Whether the program cannot do its main job without it.
    found : str
        A version, a digest, or what went wrong.
    remedy : str
        One sentence: how to get it.
    """

    part: str
    works: bool
    needed: bool
    found: str
    remedy: str = REINSTALL


def read_installation() -> tuple[Finding, ...]:
    """Look at every part of the installation.

    Returns
    -------
    tuple of Finding
        Versions first, then codecs, pose models, and the report's parts.
    """
    findings = [
        Finding(part="Python", works=sys.version_info >= (3, 11), needed=True, found=platform.python_version(),
                remedy="Install Python 3.11, 3.12 or 3.13."),
    ]  # fmt: skip
    findings += _examine_libraries()
    findings += [_examine_codec(*codec) for codec in _CODECS]
    findings.append(_try("HEIC stills", _decode_heic, needed=False))
    findings += [_examine_weights(size) for size in _MODEL_SIZES]
    findings.append(_try("PDF report", _make_pdf, needed=True))
    findings.append(_try("Font of the stills", _find_font, needed=True))
    return tuple(findings)


def _examine_libraries() -> Iterator[Finding]:
    try:
        lines = metadata.requires("putt_posture") or []
        yield Finding(part="putt_posture", works=True, needed=True, found=metadata.version("putt_posture"))
    except metadata.PackageNotFoundError:
        yield Finding(part="putt_posture", works=False, needed=True, found="not installed")
        return
    for requirement in map(Requirement, lines):
        if requirement.marker is None or requirement.marker.evaluate({"extra": ""}):
            yield _examine_library(requirement)


def _examine_library(requirement: Requirement) -> Finding:
    name, wanted = requirement.name, requirement.specifier
    remedy = f"pip install '{name}{wanted}'"
    try:
        version = metadata.version(name)
    except metadata.PackageNotFoundError:
        return Finding(part=name, works=False, needed=True, found="not installed", remedy=remedy)
    if not wanted.contains(version):
        return Finding(part=name, works=False, needed=True, found=f"{version}; {wanted} is needed", remedy=remedy)
    if name in _IMPORTS:
        try:
            import_module(_IMPORTS[name])
        except Exception as error:
            found = f"{version}, which does not load: {error}"
            return Finding(part=name, works=False, needed=True, found=found, remedy=SYSTEM_LIBRARIES)
    return Finding(part=name, works=True, needed=True, found=version)


def _examine_codec(part: str, decoder: str, encoder: str, pixel_format: str, needed: bool) -> Finding:
    remedy = f"Take the av package that PyPI offers, which decodes it, or export the clips as H.264 ({REINSTALL})"
    try:
        import av

        av.Codec(decoder, "r")
    except Exception as error:
        return Finding(part=part, works=False, needed=needed, found=f"no decoder: {error}", remedy=remedy)
    try:
        av.Codec(encoder, "w")
    except Exception:
        return Finding(part=part, works=True, needed=needed, found="a decoder, not tried for want of an encoder")
    try:
        error_levels = _decode_what_was_encoded(decoder, encoder, pixel_format)
    except Exception as error:
        return Finding(part=part, works=False, needed=needed, found=f"cannot decode: {error}", remedy=remedy)
    return Finding(
        part=part,
        works=error_levels < _GREY_TOLERANCE,
        needed=needed,
        found="decodes" if error_levels < _GREY_TOLERANCE else f"decodes wrongly, by {error_levels:.0f} grey levels",
        remedy=remedy,
    )


def _decode_what_was_encoded(decoder: str, encoder: str, pixel_format: str) -> float:
    """Return the mean error of one picture after encoding and decoding, in grey levels of 255."""
    import av

    ramp = np.linspace(40, 215, _SIDE_PX).astype(np.uint8)
    picture = np.repeat(np.tile(ramp, (_SIDE_PX, 1))[..., None], 3, axis=2)
    os.environ.setdefault("SVT_LOG", "0")  # the AV1 encoder says what it does unless told not to
    with quiet_stderr():
        writer = cast(av.VideoCodecContext, av.CodecContext.create(encoder, "w"))
        writer.width, writer.height, writer.pix_fmt = _SIDE_PX, _SIDE_PX, pixel_format
        writer.time_base = Fraction(1, 30)
        writer.options = _QUIET_ENCODERS.get(encoder, {})
        frame = av.VideoFrame.from_ndarray(picture, format="rgb24").reformat(format=pixel_format)
        frame.pts = 0
        packets = [*writer.encode(frame), *writer.encode(None)]
        reader = cast(av.VideoCodecContext, av.CodecContext.create(decoder, "r"))
        frames = [found for packet in packets for found in reader.decode(packet)] + reader.decode(None)
    if not frames:
        raise InstallationError("no picture came out")
    return float(np.abs(frames[0].to_ndarray(format="rgb24").astype(float) - picture).mean())


def _decode_heic() -> str:
    import pillow_heif

    picture = np.full((_SIDE_PX, _SIDE_PX, 3), 128, np.uint8)
    store = BytesIO()
    pillow_heif.from_bytes("RGB", (_SIDE_PX, _SIDE_PX), picture.tobytes()).save(store)
    store.seek(0)
    found = np.asarray(pillow_heif.open_heif(store))
    if np.abs(found.astype(float) - picture).mean() > _GREY_TOLERANCE:
        raise InstallationError("decodes wrongly")
    return f"decodes, libheif {pillow_heif.libheif_version()}"


def _examine_weights(size: ModelSize) -> Finding:
    def open_model() -> str:
        weights = load_weights(size)
        with open_pose_model(size) as model:
            model.find_people(np.zeros((_SIDE_PX, _SIDE_PX, 3), np.uint8))
        return f"{weights.name}, opens; SHA-256 {weights.sha256}"

    return _try(f"Pose model, {size}", open_model, needed=True)


def _make_pdf() -> str:
    import typst

    if not typst.compile(b"#set page(width: 5cm, height: 5cm)\n90 \xc2\xb1 1\xc2\xb0").startswith(b"%PDF"):
        raise InstallationError("no PDF came out")
    return f"makes one, typst {metadata.version('typst')}"


def _find_font() -> str:
    from matplotlib.font_manager import FontProperties, fontManager

    return Path(fontManager.findfont(FontProperties(family="DejaVu Sans"), fallback_to_default=False)).name


def _try(part: str, look: Callable[[], str], *, needed: bool, remedy: str = REINSTALL) -> Finding:
    try:
        return Finding(part=part, works=True, needed=needed, found=look())
    except Exception as error:
        return Finding(part=part, works=False, needed=needed, found=str(error) or type(error).__name__, remedy=remedy)
