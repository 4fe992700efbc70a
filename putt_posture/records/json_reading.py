"""A JSON document from elsewhere: parsed strictly, each fault told in one sentence that names the field."""

import json
import math
from collections.abc import Iterator
from typing import Any, Final

from putt_posture.errors import UsageError

__all__ = ["read_json"]

_MOST_DEEP: Final = 20
"""Levels of lists and objects in each other; the program's own documents have eight."""
_MOST_DIGITS: Final = 18
"""Of a whole number that is taken as one; a longer one is read as a floating-point number, or as infinite."""
_SHOWN: Final = 60
"""Letters of a name that are quoted in a message."""


def read_json(data: str | bytes, *, where: str) -> Any:
    """Parse a document.

    Parameters
    ----------
    data : str or bytes
        Bytes are UTF-8.
    where : str
        What it was read from, for the message.

    Returns
    -------
    dict, list, str, float, int, bool or None
        Every number in it is finite, every text can be written as UTF-8 and holds no null character, and no name
        stands twice in one object.

    Raises
    ------
    UsageError
        Otherwise.
    """
    again = "Measure the clips again."
    try:
        text = data.decode("utf-8-sig") if isinstance(data, bytes) else data
        document = json.loads(text, object_pairs_hook=_object, parse_int=_whole_number)
    except _Twice as error:
        raise UsageError(f"{where} is damaged: it holds {_shortened(error.args[0])} twice. {again}") from None
    except RecursionError:
        raise UsageError(f"{where} is damaged: lists in it lie in each other too deep. {again}") from None
    except ValueError:
        raise UsageError(f"{where} is damaged: it is no JSON. {again}") from None
    for place, value in _walk(document):
        if (fault := _fault_of(value)) is not None or (fault := _too_deep(place)) is not None:
            raise UsageError(f"{where} is damaged: {_say(place)} {fault}. {again}")
    return document


class _Twice(Exception):
    """A name that stands twice in one object."""


def _object(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    found = dict(pairs)
    if len(found) != len(pairs):
        seen: set[str] = set()
        for name, _ in pairs:
            if name in seen:
                raise _Twice(name)
            seen.add(name)
    return found


def _whole_number(digits: str) -> int | float:
    return int(digits) if len(digits) <= _MOST_DIGITS else float(digits)


def _walk(document: Any) -> Iterator[tuple[tuple[str | int, ...], Any]]:
    """Go through every value and every name with its place; what lies too deep is not gone into."""
    left: list[tuple[tuple[str | int, ...], Any]] = [((), document)]
    while left:
        place, value = left.pop()
        yield place, value
        if len(place) > _MOST_DEEP:
            continue
        if isinstance(value, dict):
            for name, each in value.items():
                yield (*place, _shortened(name)), name
                left.append(((*place, name), each))
        elif isinstance(value, list):
            left += [((*place, number), each) for number, each in enumerate(value)]


def _fault_of(value: Any) -> str | None:
    if isinstance(value, float) and not math.isfinite(value):
        return "is no finite number"
    if isinstance(value, str):
        if "\0" in value:
            return "holds a null character"
        try:
            value.encode("utf-8")
        except UnicodeEncodeError:
            return "holds half a character"
    return None


def _too_deep(place: tuple[str | int, ...]) -> str | None:
    return "lies too deep" if len(place) > _MOST_DEEP else None


def _say(place: tuple[str | int, ...]) -> str:
    said = "/".join(_shortened(str(part)) for part in place[:_MOST_DEEP])
    return said or "the top"


def _shortened(name: str) -> str:
    """Return the beginning of a name as any terminal can show it."""
    plain = name.encode("utf-8", "replace").decode("utf-8").replace("\0", "?")
    return plain if len(plain) <= _SHOWN else f"{plain[:_SHOWN]}…"
