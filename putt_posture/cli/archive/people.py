"""A student in words, for the terminal."""

from datetime import date, timedelta

from rich.console import Console

from putt_posture.archive import (
    SCOPE_TITLES,
    SCOPES,
    EnrolledStudent,
    OverviewLine,
    Permission,
    Scope,
    age_on,
    is_minor,
)
from putt_posture.cli.table import new_table, show_bullet
from putt_posture.figures import format_given, format_stature
from putt_posture.report.days import count_of
from putt_posture.report.history_answer import CHANCE_OF_BACK
from putt_posture.report.wording import WORDS

__all__ = ["say_age", "say_body", "say_distance", "say_drifts", "show_consents", "show_doubts"]


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


def say_drifts(standing: OverviewLine | None) -> list[str]:
    """Say which measures went back since the setup was rebuilt, and what chance alone says."""
    names = standing.drifts if standing is not None else ()
    said = [f"{WORDS[name].title} went back by more than the noise since it was rebuilt." for name in names]
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
            "asked anew.",
            console=console,
        )


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
