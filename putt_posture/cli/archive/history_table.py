"""A student's history in the terminal: the answer first."""

from __future__ import annotations

from typing import TYPE_CHECKING

from putt_posture.changes import find_changes
from putt_posture.cli.table import show_bullet
from putt_posture.history import find_courses
from putt_posture.report.days import count_of
from putt_posture.report.history_answer import write_answer

if TYPE_CHECKING:
    from rich.console import Console

    from putt_posture.values import History

__all__ = ["show_history"]


def show_history(history: History, *, console: Console) -> None:
    """Print what held and what went back."""
    tests = count_of(len(history.practice), "practice test")
    console.print(f"\n{history.name}: {count_of(len(history.visits), 'visit')}, {tests}")
    if not history.visits:
        return
    answer = write_answer(history, find_courses(history, find_changes=find_changes))
    console.print(f"\n{answer.headline}")
    for sentence in answer.sentences:
        console.print(sentence)
    for group in answer.groups:
        console.print(f"\n{group.title}: {group.says}")
        for row in group.rows:
            show_bullet(f"{row.title}: {row.says}", console=console)
