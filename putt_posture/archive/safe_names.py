"""Names of files that every system takes, Windows with its reserved words included."""

import re
import unicodedata
from pathlib import PurePosixPath
from typing import Final

__all__ = ["SafeNames", "safe_name"]

_FORBIDDEN: Final = re.compile(r'[<>:"\\|?*\x00-\x1f\x7f\ud800-\udfff]')
_RESERVED: Final = re.compile(r"(con|prn|aux|nul|com[0-9¹²³]|lpt[0-9¹²³])(\.|$)", re.IGNORECASE)
_LONGEST: Final = 100
"""Letters of one name; a whole path on Windows has 260."""


def safe_name(name: str) -> str:
    """Return one name, not a path, that every system takes.

    Examples
    --------
    >>> safe_name("face_on.png"), safe_name("a:b?.txt "), safe_name("Con.txt"), safe_name("..")
    ('face_on.png', 'a_b_.txt', '_Con.txt', '_')
    """
    plain = _FORBIDDEN.sub("_", unicodedata.normalize("NFC", name)).rstrip(" .") or "_"
    if _RESERVED.match(plain):
        plain = f"_{plain}"
    if len(plain) > _LONGEST:
        ending = PurePosixPath(plain).suffix[-_LONGEST // 2 :]
        plain = plain[: _LONGEST - len(ending)].rstrip(" .") + ending
    return plain


class SafeNames:
    """Paths given out so that no two of them are one, on a system that does not tell capitals apart either."""

    def __init__(self) -> None:
        self._given: set[str] = set()

    def give(self, path: str) -> str:
        """Return a path with forward strokes, of safe names, that was not given out before."""
        parts = [safe_name(part) for part in path.split("/") if part]
        plain, count = "/".join(parts), 1
        ending = PurePosixPath(parts[-1]).suffix
        while (found := plain if count == 1 else _numbered(plain, ending, count)).casefold() in self._given:
            count += 1
        self._given.add(found.casefold())
        return found


def _numbered(path: str, ending: str, count: int) -> str:
    return f"{path.removesuffix(ending) if ending else path}_{count}{ending}"
