"""Who is a minor, who may allow what, and what may be done with it on a day: rules on values, in this one place.

A consent is judged by what is known now, not by what was known when it was written down. Who was a minor on the day on
which a consent was given could not give it; where a day of birth is put right, the consents are judged anew. A parent
or guardian consents for a minor, and only for a minor: from the day on which the student is grown up nothing new is
filed on a guardian's consent. What was filed on it before may be kept and shown for as long as it would have been, and
the student is to be asked. When somebody is grown up, and what holds from then on, the local rules say.

Filming is of its day: it is asked for when a lesson is filed. Measures, pictures and faces are asked for when a lesson
is filed and on each day on which it is shown.
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
"""What is asked: whether something new may be filed, or what is filed be kept and shown."""
Showing = Literal["nothing", "measures", "hidden", "pictures"]
"""What of a lesson may be shown: nothing, its numbers alone, its pictures with the heads hidden, or all of it."""
_NEEDED: Final[tuple[Scope, ...]] = ("filming", "measures")
_WRITE_DOWN: Final = "write the consent down with archive consent"
_ASK_STUDENT: Final = "Ask them, give their own name, and leave guardian out."


@frozen(kw_only=True)
class Consent:
    """One consent, as it was written down.

    Attributes
    ----------
    scope : Scope
    given_on : date
    given_by : str
        The name of who gave it.
    relation : Relation
        Whether the student or a parent or guardian gave it.
    withdrawn_on : date or None
        From this day on it counts no more.
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
    """What is known now of who is to be asked.

    Attributes
    ----------
    name : str
    born : date or None
    adult : bool
        Whether they are known to be grown up, without a day of birth.
    grown_at : int
        From which age students consent for themselves.
    """

    name: str
    born: date | None
    adult: bool
    grown_at: int

    @property
    def grown_up_on(self) -> date | None:
        """The first day on which they are grown up; None where the day of birth is not known."""
        return None if self.born is None else grown_up_on(born=self.born, grown_at=self.grown_at)

    def is_minor(self, day: date) -> bool:
        """Tell whether they are a minor on a day.

        Parameters
        ----------
        day : date
        """
        return is_minor(day, born=self.born, adult=self.adult, grown_at=self.grown_at)

    def check_giver(self, given_by: str, *, relation: Relation, given_on: date) -> None:
        """Check that somebody may consent for this person. Raises NotAllowed.

        Parameters
        ----------
        given_by : str
            Name of the person who gave it.
        relation : Relation
            Whether the student or a guardian gave it.
        given_on : date
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
            needed = "Give the guardian's name; where both are called the same, add what tells them apart."
        else:
            needed = _ASK_STUDENT
        raise NotAllowed(f"{why}. {needed}")

    def why_not_giver(self, given_by: str, *, relation: Relation, given_on: date) -> str:
        """Return why somebody could not consent for this person, as a clause; empty where they could.

        Parameters
        ----------
        given_by : str
            Name of the person who gave it.
        relation : Relation
            Whether the student or a guardian gave it.
        given_on : date
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
    """What is allowed of one student: all their consents, judged by what is known of them now.

    Attributes
    ----------
    person : ConsentSubject
    consents : tuple of Consent
        In the order of time.
    """

    person: ConsentSubject
    consents: tuple[Consent, ...]

    def why_not(self, consent: Consent, *, day: date, use: Use) -> str:
        """Return why a consent does not count on a day, as a clause; empty where it counts.

        Parameters
        ----------
        consent : Consent
        day : date
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
        """Tell whether a consent counts on a day.

        Parameters
        ----------
        consent : Consent
        day : date
        use : Use
            Filing something new, or keeping and showing what is there.
        """
        return not self.why_not(consent, day=day, use=use)

    def allowed(self, day: date, *, use: Use) -> frozenset[Scope]:
        """Return what is allowed on a day.

        Parameters
        ----------
        day : date
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

        Filming and all the rest must have been allowed on the day of the lesson; all but filming must still be.

        Parameters
        ----------
        day : date
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
        """Say of each consent that nobody withdrew and that does not count why that is, those of one word together.

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
        """Return what is allowed today by a guardian's consent alone.

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
        """Return why the last consents for these do not count, in brackets; empty where there never was one."""
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
    born : date
        Day of birth; None where it is not known.

    Examples
    --------
    >>> age_on(date(2026, 5, 16), born=date(2008, 5, 17)), age_on(date(2026, 5, 17), born=date(2008, 5, 17))
    (17, 18)
    """
    return day.year - born.year - ((day.month, day.day) < (born.month, born.day))


def grown_up_on(*, born: date, grown_at: int) -> date:
    """Return the first day on which somebody is so many years old; the last day of the calendar where it ends before.

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
    """Tell whether somebody counts as a minor: by the day of birth, or where that is not known by what was said.

    Parameters
    ----------
    day : date
    born : date or None
        Day of birth; None where it is not known.
    adult : bool
        Whether the student is of age, where the day of birth is not known.
    grown_at : int
        Years of age from which students consent for themselves.
    """
    return not adult if born is None else age_on(day, born=born) < grown_at


def say_consents(scopes: Iterable[Scope]) -> str:
    """Return what consents are for, in words, in the order in which they are asked.

    Parameters
    ----------
    scopes : Iterable[Scope]
        What the consent is for.
    """
    chosen = set(scopes)
    return _titles([each for each in SCOPES if each in chosen])


def _titles(scopes: Sequence[Scope]) -> str:
    return join_words([SCOPE_TITLES[each] for each in scopes])
