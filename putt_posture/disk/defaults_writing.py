"""The coach's defaults changed by the program: all of what is asked or nothing, comments and the rest as they are."""

from collections.abc import Mapping
from typing import Any

import tomlkit

from putt_posture.disk.defaults import check_default, check_defaults, find_defaults_file, read_defaults_text
from putt_posture.disk.folders import fresh_file

__all__ = ["write_defaults"]


def write_defaults(changes: Mapping[str, str | bool | None]) -> dict[str, Any]:
    """Change the defaults.

    Parameters
    ----------
    changes : mapping of str to str, bool or None
        By name; None takes a default away.

    Returns
    -------
    dict of str to str or bool
        All defaults, as `read_defaults` returns them.

    Raises
    ------
    UsageError
        If the file there cannot be read, or a name or a value cannot be. Nothing is written then.
    OutputError
        If it cannot be written.
    """
    path = find_defaults_file()
    text = read_defaults_text(path)
    check_defaults(text, path)
    document = tomlkit.parse(text)
    for name, value in changes.items():
        if value is None:
            document.pop(name, None)
        else:
            document[name] = check_default(name, value, path)
    written = tomlkit.dumps(document)
    found = check_defaults(written, path)
    if written != text:
        with fresh_file(path, replace=True, what="defaults file", private=True) as file:
            file.write(written.encode("utf-8"))
    return found
