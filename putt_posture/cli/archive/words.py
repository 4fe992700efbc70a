"""Students, sizes, erasures and histories in words for the terminal, and values as JSON."""

from __future__ import annotations

import json
import math
from collections.abc import Mapping
from datetime import date
from typing import TYPE_CHECKING, Any, Final

import attrs
import click
from rich.console import Console

from putt_posture.changes import find_changes
from putt_posture.cli.strokes import show_stroke_courses
from putt_posture.cli.table import new_table, show_bullet
from putt_posture.figures import count_of
from putt_posture.history import find_courses
from putt_posture.pages.history_answer import write_answer
from putt_posture.services.sentences import say_consents, say_doubts

if TYPE_CHECKING:
    from rich.console import Console

    from putt_posture.archive import Permission
    from putt_posture.values import History

__all__ = [
    "WHEN_STOPPED",
    "as_plain",
    "print_json",
    "show_consents",
    "show_doubts",
    "show_history",
]

WHEN_STOPPED: Final = (
    "What was begun is finished when the archive is used next; look with archive show whether it was begun."
)


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


def show_consents(permission: Permission, *, today: date, console: Console) -> None:
    """Print what is allowed today, scope by scope, what is missing, and which consents do not count and why."""
    table = new_table()
    table.add_column("Consent for")
    table.add_column("Today")
    table.add_column("By")
    for line in say_consents(permission, today=today):
        table.add_row(f"{line.title} ({line.scope})", line.today, line.by)
    console.print(table)
    show_doubts(permission, today=today, console=console)


def show_doubts(permission: Permission, *, today: date, console: Console) -> None:
    """Print which consents do not count and why, and who is to be asked."""
    for each in say_doubts(permission, today=today):
        show_bullet(each, console=console)


def show_history(history: History, *, console: Console) -> None:
    """Print what held and what went back, what became of the last plan, and what practice tests say."""
    tests = count_of(len(history.practice), "practice test")
    console.print(f"\n{history.name}: {count_of(len(history.visits), 'visit')}, {tests}")
    if not history.visits:
        return
    answer = write_answer(history, find_courses(history, find_changes=find_changes))
    console.print(f"\n{answer.headline}")
    for sentence in answer.sentences:
        console.print(sentence)
    if history.taken_up is not None:
        console.print(history.taken_up.says)
    for sentence in history.tests_say:
        console.print(sentence)
    for group in answer.groups:
        console.print(f"\n{group.title}: {group.says}")
        for row in group.rows:
            show_bullet(f"{row.title}: {row.says}", console=console)
    show_stroke_courses(history, find_changes=find_changes, console=console)
