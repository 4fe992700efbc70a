"""Values as JSON: converted, written, and read strictly where a document comes from elsewhere."""

import json
import math
from collections.abc import Iterator, Mapping
from datetime import date
from typing import Any, Final, TypeVar, get_origin

import numpy as np
from cattrs import Converter
from cattrs.gen import make_dict_structure_fn

from putt_posture.errors import UsageError
from putt_posture.shown import plain
from putt_posture.values import Estimate

__all__ = [
    "MOST_ARRAY_BYTES",
    "MOST_FRAMES",
    "MOST_STILL_PIXELS",
    "MOST_UNPACKED_BYTES",
    "as_document",
    "as_json",
    "as_value",
    "by_hand_as_json",
    "document_as_text",
    "estimate_as_json",
    "measure_as_json",
    "most_bytes_of",
    "number_as_json",
    "picked",
    "read_json",
]

_MB: Final = 1_000_000
MOST_STILL_PIXELS: Final = 16 * _MB
"""The most pixels of a picture in a result folder. Its short side has 1200 pixels, so it may be eleven times as long as
it is high; decoded it takes 48 MB."""
MOST_FRAMES: Final = 10_000
"""The most landmark frames of one view: two thousand setups of five frames."""
MOST_ARRAY_BYTES: Final = 32 * _MB
"""The most bytes of an array that is read whole, unpacked; `MOST_FRAMES` frames of 33 landmarks take 5 MB."""
MOST_UNPACKED_BYTES: Final = 4_000 * _MB
"""The most bytes of all arrays of a lesson, unpacked: masks and outlines of 300 frames of a whole 4K picture. They are
read in pieces."""
_MOST_BYTES: Final = {
    ".json": 4 * _MB,
    ".csv": 32 * _MB,
    ".html": 8 * _MB,
    ".pdf": 16 * _MB,
    ".svg": 4 * _MB,
    ".png": 48 * _MB,
    ".jpg": 16 * _MB,
    ".mp4": 16 * _MB,
    ".npz": 256 * _MB,
}
"""The most bytes of each kind of file: ten or more times what the program writes; a PNG may be as large as its
pixels."""
_MOST_DEEP: Final = 20
"""How deep lists and objects may be nested; the program's own documents have eight levels."""
_MOST_DIGITS: Final = 18
"""The most digits of a whole number; a longer one is read as a floating-point number, or as infinite."""
_SHOWN: Final = 60
"""How many letters of a name are quoted in a message."""


_NO_NUMBER: Final = {"value": math.nan, "standard_uncertainty": math.nan}
"""Fields that are null in a document where an estimate is absent."""
Value = TypeVar("Value")


class _Twice(Exception):
    """A name is twice in one object."""


def most_bytes_of(name: str) -> int:
    """Return how many bytes a file of a result folder may have, by the ending of its name.

    Parameters
    ----------
    name : str
        Of the file, with its ending.
    """
    return _MOST_BYTES[name[name.rindex(".") :]]


def as_json(value: Any) -> Any:
    """Return any value of the program in the form of JSON.

    A number that is not finite becomes null, a day ISO 8601, an array a list, text as `plain` returns it, an estimate
    as `estimate_as_json` returns it, and a value object an object of its fields in their order.

    Parameters
    ----------
    value : Any

    Examples
    --------
    >>> as_json({"day": date(2026, 1, 2), "lengths": (1.5, math.nan)})
    {'day': '2026-01-02', 'lengths': [1.5, None]}
    """
    return _JSON.unstructure(value)


def as_document(values: Mapping[str, Any]) -> dict[str, Any]:
    """Return a document whose values were collected as they are, converted as `as_json` does.

    Parameters
    ----------
    values : mapping of str to value
        Nested as the document is.
    """
    return dict(_JSON.unstructure(values))


def as_value(entry: Any, kind: type[Value]) -> Value:
    """Return the value object of an entry of a document, the reverse of `as_json`.

    Anything else in the entry is left out; the entry must have passed its schema.

    Parameters
    ----------
    entry : Any
        As parsed JSON.
    kind : type[Value]
        Class of the value object.

    Examples
    --------
    >>> as_value({"value": 30, "standard_uncertainty": 2.0, "unit": "deg", "low": 26.1, "absent": None}, Estimate).value
    30.0
    """
    return _JSON.structure(entry, kind)


def picked(value: Any, *names: str) -> dict[str, Any]:
    """Return some fields and properties of a value object by name, as they are; `as_document` converts them.

    Parameters
    ----------
    value : Any
    *names : str

    Examples
    --------
    >>> picked(Estimate(value=30.0, standard_uncertainty=2.0, unit="deg"), "unit", "margin")
    {'unit': 'deg', 'margin': 3.919927969080108}
    """
    return {name: getattr(value, name) for name in names}


def estimate_as_json(estimate: Estimate) -> dict[str, Any]:
    """Return an estimate as a plain dict with its interval; numbers are null where it is absent.

    Parameters
    ----------
    estimate : Estimate
        Present or absent.
    """
    return {
        "value": number_as_json(estimate.value),
        "standard_uncertainty": number_as_json(estimate.standard_uncertainty),
        "low": number_as_json(estimate.low),
        "high": number_as_json(estimate.high),
        "unit": estimate.unit,
        "view": estimate.view,
        "frames": int(estimate.frames),
        "method": plain(estimate.method),
        "absent": None if estimate.absent is None else plain(estimate.absent),
    }


def measure_as_json(estimate: Estimate) -> dict[str, Any]:
    """Return an estimate with all that it carries, so that it can be read back whole.

    Parameters
    ----------
    estimate : Estimate
        Present or absent.
    """
    return estimate_as_json(estimate) | {
        "raw_value": number_as_json(estimate.raw_value),
        "floor": number_as_json(estimate.floor),
        "budget": {cause: number_as_json(share) for cause, share in estimate.budget.items()},
        "repeats": [number_as_json(each) for each in estimate.repeats],
        **by_hand_as_json(estimate),
    }


def by_hand_as_json(estimate: Estimate) -> dict[str, Any]:
    """Return what was placed by hand for an estimate, and its value without that.

    Parameters
    ----------
    estimate : Estimate
        Present or absent.
    """
    return {
        "by_hand": [plain(each) for each in estimate.by_hand],
        "automatic": number_as_json(estimate.automatic),
    }


def number_as_json(value: float | None) -> float | None:
    """Return a JSON number (numpy scalars become Python's), or None where it is absent or not finite.

    Parameters
    ----------
    value : float or None
        In any unit.
    """
    return None if value is None or not math.isfinite(value) else float(value)


def document_as_text(document: Any, *, indent: int = 2) -> str:
    """Return the text of a document: indented, UTF-8 letters as they are, a line feed at the end.

    Parameters
    ----------
    document : Any
        As parsed JSON.
    indent : int
        Spaces a level.

    Raises
    ------
    ValueError
        If a number in it is not finite, which JSON does not allow.
    """
    return json.dumps(document, indent=indent, ensure_ascii=False, allow_nan=False) + "\n"


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
        Every number in it is finite, every text can be written as UTF-8 and holds no null character, and no name is
        twice in one object.

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
        raise UsageError(f"{where} is damaged: lists in it are nested too deep. {again}") from None
    except ValueError:
        raise UsageError(f"{where} is damaged: it is not JSON. {again}") from None
    for place, value in _walk(document):
        if (fault := _fault_of(value)) is not None or (fault := _too_deep(place)) is not None:
            raise UsageError(f"{where} is damaged: {_say(place)} {fault}. {again}")
    return document


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
    """Go through every value and every name with its place, but not into levels that are nested too deep."""
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
    """Return the beginning of a name in characters that every terminal can show."""
    plain = name.encode("utf-8", "replace").decode("utf-8").replace("\0", "?")
    return plain if len(plain) <= _SHOWN else f"{plain[:_SHOWN]}…"


def _make_converter() -> Converter:
    converter = Converter(unstruct_collection_overrides={tuple: list})
    converter.register_unstructure_hook(float, number_as_json)
    converter.register_unstructure_hook(str, plain)
    converter.register_unstructure_hook(date, date.isoformat)
    converter.register_unstructure_hook(np.integer, int)
    converter.register_unstructure_hook(np.bool_, bool)
    converter.register_unstructure_hook_func(_is_array, lambda values: [number_as_json(float(each)) for each in values])
    converter.register_unstructure_hook(Estimate, estimate_as_json)
    converter.register_structure_hook(date, lambda text, _kind: date.fromisoformat(text))
    read_estimate = make_dict_structure_fn(Estimate, converter)
    converter.register_structure_hook(
        Estimate, lambda entry, kind: read_estimate({**entry, **_NO_NUMBER} if entry["absent"] else entry, kind)
    )
    return converter


def _is_array(kind: Any) -> bool:
    return (get_origin(kind) or kind) is np.ndarray


_JSON: Final = _make_converter()
