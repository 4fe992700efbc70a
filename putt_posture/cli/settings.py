"""A coach's settings file: TOML with the setup that is wanted.

::

    [wanted]
    knee_flex_deg = 20
    eye_offset_cm = -2

The names are those of `WantedSetup`, units and all; what is left out stays as it is usual.
"""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import TYPE_CHECKING

from putt_posture.errors import UsageError

if TYPE_CHECKING:
    from putt_posture.values import WantedSetup

__all__ = ["read_settings"]

_TABLE = "wanted"


def read_settings(path: Path) -> WantedSetup:
    """Read the wanted setup from a settings file.

    Raises
    ------
    UsageError
        If the file cannot be read, is no TOML, holds a name that is not known or a value that is no number, or asks for
        a setup that may not be asked for.
    """
    from attrs import fields

    from putt_posture.fitting import check_wanted_setup
    from putt_posture.values import WantedSetup

    try:
        content = tomllib.loads(path.read_text(encoding="utf-8"))
    except OSError as error:
        raise UsageError(f"The settings file {path} cannot be read: {error.strerror or error}.") from None
    except (tomllib.TOMLDecodeError, UnicodeDecodeError) as error:
        raise UsageError(f"The settings file {path} is no TOML: {error}.") from None
    strange = [name for name in content if name != _TABLE]
    if strange:
        raise UsageError(f"The settings file {path} holds {strange[0]!r}; only a table [{_TABLE}] is known.")
    wishes = content.get(_TABLE, {})
    if not isinstance(wishes, dict):
        raise UsageError(f"In the settings file {path} {_TABLE!r} is no table; write [{_TABLE}] and the wishes below.")
    known = [each.name for each in fields(WantedSetup)]
    for name, value in wishes.items():
        if name not in known:
            raise UsageError(f"The settings file {path} holds {name!r}; known are {', '.join(known)}.")
        if isinstance(value, bool) or not isinstance(value, (int, float)):
            raise UsageError(f"In the settings file {path} {name} is {value!r}; a number is needed.")
    try:
        return check_wanted_setup(WantedSetup(**{name: float(value) for name, value in wishes.items()}))
    except UsageError as error:
        raise UsageError(f"{error} (Settings file {path}.)") from None
