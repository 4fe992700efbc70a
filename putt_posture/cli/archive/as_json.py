"""Values of the archive as JSON: days as year-month-day, units in the names, null for what is not known."""

import json
import math
from collections.abc import Mapping
from datetime import date
from typing import Any

import attrs
import click

__all__ = ["as_plain", "print_json"]


def as_plain(value: Any) -> Any:
    """Turn a value, or a structure of values, into what JSON knows."""
    if attrs.has(type(value)):
        return {each.name: as_plain(getattr(value, each.name)) for each in attrs.fields(type(value))}
    if isinstance(value, Mapping):
        return {str(key): as_plain(each) for key, each in value.items()}
    if isinstance(value, (list, tuple)):
        return [as_plain(each) for each in value]
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, float) and not math.isfinite(value):
        return None
    return value


def print_json(value: Any) -> None:
    """Print a value as JSON to standard output."""
    click.echo(json.dumps(as_plain(value), indent=2, ensure_ascii=False, allow_nan=False))
