"""Documents with something in them that cannot be: put in one place, or anywhere at random."""

import copy
import json
import math
from collections.abc import Iterator
from typing import Any

from hypothesis import strategies as st

Place = tuple[str | int, ...]

DEEP = json.loads("[" * 300 + "]" * 300)
STRANGE = (
    None, True, False, 0, -1, 1, 3, -0.0, 0.5, 1e-9, 100, 9000, 1e6, 1e9, -1e9, 1e308, 5e-324, 12345.678, math.nan,
    math.inf, -math.inf, 10**30, 10**400, "", "a", "face_on", "x" * 5000, "\ud800", "\0", "\x1b[2J", [], {}, [0], [[]],
    [0, 0, 0, 0], [1, 2], [None], {"a": 1}, DEEP,
)  # fmt: skip
"""Values that are no wrong in some place or other of a document."""


def places_of(value: Any, place: Place = ()) -> Iterator[Place]:
    """Go through the places of a document, the top left out."""
    inner = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    for name, each in inner:
        yield (*place, name)
        yield from places_of(each, (*place, name))


def spoilt(document: Any, place: Place, value: Any) -> Any:
    """Return a copy of a document with another value in one place."""
    copied = copy.deepcopy(document)
    holder = copied
    for part in place[:-1]:
        holder = holder[part]
    holder[place[-1]] = value
    return copied


def as_text(document: Any) -> str:
    """Return a document as JSON that says even what JSON cannot: NaN, infinities, halves of characters."""
    return json.dumps(document)


@st.composite
def mutations(draw: st.DrawFn, document: Any) -> Any:
    """Change a document in one to three places: another value, a number times something, a part gone or doubled."""
    changed = copy.deepcopy(document)
    for _ in range(draw(st.integers(1, 3))):
        places = list(places_of(changed))
        *way, last = draw(st.sampled_from(places))
        holder = changed
        for part in way:
            holder = holder[part]
        acts = ["replace", "remove", "scale"] + (["double"] if isinstance(holder, list) else [])
        act = draw(st.sampled_from(acts))
        value = holder[last]
        if act == "remove":
            del holder[last]
        elif act == "double":
            holder.append(copy.deepcopy(value))
        elif act == "scale" and isinstance(value, int | float) and not isinstance(value, bool):
            holder[last] = value * draw(st.sampled_from([-1, 0, 0.001, 0.5, 1.5, 2, 10, 1000]))
        else:
            holder[last] = draw(st.sampled_from(STRANGE) | st.floats() | st.integers() | st.text(max_size=5))
    return changed
