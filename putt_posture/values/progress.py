"""How long work says how far it is, without knowing who listens."""

from collections.abc import Callable

__all__ = ["Progress"]

Progress = Callable[[str, float], None]
"""Called with what is going on and the share done, 0 to 1."""
