"""All rules about minors and consent in one place: who may consent to what, and what is allowed on a day.

A consent is judged by what is known today, not by what was known when it was recorded. A student who was a minor on the
day of a consent could not give it; if the day of birth is corrected, the consents are judged again. A parent or
guardian consents for a minor, and only for a minor: from the day on which the student is an adult, no lesson is filed
on a guardian's consent. Earlier lessons may be kept and shown for as long as before, and the student should be asked.
Local rules say when a person is an adult, and what changes then.

Consent for filming is checked for the day of the lesson, when it is filed. Consent for measures, pictures and faces is
checked when a lesson is filed, and on each day on which it is shown.
"""

from collections.abc import Iterable, Sequence
from datetime import date
from typing import Final, Literal, get_args

from attrs import frozen

from putt_posture.archive.db.texts import same_name
from putt_posture.errors import NotAllowed
from putt_posture.shown import join_words

__all__ = [
    "SCOPES",
    "SCOPE_TITLES",
    "Consent",
    "ConsentSubject",
    "Permission",
    "Relation",
    "Scope",
    "Showing",
    "Use",
    "age_on",
    "grown_up_on",
    "is_minor",
    "say_consents",
]

Scope = Literal["filming", "measures", "pictures", "faces"]
SCOPES: Final[tuple[Scope, ...]] = get_args(Scope)
SCOPE_TITLES: Final[dict[Scope, str]] = {
    "filming": "being filmed",
    "measures": "keeping the measures",
    "pictures": "keeping clips, stills and outlines",
    "faces": "showing the face in them",
}
Relation = Literal["self", "guardian"]
Use = Literal["filing", "keeping"]
"""The use that is checked: filing a lesson, or keeping and showing filed ones."""
Showing = Literal["nothing", "measures", "hidden", "pictures"]
"""How much of a lesson may be shown: nothing, only numbers, pictures with the heads hidden, or everything."""
_NEEDED: Final[tuple[Scope, ...]] = ("filming", "measures")
_WRITE_DOWN: Final = "write the consent down with archive consent"
_ASK_STUDENT: Final = "Ask them, give their own name, and leave guardian out."


@frozen(kw_only=True)
class Consent:
    """One consent, as it was recorded.

    Attributes
    ----------
    scope : Scope
    given_on : date
    given_by : str
        The name of the person who gave it.
    relation : Relation
        Whether the student or a parent or guardian gave it.
    withdrawn_on : date or None
        From this day on it is not valid.
    note : str
        How it was given: a form, an e-mail.
    """

    scope: Scope
    given_on: date
    given_by: str
    relation: Relation
    withdrawn_on: date | None = None
    note: str = ""


@frozen(kw_only=True)
class ConsentSubject:
    """What is known today about the student for consent.

    Attributes
    ----------
    name : str
    born : date or None
    adult : bool
        Whether they are known to be an adult, without a day of birth.
    grown_at : int
        From which age students consent for themselves.
    """

    name: str
    born: date | None
    adult: bool
    grown_at: int

    @property
    def grown_up_on(self) -> date | None:
        """The first day on which they are an adult; None if the day of birth is not known."""
        return None if self.born is None else grown_up_on(born=self.born, grown_at=self.grown_at)

    def is_minor(self, day: date) -> bool:
        """Tell whether they are a minor on a day.

        Parameters
        ----------
        day : date
            Day for which the question is asked.
        """
        return is_minor(day, born=self.born, adult=self.adult, grown_at=self.grown_at)

    def check_giver(self, given_by: str, *, relation: Relation, given_on: date) -> None:
        """Check that a person may consent for this student. Raises NotAllowed.

        Parameters
        ----------
        given_by : str
            Name of the person who gave it.
        relation : Relation
            Whether the student or a guardian gave it.
        given_on : date
            Day on which it was given.
        """
        if relation == "guardian" and self.born is None:  # enrolled as grown up
            raise NotAllowed(f"{self.name} is grown up and consents for themselves. {_ASK_STUDENT}")
        if not (why := self.why_not_giver(given_by, relation=relation, given_on=given_on)):
            return
        if self._is_unborn(given_on):
            needed = "Give the day on which it was given, or put the day of birth right with archive describe."
        elif relation == "self":
            needed = "Give their name and say guardian."
        elif self.is_minor(given_on):
            needed = "Give the guardian's name; where both are called the same, add a word that distinguishes them."
        else:
            needed = _ASK_STUDENT
        raise NotAllowed(f"{why}. {needed}")

    def why_not_giver(self, given_by: str, *, relation: Relation, given_on: date) -> str:
        """Return why a person could not consent for this student, as a clause; empty if they could.

        Parameters
        ----------
        given_by : str
            Name of the person who gave it.
        relation : Relation
            Whether the student or a guardian gave it.
        given_on : date
            Day on which it was given.
        """
        if self._is_unborn(given_on):
            return f"{self.name} was born on {self.born}, after {given_on}"
        if relation == "self":
            if not self.is_minor(given_on):
                return ""
            age = f"{age_on(given_on, born=self.born)} years old" if self.born else "a minor"
            return f"{self.name} was {age} on {given_on}, so a parent or guardian must consent"
        if self.born is not None and not self.is_minor(given_on):
            return f"{self.name} was grown up on {given_on}, so no guardian consents for {self.name}"
        if same_name(given_by, self.name):
            return f"{given_by} is the student's own name, and a student cannot be their own guardian"
        return ""

    def _is_unborn(self, day: date) -> bool:
        return self.born is not None and day < self.born


@frozen(kw_only=True)
class Permission:
    """What is allowed of one student: all their consents, judged by what is known today.

    Attributes
    ----------
    person : ConsentSubject
    consents : tuple of Consent
        In the order of time.
    """

    person: ConsentSubject
    consents: tuple[Consent, ...]

    def why_not(self, consent: Consent, *, day: date, use: Use) -> str:
        """Return why a consent is not valid on a day, as a clause; empty if it is valid.

        Parameters
        ----------
        consent : Consent
        day : date
            Day for which the question is asked.
        use : Use
            Filing something new, or keeping and showing what is there.
        """
        if consent.withdrawn_on is not None and consent.withdrawn_on <= day:
            return f"it was withdrawn on {consent.withdrawn_on}"
        if day < consent.given_on:
            return f"it was given on {consent.given_on}, later than {day}"
        person = self.person
        if why := person.why_not_giver(consent.given_by, relation=consent.relation, given_on=consent.given_on):
            return why
        if use == "filing" and consent.relation == "guardian" and not person.is_minor(day):
            since = f" since {person.grown_up_on}" if person.grown_up_on else ""
            return f"{person.name} is grown up{since} and consents for themselves"
        return ""

    def counts(self, consent: Consent, *, day: date, use: Use) -> bool:
        """Tell whether a consent is valid on a day.

        Parameters
        ----------
        consent : Consent
        day : date
            Day for which the question is asked.
        use : Use
            Filing something new, or keeping and showing what is there.
        """
        return not self.why_not(consent, day=day, use=use)

    def allowed(self, day: date, *, use: Use) -> frozenset[Scope]:
        """Return what is allowed on a day.

        Parameters
        ----------
        day : date
            Day for which the question is asked.
        use : Use
            Filing something new, or keeping and showing what is there.
        """
        return frozenset(each.scope for each in self.consents if self.counts(each, day=day, use=use))

    def showing(self, today: date) -> Showing:
        """Return what of a lesson may be shown today.

        Parameters
        ----------
        today : date
            The day by which consent and ages are judged.
        """
        allowed = self.allowed(today, use="keeping")
        if "measures" not in allowed:
            return "nothing"
        if "pictures" not in allowed:
            return "measures"
        return "pictures" if "faces" in allowed else "hidden"

    def check_filing(self, day: date, *, today: date, pictures: bool) -> frozenset[Scope]:
        """Check that a lesson of a day may be filed today, and return what is allowed of it.

        Everything must have been allowed on the day of the lesson, and all but filming must still be allowed.

        Parameters
        ----------
        day : date
            Day of the lesson.
        today : date
            The day by which consent and ages are judged.
        pictures : bool
            Whether there are pictures to be shown.

        Raises
        ------
        NotAllowed
        """
        still = self.allowed(today, use="filing") | {"filming"}
        allowed = self.allowed(day, use="filing") & still
        name = self.person.name
        missing = [each for each in _NEEDED if each not in allowed]
        if missing:
            raise NotAllowed(
                f"There is no consent for {_titles(missing)} of {name} on {day}{self._reasons(missing, day, today)}, "
                f"so nothing was filed. {_WRITE_DOWN.capitalize()}."
            )
        if pictures and "pictures" not in allowed:
            raise NotAllowed(
                f"There is no consent for {SCOPE_TITLES['pictures']} of {name} on {day}"
                f"{self._reasons(['pictures'], day, today)}. File the lesson without pictures, or {_WRITE_DOWN}."
            )
        return allowed

    def check_measures(self, day: date, *, today: date) -> None:
        """Check that numbers of a day may be kept from today on. Raises NotAllowed.

        Parameters
        ----------
        day : date
            Day of the lesson.
        today : date
            The day by which consent and ages are judged.
        """
        if "measures" not in self.allowed(day, use="filing") & self.allowed(today, use="filing"):
            raise NotAllowed(
                f"There is no consent for {SCOPE_TITLES['measures']} of {self.person.name} on {day}"
                f"{self._reasons(['measures'], day, today)}, so nothing was kept. {_WRITE_DOWN.capitalize()}."
            )

    def check_showing(self, today: date) -> Showing:
        """Return what of a lesson may be shown today.

        Parameters
        ----------
        today : date
            The day by which consent and ages are judged.

        Raises
        ------
        NotAllowed
            If nothing may.
        """
        showing = self.showing(today)
        if showing == "nothing":
            raise NotAllowed(self.say_nothing(today))
        return showing

    def say_nothing(self, today: date) -> str:
        """Say why nothing may be shown, and what to do.

        Parameters
        ----------
        today : date
            The day by which consent and ages are judged.
        """
        return (
            f"There is no consent for {SCOPE_TITLES['measures']} of {self.person.name} today"
            f"{self._reasons(['measures'], today, today, use='keeping')}, so no number of theirs is shown. "
            f"Erase what is kept with archive retention --erase, or {_WRITE_DOWN}."
        )

    def say_withheld(self, today: date, *, pictures: bool) -> tuple[str, ...]:
        """Say what of lessons is held back today, and why; `pictures` tells whether any are kept of them.

        Parameters
        ----------
        today : date
            The day by which consent and ages are judged.
        pictures : bool
            Whether there are pictures to be shown.
        """
        showing = self.showing(today)
        if showing == "nothing":
            return (self.say_nothing(today),)
        if not pictures:
            return ()
        if showing == "measures":
            return (self._say(["pictures"], today, "so pictures are left out"),)
        if showing == "hidden":
            return (self._say(["faces"], today, "so heads are hidden and clips left out"),)
        return ()

    def doubts(self, today: date) -> tuple[str, ...]:
        """Say why each consent that was not withdrawn is not valid; consents given together are in one sentence.

        Parameters
        ----------
        today : date
            The day by which consent and ages are judged.
        """
        found: dict[tuple[str, str, date], list[Scope]] = {}
        for each in self.consents:
            if each.withdrawn_on is None or today < each.withdrawn_on:
                why = self.why_not(each, day=today, use="keeping")
                if why:
                    found.setdefault((why, each.given_by, each.given_on), []).append(each.scope)
        return tuple(
            f"The consent of {given_by} of {given_on} for {_titles(scopes)} does not count: {why}."
            for (why, given_by, given_on), scopes in found.items()
        )

    def rests_on_guardian(self, today: date) -> tuple[Scope, ...]:
        """Return what is allowed today only by a guardian's consent.

        Parameters
        ----------
        today : date
            The day by which consent and ages are judged.
        """
        counting = [each for each in self.consents if self.counts(each, day=today, use="keeping")]
        own = {each.scope for each in counting if each.relation == "self"}
        others = {each.scope for each in counting} - own
        return tuple(each for each in SCOPES if each in others)

    def _say(self, scopes: Sequence[Scope], today: date, so: str) -> str:
        why = self._reasons(scopes, today, today, use="keeping")
        return f"There is no consent for {_titles(scopes)} of {self.person.name} today{why}, {so}."

    def _reasons(self, scopes: Sequence[Scope], day: date, today: date, *, use: Use = "filing") -> str:
        """Return why the last consents for these are not valid, in brackets; empty if there never was one."""
        reasons = []
        for scope in scopes:
            given = [each for each in self.consents if each.scope == scope]
            for when in dict.fromkeys((day, today)):
                if given and not any(self.counts(each, day=when, use=use) for each in given):
                    reasons.append(self.why_not(given[-1], day=when, use=use))
                    break
        return f" ({'; '.join(dict.fromkeys(reasons))})" if reasons else ""


def age_on(day: date, *, born: date) -> int:
    """Return the age in whole years.

    Parameters
    ----------
    day : date
        Day for which the question is asked.
    born : date
        Day of birth; None where it is not known.

    Examples
    --------
    >>> age_on(date(2026, 5, 16), born=date(2008, 5, 17)), age_on(date(2026, 5, 17), born=date(2008, 5, 17))
    (17, 18)
    """
    return day.year - born.year - ((day.month, day.day) < (born.month, born.day))


def grown_up_on(*, born: date, grown_at: int) -> date:
    """Return the first day on which a person is so many years old; at most the last day of the calendar.

    Parameters
    ----------
    born : date
        Day of birth; None where it is not known.
    grown_at : int
        Years of age from which students consent for themselves.

    Examples
    --------
    >>> grown_up_on(born=date(2008, 2, 29), grown_at=18)
    datetime.date(2026, 3, 1)
    """
    year = born.year + grown_at
    if year > date.max.year:
        return date.max
    try:
        return born.replace(year=year)
    except ValueError:  # the 29th of February in a year that has none
        return date(year, 3, 1)


def is_minor(day: date, *, born: date | None, adult: bool, grown_at: int) -> bool:
    """Tell whether a student is a minor: by the day of birth, or if that is not known by `adult`.

    Parameters
    ----------
    day : date
        Day for which the question is asked.
    born : date or None
        Day of birth; None where it is not known.
    adult : bool
        Whether the student is of age, where the day of birth is not known.
    grown_at : int
        Years of age from which students consent for themselves.
    """
    return not adult if born is None else age_on(day, born=born) < grown_at


def say_consents(scopes: Iterable[Scope]) -> str:
    """Return in words what consents are for, in the usual order.

    Parameters
    ----------
    scopes : Iterable[Scope]
        What the consent is for.
    """
    chosen = set(scopes)
    return _titles([each for each in SCOPES if each in chosen])


def _titles(scopes: Sequence[Scope]) -> str:
    return join_words([SCOPE_TITLES[each] for each in scopes])
