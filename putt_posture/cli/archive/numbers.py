"""The arguments by which students, lessons and tests are named."""

from collections.abc import Callable
from typing import Any, Final

import click

__all__ = ["NUMBER", "number_argument"]

NUMBER: Final = click.IntRange(min=1, max=2**31 - 1)
"""What every database takes as a number of its own."""


def number_argument(name: str = "number") -> Callable[[Any], Any]:
    """Make the argument for a number in the archive."""
    return click.argument(name, type=NUMBER)
