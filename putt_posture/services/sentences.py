"""What is said of students, consents and erasures, the same in the terminal and on the lesson page."""

from datetime import date, timedelta
from typing import Final

from attrs import frozen

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
from putt_posture.figures import count_of, format_given, format_stature
from putt_posture.measures import MEASURES
from putt_posture.pages.history_answer import CHANCE_OF_BACK

__all__ = [
    "ENCRYPTED",
    "IN_BACKUPS",
    "NO_LAW",
    "SETTING_TITLES",
    "ConsentLine",
    "say_age",
    "say_body",
    "say_consents",
    "say_distance",
    "say_doubts",
    "say_drifts",
    "say_erased",
    "say_size",
]

IN_BACKUPS: Final = (
    "Backups that were made before, exports and result folders outside the archive still hold it: erase those by hand."
)
ENCRYPTED: Final = "It is encrypted. If the passphrase or the key is lost, no one can open it, not even this program."
NO_LAW: Final = "Your local rules say what may be kept for how long, and when a student is an adult."
SETTING_TITLES: Final = {
    "revisit_weeks": "weeks after which a student is due again",
    "keep_pictures_months": "months for which clips, stills and outlines are kept",
    "keep_students_months": "months for which a student is kept after the last lesson",
    "grown_at_years": "age from which students consent for themselves",
}
"""The settings of an archive, in words."""


@frozen(kw_only=True)
class ConsentLine:
    """One scope of consent, in words.

    Attributes
    ----------
    scope : Scope
    title : str
    today : str
        What counts on the day.
    by : str
        Who gave it, and how; empty where it does not count.
    """

    scope: Scope
    title: str
    today: str
    by: str


def say_size(files: int, size: int) -> str:
    """Say how many files there are and how large they are.

    Parameters
    ----------
    files : int
    size : int
        Bytes.

    Examples
    --------
    >>> say_size(1, 1_250_000)
    '1 file (1.2 MB)'
    """
    return f"{count_of(files, 'file')} ({size / 1e6:.1f} MB)"


def say_erased(erased: Erased) -> str:
    """Say how much was erased.

    Parameters
    ----------
    erased : Erased
    """
    counts = ((erased.students, "student"), (erased.lessons, "lesson"), (erased.files, "file"))
    parts = [count_of(count, what) for count, what in counts if count]
    return ", ".join(parts) or "nothing"


def say_age(student: EnrolledStudent, *, today: date, grown_at: int) -> str:
    """Say how old somebody is, and whether a guardian consents for them.

    Parameters
    ----------
    student : EnrolledStudent
    today : date
    grown_at : int
        From which age students consent for themselves, years.
    """
    if student.born is None:
        return "Enrolled as grown up"
    age = f"Born {student.born}, {age_on(today, born=student.born)} years old"
    minor = is_minor(today, born=student.born, adult=student.adult, grown_at=grown_at)
    return f"{age}; minor: a guardian consents" if minor else age


def say_body(student: EnrolledStudent) -> str:
    """Say how tall somebody is and how they putt.

    Parameters
    ----------
    student : EnrolledStudent
    """
    body = student.student
    parts = [format_stature(body.stature_cm)]
    if body.sex is not None:
        parts.append(body.sex)
    parts.append(f"putts {body.handed}-handed")
    if body.wrist_floor_cm is not None:
        parts.append(f"wrists {format_given(body.wrist_floor_cm, 'cm')} above the floor")
    return ", ".join(parts)


def say_distance(day: date, *, today: date) -> str:
    """Say how far a day is from today.

    Parameters
    ----------
    day, today : date
    """
    days = (day - today) // timedelta(days=1)
    if days == 0:
        return "today"
    count = count_of(abs(days), "day")
    return f"in {count}" if days > 0 else f"{count} ago"


def say_drifts(overview: OverviewLine | None) -> list[str]:
    """Say which measures went back since the setup was rebuilt, and what chance alone says.

    Parameters
    ----------
    overview : OverviewLine or None
        A line of the overview.
    """
    names = overview.drifts if overview is not None else ()
    said = [f"{MEASURES[name].title} went back by more than the noise since it was rebuilt." for name in names]
    return [*said, CHANCE_OF_BACK] if said else []


def say_consents(permission: Permission, *, today: date) -> list[ConsentLine]:
    """Say what is allowed on a day, scope by scope.

    Parameters
    ----------
    permission : Permission
    today : date
    """
    lines = []
    for scope in SCOPES:
        says, by = _say_consent(permission, scope, today=today)
        lines.append(ConsentLine(scope=scope, title=SCOPE_TITLES[scope], today=says, by=by))
    return lines


def say_doubts(permission: Permission, *, today: date) -> list[str]:
    """Say which consents do not count and why, and who is to be asked.

    Parameters
    ----------
    permission : Permission
    today : date
    """
    found, person = list(permission.doubts(today)), permission.person
    if permission.rests_on_guardian(today) and not person.is_minor(today):
        since = f" since {person.grown_up_on}" if person.grown_up_on else ""
        found.append(
            f"{person.name} is grown up{since}: nothing new is filed on the guardian's consent. What is kept may stay "
            f"for its time. Ask {person.name}, and write their own consent down; your local rules say what must be "
            "asked again."
        )
    return found


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
