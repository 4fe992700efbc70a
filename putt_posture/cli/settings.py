"""A coach's settings file: TOML with the wanted setup.

::

    [wanted]
    knee_flex_deg = 20
    eye_offset_cm = -2

The names are those of `WantedSetup`, with their units; a name that is left out keeps its usual value.
"""

from __future__ import annotations

import math
import tomllib
from pathlib import Path
from typing import TYPE_CHECKING, Any

from putt_posture.disk.reading import read_limited
from putt_posture.errors import UsageError

if TYPE_CHECKING:
    from putt_posture.values import WantedSetup

__all__ = ["read_settings"]

_TABLE = "wanted"
_MOST_BYTES = 64_000
"""Of a settings file: a hundred times the longest in the README."""
_SHOWN = 40
"""Letters of what was found that are quoted in a message."""


def read_settings(path: Path) -> WantedSetup:
    """Read the wanted setup from a settings file.

    Raises
    ------
    UsageError
        If the file is not a small ordinary file or not TOML, if a name is not known or a value is not a finite number,
        or if the setup is outside the limits.
    """
    from attrs import fields

    from putt_posture.fitting import check_wanted_setup
    from putt_posture.values import WantedSetup

    content = _parse(path)
    strange = [name for name in content if name != _TABLE]
    if strange:
        raise UsageError(f"The settings file {path} holds {_show(strange[0])}; only a table [{_TABLE}] is known.")
    wanted = content.get(_TABLE, {})
    if not isinstance(wanted, dict):
        raise UsageError(
            f"In the settings file {path} {_TABLE!r} is not a table; write [{_TABLE}] and the values below it."
        )
    known = [each.name for each in fields(WantedSetup)]
    for name, value in wanted.items():
        if name not in known:
            raise UsageError(f"The settings file {path} holds {_show(name)}; known are {', '.join(known)}.")
        if not _is_number(value):
            raise UsageError(f"In the settings file {path} {name} is {_show(value)}; a finite number is needed.")
    try:
        return check_wanted_setup(WantedSetup(**{name: float(value) for name, value in wanted.items()}))
    except UsageError as error:
        raise UsageError(f"{error} (Settings file {path}.)") from None


def _parse(path: Path) -> dict[str, Any]:
    data = read_limited(path, most_bytes=_MOST_BYTES, what="settings file")
    try:
        return tomllib.loads(data.decode("utf-8-sig"))
    except RecursionError:
        raise UsageError(f"The settings file {path} is not TOML: its lists are nested too deeply.") from None
    except (tomllib.TOMLDecodeError, UnicodeDecodeError) as error:
        raise UsageError(f"The settings file {path} is not TOML: {_show(str(error), quoted=False)}.") from None
    except ValueError:  # Python's own limit
        raise UsageError(f"The settings file {path} holds a number with thousands of digits.") from None


def _is_number(value: object) -> bool:
    if isinstance(value, bool) or not isinstance(value, (int, float)):
        return False
    try:
        return math.isfinite(value)
    except OverflowError:  # a whole number beyond all floating-point ones
        return False


def _show(value: object, *, quoted: bool = True) -> str:
    """Return what was found as one short piece of a line."""
    try:
        text = repr(value) if quoted else " ".join(str(value).split())
    except (RecursionError, ValueError):  # too deep, or a number with more digits than Python writes
        return "something that cannot be shown"
    return text if len(text) <= 2 * _SHOWN else f"{text[:_SHOWN]}…{text[-_SHOWN:]}"
