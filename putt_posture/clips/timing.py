"""How long a clip is and how its frames are spaced, from its time stamps alone: nothing is decoded."""

from pathlib import Path
from typing import Any, Final

import numpy as np
from attrs import frozen

from putt_posture.clips.streams import OpenStream, open_stream

__all__ = ["Timing", "read_timing"]

_UNEVEN_SHARE: Final = 0.1
"""Spacing of frames that differs by more than this share of its median is a variable rate, not rounding."""

_START_CODED: Final = {"h264", "hevc"}
"""Codes whose packets never begin with zeros, so that zeros tell of a copy that was not finished."""

_ZEROS: Final = bytes(16)


@frozen(kw_only=True)
class Timing:
    """What the time stamps of a clip tell.

    Attributes
    ----------
    frames : int
        How many are whole and shown.
    duration_s : float
        From the first frame to the end of the last whole one.
    promised_s : float
        The same as the head of the file tells it; not less than `duration_s`.
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
    """Read the time stamps of all packets of a clip.

    Parameters
    ----------
    path : Path
    first_pts : int or None
        Time stamp of the first frame that the decoder shows; packets before it are not counted.

    Returns
    -------
    Timing
    """
    with open_stream(path) as opened:
        tick = opened.time_base_s
        promised_s = _promised_seconds(opened)
        checks_zeros = opened.stream.codec_context.codec.canonical_name in _START_CODED
        stamps: list[int] = []
        lengths: list[int] = []
        unstamped, seen_end = 0, 0
        for packet in opened.packets():
            stamp = packet.pts if packet.pts is not None else packet.dts
            whole = not packet.is_corrupt and not (checks_zeros and _starts_with_zeros(packet))
            if stamp is None:
                unstamped += whole
                continue
            seen_end = max(seen_end, stamp + (packet.duration or 0))
            if whole:
                stamps.append(stamp)
                lengths.append(packet.duration or 0)
        nominal_hz = opened.nominal_rate_hz
    if first_pts is None or not stamps:
        count = max(len(stamps) + unstamped, 1)
        return Timing(
            frames=count,
            duration_s=count / nominal_hz,
            promised_s=count / nominal_hz,
            rate_hz=nominal_hz,
            variable=False,
        )
    times, index = np.unique(np.array(stamps, dtype=np.int64), return_index=True)
    length = lengths[index[-1]]
    times = times[times >= first_pts]
    if len(times) < 2:
        duration_s = (length * tick) or 1 / nominal_hz
        return Timing(
            frames=1, duration_s=duration_s, promised_s=max(promised_s, duration_s), rate_hz=nominal_hz, variable=False
        )
    gaps = np.diff(times)
    usual = float(np.median(gaps))
    duration_s = float(times[-1] - first_pts + (length or usual)) * tick
    rounding = 2.0  # ticks: each of two stamps may be off by one
    return Timing(
        frames=len(times),
        duration_s=duration_s,
        promised_s=max(promised_s, duration_s, (seen_end - first_pts) * tick),
        rate_hz=float(len(times) - 1) / (float(times[-1] - times[0]) * tick),
        variable=bool(np.any(np.abs(gaps - usual) > max(rounding, _UNEVEN_SHARE * usual))),
    )


def _promised_seconds(opened: OpenStream) -> float:
    """Return the duration by the index or the head of a file that ends too early; 0 where it does not tell."""
    names = set(opened.container.format.name.split(","))
    if "mov" in names:
        file_size = opened.path.stat().st_size
        entries = [entry for entry in opened.stream.index_entries if not entry.is_discard]
        if entries and any(entry.pos + entry.size > file_size for entry in entries):
            return float(entries[-1].timestamp - entries[0].timestamp) * opened.time_base_s
    if "matroska" in names and opened.container.duration:
        return float(opened.container.duration) / 1e6 - _SOUND_LONGER_S
    return 0.0


_SOUND_LONGER_S: Final = 0.5
"""The duration of a Matroska file is that of its longest track, and sound may outlast the pictures a little."""


def _starts_with_zeros(packet: Any) -> bool:
    return bytes(memoryview(packet)[: len(_ZEROS)]) == _ZEROS
