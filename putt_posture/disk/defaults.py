"""A coach's own defaults, from one TOML file: who coaches, which hand, which units, where the archive is, hidden faces.

::

    coach = "Kim Coach"
    handed = "right"
    units = "inches"                # or "cm"
    archive = "/home/kim/academy"   # a folder, or postgresql://…
    files = "/home/kim/files"       # folder or bucket, for an archive by URL
    hide_faces = true
    paper = "letter"                # or "a4", what PDFs are set for
    coach_file = "/home/kim/bands.toml"   # the coach's own bands, order and drills
    language = "de"                 # of the lesson page

An option on the command line counts first, then the environment, then this file, then the built-in default.
"""

import os
import tomllib
from difflib import get_close_matches
from pathlib import Path
from typing import Any, Final

from platformdirs import user_config_path

from putt_posture.disk.reading import read_limited
from putt_posture.errors import UsageError

__all__ = [
    "DEFAULTS_VARIABLE",
    "check_default",
    "check_defaults",
    "find_defaults_file",
    "read_defaults",
    "read_defaults_text",
]

DEFAULTS_VARIABLE: Final = "PUTT_POSTURE_DEFAULTS"
"""Environment variable with the path of another file."""
_MOST_BYTES: Final = 64_000
_KNOWN: Final[dict[str, type]] = {
    "archive": str,
    "coach": str,
    "coach_file": str,
    "files": str,
    "handed": str,
    "hide_faces": bool,
    "language": str,
    "paper": str,
    "units": str,
}
_CHOICES: Final = {
    "handed": ("right", "left"),
    "language": ("de", "en"),
    "paper": ("a4", "letter"),
    "units": ("cm", "inches"),
}


def find_defaults_file() -> Path:
    """Return the path of the defaults file, which need not exist."""
    named = os.environ.get(DEFAULTS_VARIABLE)
    return Path(named) if named else user_config_path("putt_posture", appauthor=False) / "defaults.toml"


def read_defaults() -> dict[str, Any]:
    """Read the defaults; an empty mapping if there is no file.

    Returns
    -------
    dict of str to str or bool
        ``archive`` and ``files`` are absolute paths or URLs.

    Raises
    ------
    UsageError
        If it is not TOML, or has an unknown name or a value of the wrong type.
    """
    path = find_defaults_file()
    return check_defaults(read_defaults_text(path), path)


def read_defaults_text(path: Path) -> str:
    """Return the text of the file; an empty one if there is none.

    Parameters
    ----------
    path : Path

    Raises
    ------
    UsageError
        If it cannot be read.
    """
    if not path.exists():
        return ""
    try:
        return read_limited(path, most_bytes=_MOST_BYTES, what="defaults file").decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise _no_toml(path, error) from None


def check_defaults(text: str, path: Path) -> dict[str, Any]:
    """Return the defaults in a text, as `read_defaults` does.

    Parameters
    ----------
    text : str
    path : Path
        Of the file, for messages.
    """
    try:
        found = tomllib.loads(text)
    except (RecursionError, ValueError) as error:
        raise _no_toml(path, error) from None
    return {name: check_default(name, value, path) for name, value in found.items()}


def _no_toml(path: Path, error: Exception) -> UsageError:
    said = " ".join(str(error).split())[:100]
    return UsageError(f"The defaults file {path} is not valid TOML: {said}. Correct it, or delete it.")


def check_default(name: str, value: object, path: Path) -> str | bool:
    """Return one default as it counts.

    Parameters
    ----------
    name : str
    value : object
    path : Path
        Of the file, for messages.

    Raises
    ------
    UsageError
        If the name is not known, or the value cannot be.
    """
    kind = _KNOWN.get(name)
    if kind is None:
        near = get_close_matches(name, _KNOWN, n=1)
        advice = f"Did you mean {near[0]}?" if near else f"Known are {', '.join(_KNOWN)}."
        raise UsageError(f"The defaults file {path} holds {name[:40]!r}, which is not known. {advice}")
    if isinstance(value, bool) and kind is bool:
        return value
    if kind is bool or not isinstance(value, str) or not value.strip():
        needed = "true or false" if kind is bool else "a text in quotes"
        raise UsageError(f"In the defaults file {path}, {name} is {str(value)[:40]!r}; {needed} is needed.")
    if name in _CHOICES:
        if value.lower() not in _CHOICES[name]:
            choices = " or ".join(_CHOICES[name])
            raise UsageError(f"In the defaults file {path}, {name} is {value[:40]!r}; write {choices}.")
        return value.lower()
    if name in ("archive", "coach_file", "files") and "://" not in value:
        place = os.path.expanduser(value)
        if not os.path.isabs(place):
            raise UsageError(f"In the defaults file {path}, {name} is {value[:80]!r}; write the whole path.")
        return place
    return value
