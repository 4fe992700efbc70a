"""How long work says how far it is, without knowing who listens."""

from collections.abc import Callable

__all__ = ["Progress", "tell_nobody"]

Progress = Callable[[str, float], None]
"""Called with what is going on and the share done, 0 to 1."""


def tell_nobody(_what: str, _share: float) -> None:
    """Be told, where nobody listens."""
