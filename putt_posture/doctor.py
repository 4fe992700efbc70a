"""Checks that this installation has what the program needs.

Each part is really tried: each codec decodes a picture that was just encoded, each pose model is compared with its
digest and must find no person in an empty picture, and a PDF is made. Any part may be missing, so each is imported only
where it is tried.
"""

import os
import platform
import sys
from collections.abc import Callable, Iterable, Iterator, Sequence
from fractions import Fraction
from importlib import import_module, metadata
from importlib.util import find_spec
from io import BytesIO
from pathlib import Path
from typing import TYPE_CHECKING, Final, Literal, NamedTuple, cast

from putt_posture.errors import InstallationError

if TYPE_CHECKING:
    from packaging.requirements import Requirement

    from putt_posture.disk.unfinished import LeftOver

__all__ = ["InstalledPart", "read_installation", "read_stopped_work"]

REINSTALL: Final = "Install putt_posture again with its dependencies: pip install --force-reinstall putt_posture"
OTHER_CODEC: Final = (
    "Install the av package from PyPI again (pip install --force-reinstall av), or export clips as H.264"
)
SYSTEM_LIBRARIES: Final = "A bare Debian lacks system libraries: apt-get install libgl1 libegl1 libgles2 libglib2.0-0"

_COMPILED: Final = {"av": "av", "pillow-heif": "pillow_heif", "typst": "typst"}
"""Libraries that may fail to load although they are installed."""

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

_STOPPED: Final = "Stopped work"
_QUIET_ENCODERS: Final = {"libx265": {"x265-params": "log-level=none"}}
_SIDE_PX: Final = 64
_GREY_TOLERANCE: Final = 8.0
"""Mean error in grey levels that lossy coding of a smooth ramp stays well below."""


class InstalledPart(NamedTuple):
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
        How to get it.
    lack : str
        What to print if it does not work and is not needed.
    """

    part: str
    works: bool
    needed: bool
    found: str
    remedy: str = REINSTALL
    lack: str = "absent"


def read_installation() -> Iterator[InstalledPart]:
    """Look at every part of the installation, one after the other.

    Yields
    ------
    InstalledPart
        Versions first, then system libraries, codecs, pose models, and the report's parts.
    """
    version = platform.python_version()
    yield InstalledPart("Python", sys.version_info >= (3, 11), True, version, "Install Python 3.11, 3.12 or 3.13.")
    yield from _read_libraries()
    yield _try("OpenCV loads", _load_opencv, remedy=SYSTEM_LIBRARIES)
    yield _try("MediaPipe loads", _load_mediapipe, remedy=SYSTEM_LIBRARIES)
    for codec in _CODECS:
        yield _read_codec(*codec)
    yield _try("HEIC stills", _decode_heic, needed=False)
    yield _try("Pose model, small", lambda: _open_model("small"))
    yield _try("Pose model, large", lambda: _open_model("large"))
    yield _try("PDF report", _make_pdf)
    yield _try("Font of the stills", _find_font)
    yield _look_at_defaults()


def read_stopped_work(*places: Path) -> Iterator[InstalledPart]:
    """Remove what stopped runs left: where this user's runs noted it, in the archive, and in the given folders.

    Parameters
    ----------
    *places : Path
        More folders to look into, in which results are or were to be written.

    Yields
    ------
    InstalledPart
        One for each thing that was found, or one that says that nothing was found.
    """
    found = False
    for each in _find_left_over(places):
        found = True
        if isinstance(each, str):
            yield InstalledPart(_STOPPED, False, False, each, each, lack="unknown")
        elif each.gone:
            yield InstalledPart(_STOPPED, True, False, each.says)
        else:
            yield InstalledPart(_STOPPED, False, False, str(each.path), each.says, lack="left")
    if not found:
        yield InstalledPart(_STOPPED, True, False, "nothing is left behind")


def _find_left_over(places: Sequence[Path]) -> "Iterator[LeftOver | str]":
    """Go through what is found in all places; if one cannot be read, the reason why."""

    def read_notes() -> "Iterable[LeftOver]":
        from putt_posture.disk.unfinished import settle_everywhere, settle_scratch

        return (*settle_everywhere(Path.cwd(), *places), *settle_scratch())

    for read in (read_notes, _read_archive):
        try:
            yield from read()
        except Exception as error:
            yield str(error) or type(error).__name__


def _read_archive() -> "tuple[LeftOver, ...]":
    """Open the user's archive, if there is one, and return what stopped runs left in it and beside it."""
    from putt_posture.archive import open_archive
    from putt_posture.disk.marks import DATABASE_FILE, find_own_archive

    place = find_own_archive()
    if "://" not in place and not (Path(place) / DATABASE_FILE).is_file():
        return ()
    with open_archive(make=False) as opened:
        return opened.left_over


def _look_at_defaults() -> InstalledPart:
    from putt_posture.disk.defaults import find_defaults_file, read_defaults
    from putt_posture.shown import hide_passwords

    part, path = "Defaults file", find_defaults_file()
    try:
        found = read_defaults()
    except Exception as error:
        return InstalledPart(part, False, False, str(error), "Mend the file, or take it away.", lack="damaged")
    held = ", ".join(f"{name} = {hide_passwords(str(value))}" for name, value in found.items())
    held = held or ("empty" if path.exists() else "not there, which is fine")
    return InstalledPart(part, True, False, f"{path}: {held}")


def _read_libraries() -> Iterator[InstalledPart]:
    try:
        lines = metadata.requires("putt_posture") or []
        yield InstalledPart("putt_posture", True, True, metadata.version("putt_posture"))
    except metadata.PackageNotFoundError:
        yield InstalledPart("putt_posture", False, True, "not installed")
        return
    try:
        from packaging.requirements import Requirement
    except ImportError:
        yield InstalledPart("packaging", False, True, "not installed, so that no version can be compared")
        return
    for requirement in map(Requirement, lines):
        if requirement.marker is None or requirement.marker.evaluate({"extra": ""}):
            yield _read_library(requirement)


def _read_library(requirement: "Requirement") -> InstalledPart:
    name, wanted = requirement.name, requirement.specifier
    remedy = f"pip install '{name}{wanted}'"
    try:
        version = metadata.version(name)
    except metadata.PackageNotFoundError:
        return InstalledPart(name, False, True, "not installed", remedy)
    if not wanted.contains(version):
        return InstalledPart(name, False, True, f"{version}; {wanted} is needed", remedy)
    if name in _COMPILED:
        try:
            import_module(_COMPILED[name])
        except Exception as error:
            return InstalledPart(name, False, True, f"{version}, which does not load: {error}")
    return InstalledPart(name, True, True, version)


def _load_opencv() -> str:
    import cv2

    return str(cv2.__version__)


def _load_mediapipe() -> str:
    """Load it as it is used: in its own process, without network access."""
    if find_spec("mediapipe") is None:
        raise InstallationError("not installed")
    from putt_posture.landmarks.model import open_pose_model

    with open_pose_model("small"):
        sealed = find_spec("resource") is not None  # not on Windows
        return f"in a process of its own{', which can open no connection' * sealed}"


def _read_codec(part: str, decoder: str, encoder: str, pixel_format: str, needed: bool) -> InstalledPart:
    try:
        import av

        av.Codec(decoder, "r")
    except Exception as error:
        return InstalledPart(part, False, needed, f"no decoder: {error}", OTHER_CODEC)
    try:
        av.Codec(encoder, "w")
    except Exception:
        return InstalledPart(part, True, needed, "a decoder, not tried for want of an encoder")
    try:
        levels = _decode_what_was_encoded(decoder, encoder, pixel_format)
    except Exception as error:
        return InstalledPart(part, False, needed, f"cannot decode: {error}", OTHER_CODEC)
    if levels > _GREY_TOLERANCE:
        return InstalledPart(part, False, needed, f"decodes wrongly, by {levels:.0f} grey levels", OTHER_CODEC)
    return InstalledPart(part, True, needed, "decodes")


def _decode_what_was_encoded(decoder: str, encoder: str, pixel_format: str) -> float:
    """Return the mean error of one picture after encoding and decoding, in grey levels of 255."""
    import av
    import numpy as np

    os.environ.setdefault("SVT_LOG", "0")  # the AV1 encoder prints what it does unless this is set
    ramp = np.linspace(40, 215, _SIDE_PX).astype(np.uint8)
    picture = np.repeat(np.tile(ramp, (_SIDE_PX, 1))[..., None], 3, axis=2)
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
    import numpy as np
    import pillow_heif

    picture = np.full((_SIDE_PX, _SIDE_PX, 3), 128, np.uint8)
    store = BytesIO()
    pillow_heif.from_bytes("RGB", (_SIDE_PX, _SIDE_PX), picture.tobytes()).save(store)
    store.seek(0)
    found = np.asarray(pillow_heif.open_heif(store))
    if np.abs(found.astype(float) - picture).mean() > _GREY_TOLERANCE:
        raise InstallationError("decodes wrongly")
    return f"decodes, libheif {pillow_heif.libheif_version()}"


def _open_model(size: Literal["small", "large"]) -> str:
    import numpy as np

    from putt_posture.landmarks.model import open_pose_model

    with open_pose_model(size) as model:
        if model.find_people(np.zeros((_SIDE_PX, _SIDE_PX, 3), np.uint8)):
            raise InstallationError("a person was found in an empty picture")
        return f"{model.weights.name} opens; SHA-256 {model.weights.sha256}"


def _make_pdf() -> str:
    import typst

    if not typst.compile("#set page(width: 5cm, height: 5cm)\n90 ± 1°".encode()).startswith(b"%PDF"):
        raise InstallationError("no PDF came out")
    return "typst makes one"


def _find_font() -> str:
    from matplotlib.font_manager import FontProperties, fontManager

    return Path(fontManager.findfont(FontProperties(family="DejaVu Sans"), fallback_to_default=False)).name


def _try(part: str, look: Callable[[], str], *, needed: bool = True, remedy: str = REINSTALL) -> InstalledPart:
    try:
        return InstalledPart(part, True, needed, look())
    except Exception as error:
        return InstalledPart(part, False, needed, str(error) or type(error).__name__, remedy)
