"""The events of a stroke found once for the same frames: finding them is most of the work of measuring a stroke."""

import hashlib
from functools import wraps

import attrs
import numpy as np

__all__ = ["found_once"]


def found_once(find_events):
    """Return what finds events as `find_events` does, and never twice in a process for the same stroke and wishes."""
    found = {}

    @wraps(find_events)
    def find(seen, **how):
        digest = hashlib.blake2b()
        _add(digest, [seen, sorted(how.items())])
        key = digest.digest()
        if key not in found:
            found[key] = find_events(seen, **how)
        return dict(found[key])

    return find


def _add(digest, value):
    """Add all of a value to a digest, arrays to the last bit."""
    if isinstance(value, np.ndarray):
        digest.update(f"{value.dtype} {value.shape}".encode())
        digest.update(np.ascontiguousarray(value).tobytes())
    elif attrs.has(type(value)):
        for each in attrs.fields(type(value)):
            digest.update(each.name.encode())
            _add(digest, getattr(value, each.name))
    elif isinstance(value, dict):
        _add(digest, sorted(value.items()))
    elif isinstance(value, list | tuple):
        digest.update(f"{len(value)}".encode())
        for each in value:
            _add(digest, each)
    else:
        digest.update(f"{type(value).__name__} {value!r};".encode())
