"""Students, sizes, erasures and histories in words for the terminal, and values as JSON."""

from __future__ import annotations

import json
import math
from collections.abc import Mapping
from datetime import date, timedelta
from typing import TYPE_CHECKING, Any, Final

import attrs
import click
from rich.console import Console

from putt_posture.archive import (
    SCOPE_TITLES,
    SCOPES,
    EnrolledStudent,
    Erased,
    OverviewLine,
    Permission,
    Scope,
    age_on,
    is_minor,
)
from putt_posture.changes import find_changes
from putt_posture.cli.table import new_table, show_bullet
from putt_posture.figures import count_of, format_given, format_stature
from putt_posture.history import find_courses
from putt_posture.measures import MEASURES
from putt_posture.pages.history_answer import CHANCE_OF_BACK, write_answer

if TYPE_CHECKING:
    from rich.console import Console

    from putt_posture.values import History

__all__ = [
    "IN_BACKUPS",
    "WHEN_STOPPED",
    "as_plain",
    "print_json",
    "say_age",
    "say_body",
    "say_distance",
    "say_drifts",
    "say_erased",
    "say_size",
    "show_consents",
    "show_doubts",
    "show_history",
]

IN_BACKUPS: Final = (
    "Backups that were made before, exports and result folders outside the archive still hold it: erase those by hand."
)
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


def say_size(files: int, size: int) -> str:
    """Say how many files there are and how large they are.

    Examples
    --------
    >>> say_size(1, 1_250_000)
    '1 file (1.2 MB)'
    """
    return f"{count_of(files, 'file')} ({size / 1e6:.1f} MB)"


def say_erased(erased: Erased) -> str:
    """Say how much was erased."""
    counts = ((erased.students, "student"), (erased.lessons, "lesson"), (erased.files, "file"))
    parts = [count_of(count, what) for count, what in counts if count]
    return ", ".join(parts) or "nothing"


def say_age(student: EnrolledStudent, *, today: date, grown_at: int) -> str:
    """Say how old somebody is, and whether a guardian consents for them."""
    if student.born is None:
        return "Enrolled as grown up"
    age = f"Born {student.born}, {age_on(today, born=student.born)} years old"
    minor = is_minor(today, born=student.born, adult=student.adult, grown_at=grown_at)
    return f"{age}; minor: a guardian consents" if minor else age


def say_body(student: EnrolledStudent) -> str:
    """Say how tall somebody is and how they putt."""
    body = student.student
    parts = [format_stature(body.stature_cm)]
    if body.sex is not None:
        parts.append(body.sex)
    parts.append(f"putts {body.handed}-handed")
    if body.wrist_floor_cm is not None:
        parts.append(f"wrists {format_given(body.wrist_floor_cm, 'cm')} above the floor")
    return ", ".join(parts)


def say_distance(day: date, *, today: date) -> str:
    """Say how far a day is from today."""
    days = (day - today) // timedelta(days=1)
    if days == 0:
        return "today"
    count = count_of(abs(days), "day")
    return f"in {count}" if days > 0 else f"{count} ago"


def say_drifts(overview: OverviewLine | None) -> list[str]:
    """Say which measures went back since the setup was rebuilt, and what chance alone says."""
    names = overview.drifts if overview is not None else ()
    said = [f"{MEASURES[name].title} went back by more than the noise since it was rebuilt." for name in names]
    return [*said, CHANCE_OF_BACK] if said else []


def show_consents(permission: Permission, *, today: date, console: Console) -> None:
    """Print what is allowed today, scope by scope, what is missing, and which consents do not count and why."""
    table = new_table()
    table.add_column("Consent for")
    table.add_column("Today")
    table.add_column("By")
    for scope in SCOPES:
        table.add_row(f"{SCOPE_TITLES[scope]} ({scope})", *_say_consent(permission, scope, today=today))
    console.print(table)
    show_doubts(permission, today=today, console=console)


def show_doubts(permission: Permission, *, today: date, console: Console) -> None:
    """Print which consents do not count and why, and who is to be asked."""
    for each in permission.doubts(today):
        show_bullet(each, console=console)
    person = permission.person
    if permission.rests_on_guardian(today) and not person.is_minor(today):
        since = f" since {person.grown_up_on}" if person.grown_up_on else ""
        show_bullet(
            f"{person.name} is grown up{since}: nothing new is filed on the guardian's consent. What is kept may stay "
            f"for its time. Ask {person.name}, and write their own consent down; your local rules say what must be "
            "asked again.",
            console=console,
        )


def show_history(history: History, *, console: Console) -> None:
    """Print what held and what went back, and what became of the last plan."""
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
    for group in answer.groups:
        console.print(f"\n{group.title}: {group.says}")
        for row in group.rows:
            show_bullet(f"{row.title}: {row.says}", console=console)


def _say_consent(permission: Permission, scope: Scope, *, today: date) -> tuple[str, str]:
    mine = [each for each in permission.consents if each.scope == scope]
    for use in ("filing", "keeping"):
        for each in [each for each in mine if permission.counts(each, day=today, use=use)][-1:]:
            by = f"{each.given_by}{' (guardian)' if each.relation == 'guardian' else ''}"
            says = f"yes, since {each.given_on}" if use == "filing" else "for what is kept"
            return says, f"{by}; {each.note}" if each.note else by
    if not mine:
        return "missing", ""
    withdrawn = [each.withdrawn_on for each in mine if each.withdrawn_on is not None and each.withdrawn_on <= today]
    return (f"withdrawn {max(withdrawn)}" if len(withdrawn) == len(mine) else "does not count"), ""
