"""Small parts of which pages are made."""

from typing import Final

from attrs import frozen

__all__ = ["NAMELESS", "Fact", "Plate"]

NAMELESS: Final = "Student"
"""Who has no name."""


@frozen(kw_only=True)
class Fact:
    """One line of small print: a name and what it is."""

    name: str
    says: str


@frozen(kw_only=True)
class Plate:
    """One picture with its caption; `file` is its name without an ending, `aspect` its width over its height."""

    file: str
    aspect: float
    title: str
    caption: str
    says: str
