"""How long a clip is and how its frames are spaced, from its time stamps, almost without decoding."""

import math
from pathlib import Path
from typing import Any, Final

import av
import numpy as np
from attrs import define, field, frozen
from numpy.typing import NDArray

from putt_posture.clips.streams import OpenStream, open_stream

__all__ = ["Timing", "read_timing"]

_UNEVEN_SHARE: Final = 0.1
"""A spacing of frames that differs by more than this share of its median is a variable rate, not rounding."""

_START_CODED: Final = {"h264", "hevc"}
"""Codecs whose packets never begin with zeros, so that zeros mean an unfinished copy."""

_ZEROS: Final = bytes(16)


_MISSING_S: Final = 0.25
"""An end this much before the one in the file's index means that it was cut short, s."""

_SOUND_LONGER_S: Final = 0.5
"""The duration of a Matroska file is that of its longest track, and sound may last a little longer than the pictures,
s."""

_RAGGED_FRAMES: Final = 16
"""Most frames at a cut end of which some may be missing, since frames are not stored in order of time."""

_KEY_GAP_RATIO: Final = 1.5
"""No key frame for this much longer than ever before makes the end doubtful: damaged ones are not recognised."""

_ROUNDING_TICKS: Final = 2
"""Each of two time stamps may be off by one tick."""


@frozen(kw_only=True)
class Timing:
    """The timing of a clip by its time stamps.

    Attributes
    ----------
    frames : int
        Number of frames that are whole and shown.
    duration_s : float
        From the first frame to the end of the last whole one.
    promised_s : float
        The same by the index or the header of the file: more than `duration_s` only where the file was cut short or its
        end is damaged.
    rate_hz : float
        Mean frames a second.
    variable : bool
        True where the spacing differs.
    """

    frames: int
    duration_s: float
    promised_s: float
    rate_hz: float
    variable: bool


def read_timing(path: Path, *, first_pts: int | None) -> Timing:
    """Read the time stamps of all packets of a clip; only its last key frame is decoded, or its end if in doubt.

    Parameters
    ----------
    path : Path
    first_pts : int or None
        Time stamp of the first frame that the decoder shows; packets before it are not counted.

    Returns
    -------
    Timing
    """
    found = _read_packets(path, first_pts or 0)
    times = np.unique(np.array(found.stamps, dtype=np.int64))
    if first_pts is not None:
        times = times[times >= first_pts]
    if first_pts is None or len(times) == 0:  # a bare stream without times
        count = max(found.whole, 1)
        duration_s = count / found.nominal_hz
        return Timing(
            frames=count, duration_s=duration_s, promised_s=duration_s, rate_hz=found.nominal_hz, variable=False
        )
    promised = max(found.promised_end, found.seen_end) - first_pts
    usual = float(np.median(np.diff(times))) if len(times) > 1 else 1 / (found.nominal_hz * found.tick_s)
    if found.doubtful_end:
        last_key_s = (max(found.keys, default=first_pts) - first_pts) * found.tick_s
        times = times[times <= first_pts + _last_decodable_s(path, after_s=last_key_s) / found.tick_s + 1]
    end = _end(times, found, usual) - first_pts
    cut = (promised - end) * found.tick_s > _MISSING_S + found.slack_s
    if cut and len(times) > 2:
        ragged = np.flatnonzero(np.diff(times[-_RAGGED_FRAMES:]) > 1.5 * usual)
        times = times[: len(times) - len(times[-_RAGGED_FRAMES:]) + ragged[0] + 1] if len(ragged) else times
        end = _end(times, found, usual) - first_pts
    duration_s = end * found.tick_s
    uneven = np.abs(np.diff(times) - usual) > max(_ROUNDING_TICKS, _UNEVEN_SHARE * usual)
    return Timing(
        frames=len(times),
        duration_s=duration_s,
        promised_s=max(duration_s, promised * found.tick_s) if cut else duration_s,
        rate_hz=(len(times) - 1) / (float(times[-1] - times[0]) * found.tick_s) if len(times) > 1 else found.nominal_hz,
        variable=bool(uneven.any()),
    )


def _end(times: NDArray[np.int64], found: "_Packets", usual: float) -> float:
    """Return the time stamp at which the last frame ends."""
    last = int(times[-1])
    return last + (found.lengths[found.stamps.index(last)] or usual)


@define
class _Packets:
    """Ticks of the file's own clock."""

    tick_s: float
    nominal_hz: float
    promised_end: float = 0.0
    slack_s: float = 0.0
    stamps: list[int] = field(factory=list)
    lengths: list[int] = field(factory=list)
    whole: int = 0
    seen_end: int = 0
    keys: list[int] = field(factory=list)
    doubtful_end: bool = False


def _read_packets(path: Path, first_pts: int) -> _Packets:
    with open_stream(path) as opened:
        found = _Packets(opened.time_base_s, opened.nominal_rate_hz)
        found.promised_end, found.slack_s = _promised_end(opened, first_pts)
        checks_zeros = opened.stream.codec_context.codec.canonical_name in _START_CODED
        last_key: Any = None
        for packet in opened.packets():
            stamp = packet.pts if packet.pts is not None else packet.dts
            if stamp is not None:
                found.seen_end = max(found.seen_end, stamp + (packet.duration or 0))
            if packet.is_corrupt or (checks_zeros and _starts_with_zeros(packet)):
                continue
            found.whole += 1
            if stamp is not None:
                found.stamps.append(stamp)
                found.lengths.append(packet.duration or 0)
            if packet.is_keyframe and stamp is not None:
                found.keys.append(stamp)
                last_key = packet
        longest = max(np.diff(found.keys), default=math.inf)
        few_keys = bool(found.keys) and found.seen_end - found.keys[-1] > _KEY_GAP_RATIO * longest
        found.doubtful_end = few_keys or (last_key is not None and not opened.decodes(last_key))
    return found


def _last_decodable_s(path: Path, *, after_s: float) -> float:
    """Decode on from a key frame, or from the start if that fails, to find the time of the last good frame."""
    last_s = 0.0
    for start_s in (after_s, 0.0):
        with open_stream(path) as opened:
            last_s = max((time_s for time_s, _ in opened.frames(start_s=start_s)), default=0.0)
        if last_s >= after_s:
            break
    return last_s


def _promised_end(opened: OpenStream, first_pts: int) -> tuple[float, float]:
    """Return the time stamp at which the file should end, and by how many seconds that may be too late.

    From the index of a QuickTime or MP4 file that is shorter than its index says, or from the header of a Matroska
    file; 0 elsewhere.
    """
    names = set(opened.container.format.name.split(","))
    if "mov" in names:
        file_size = opened.path.stat().st_size
        entries = [entry for entry in opened.stream.index_entries if not entry.is_discard]
        if entries and any(entry.pos + entry.size > file_size for entry in entries):
            span = entries[-1].timestamp - entries[0].timestamp  # in decoding order
            return first_pts + span * len(entries) / max(len(entries) - 1, 1), 0.0
    if "matroska" in names and opened.container.duration:
        return float(opened.container.duration) / av.time_base / opened.time_base_s, _SOUND_LONGER_S
    return 0.0, 0.0


def _starts_with_zeros(packet: Any) -> bool:
    return bytes(memoryview(packet)[: len(_ZEROS)]) == _ZEROS
