"""Checks that every row of a database is as it was filed and has possible values; no content makes the check fail.

A database that is damaged or was written by another program may raise any exception when it is read. So it is read in
steps, and an exception in a step becomes a finding that says where.
"""

from collections import defaultdict
from collections.abc import Callable, Collection, Iterable, Iterator, Sequence
from contextlib import nullcontext
from typing import Any, Final

from attrs import frozen
from sqlalchemy import Boolean, Connection, Table, select, text
from sqlalchemy.exc import DBAPIError

from putt_posture.archive.db.row_digests import (
    OWN_PARTS,
    OWNERS,
    digest_rows,
    digests_kept,
    own_digest,
    owner_of,
    owners_kept,
)
from putt_posture.archive.db.schema import find_schema_faults
from putt_posture.archive.db.tables import Base, ClipRow, DigestRow
from putt_posture.archive.db.value_checks import find_impossible

__all__ = ["AlteredPart", "CheckFault", "attempt", "check_database", "check_rows", "say_altered"]

_BATCH: Final = 200
_ROWS: Final = 5_000
"""Rows of a table without digests that are read at once."""
_MOST_LINES: Final = 100
_OTHERS: Final = ("files", "standings", "arrivals", "departures")
"""Tables whose rows have no digests but must have possible values too."""
_CALLED: Final = {
    "students": "What is kept of",
    "name_words": "The words to find",
    "consents": "The consents of",
    "lessons": "What was written down of",
    "measures": "The measures of",
    "fits": "The suggestion of",
    "lesson_files": "The list of files of",
    "clips": "The clips of",
    "setups": "The setups of",
    "landmarks": "The landmarks of",
    "corrections": "The corrections of",
    "practice_tests": "What was written down of",
    "putts": "The putts of",
    "erasures": "What was written down of",
    "settings": "The settings of",
    "sqlite_master": "The definitions of the tables of",
    "sqlite_sequence": "The numbers given by",
}
_SINGULAR: Final = frozenset({"students", "lessons", "fits", "lesson_files", "practice_tests", "erasures"})
_WHOSE: Final = {"student_id": "student", "lesson_id": "lesson", "clip_id": "clip", "test_id": "practice test"}
_SELF: Final = {"students": "student", "lessons": "lesson", "practice_tests": "practice test", "erasures": "erasure"}


@frozen(kw_only=True)
class CheckFault:
    """A problem that was found.

    Attributes
    ----------
    kind : str
        ``missing``, ``altered``, ``impossible``, ``orphaned``, ``incomplete``, ``out of step`` or ``database``.
    says : str
        One sentence that names it.
    """

    kind: str
    says: str


@frozen(kw_only=True)
class AlteredPart:
    """Rows of one table and one owner that do not match their digest.

    Attributes
    ----------
    part : str
        The table.
    owner : int
    says : str
        Their name in messages: ``The measures of lesson 12``.
    how : str
        ``are not as they were filed``, or a text that they are gone or were never filed.
    """

    part: str
    owner: int
    says: str
    how: str


Owners = Sequence[tuple[int, list[dict[str, Any]] | CheckFault]]
"""Some owners with their rows, or with what is wrong with them."""


def attempt(find: Callable[[], Iterable[CheckFault]], *, what: str) -> list[CheckFault]:
    """Return the findings of a step of the check; an exception is a finding too.

    Parameters
    ----------
    find : callable
        The step; returns the findings.
    what : str
        What it checks, as the beginning of a sentence.
    """
    found: list[CheckFault] = []
    try:
        for each in find():
            found.append(each)
    except Exception as error:  # a damaged database may raise anything: it is reported and does not end the check
        found.append(
            CheckFault(kind="database", says=f"{what} cannot be read ({_reason(error)}). Restore it from a backup.")
        )
    return found


def check_database(connection: Connection, version: str) -> list[CheckFault]:
    """Check the database itself: its pages, its tables, and its foreign keys.

    Parameters
    ----------
    connection : Connection
        Open connection to the database.
    version : str
        Revision of the schema.
    """
    if connection.dialect.name != "sqlite":
        return []

    def pages() -> Iterator[CheckFault]:
        lines = connection.execute(text(f"PRAGMA integrity_check({_MOST_LINES})")).scalars().all()
        for line in lines:
            if line != "ok":
                yield CheckFault(
                    kind="database",
                    says=f"The database is damaged: {' '.join(str(line).split())}. Restore it from a backup.",
                )

    def tables() -> Iterator[CheckFault]:
        for says in find_schema_faults(connection, version):
            yield CheckFault(kind="database", says=f"The database was changed. {says}")

    def keys() -> Iterator[CheckFault]:
        for row in connection.execute(text("PRAGMA foreign_key_check")):
            yield CheckFault(kind="database", says=f"A row of {row[0]} belongs to nothing in {row[2]}.")

    return [
        *attempt(pages, what="The database"),
        *attempt(tables, what="The list of tables"),
        *attempt(keys, what="What rows belong to"),
    ]


def check_rows(connection: Connection) -> tuple[list[CheckFault], list[AlteredPart]]:
    """Check every row: whether its values are possible, and whether it matches its digest.

    Parameters
    ----------
    connection : Connection
        In a transaction that reads one moment; its tables are of this program's version.

    Returns
    -------
    list of CheckFault
        Impossible values, and rows that cannot be read.
    list of AlteredPart
    """
    found: list[CheckFault] = []
    altered: list[AlteredPart] = []
    for name in (*OWNERS, *_OTHERS):
        table = Base.metadata.tables[name]
        found += attempt(lambda table=table: _check_truths(connection, table), what=f"The table {name}")  # type: ignore[misc]
        found += attempt(
            lambda table=table: _check_table(connection, table, altered),  # type: ignore[misc]
            what=f"The table {name}",
        )
    found += attempt(lambda: _check_own(connection, altered), what="The list of tables")
    found += attempt(lambda: _check_parts(connection), what="The table digests")
    return found, altered


def say_altered(each: AlteredPart, names: Iterable[str] = ()) -> CheckFault:
    """Return the sentence about changed rows, with the names of the changed ones if they are known.

    Parameters
    ----------
    each : AlteredPart
        Which part of the database was changed.
    names : Iterable[str]
        Of the changed rows; empty where they are not known.
    """
    listed = ", ".join(names)
    return CheckFault(kind="altered", says=f"{each.says} {each.how}{': ' if listed else ''}{listed}.")


def _reason(error: Exception) -> str:
    said = str(error.orig) if isinstance(error, DBAPIError) else str(error)
    return " ".join(f"{type(error).__name__}: {said}".split()) if said else type(error).__name__


def _check_table(connection: Connection, table: Table, altered: list[AlteredPart]) -> Iterator[CheckFault]:
    has_digests = table.name in OWNERS
    lacking = owners_kept(connection, table.name) if has_digests else set()
    for owners in _read_table(connection, table, lacking):
        kept = digests_kept(connection, table.name, [owner for owner, _ in owners]) if has_digests else {}
        for owner, rows in owners:
            lacking.discard(owner)
            if isinstance(rows, CheckFault):
                yield rows
                continue
            for row in rows:
                for says in find_impossible(table, row):
                    yield CheckFault(kind="impossible", says=f"{_place_of(table, row, connection)}: {says}.")
            digest = kept.get(owner)
            if has_digests and (digest is None or digest_rows(rows) != digest):
                how = "are not as they were filed" if digest else "were not filed by this program"
                altered.append(_altered(connection, table, owner, how))
    altered += [_altered(connection, table, owner, "are gone") for owner in sorted(lacking, key=repr)]


def _read_table(connection: Connection, table: Table, kept: Collection[int]) -> Iterator[Owners]:
    """Go through the rows of a table, some owners at a time; if they cannot be read together, one owner at a time."""
    if table.name not in OWNERS:
        for some in connection.execute(select(table).execution_options(yield_per=_ROWS)).mappings().partitions():
            yield [(0, [dict(row) for row in some])]
        return
    owner = owner_of(table)
    try:
        owners = set(connection.scalars(select(owner).select_from(table).distinct()))
    except Exception as error:
        yield [(-1, CheckFault(kind="database", says=f"The table {table.name} cannot be read ({_reason(error)})."))]
        owners = set(kept)
    for each in sorted((each for each in owners if type(each) is not int), key=repr):
        says = f"A row of {table.name} belongs to {each!r}, which is not a number."
        yield [(-1, CheckFault(kind="database", says=says))]
    numbers = sorted(each for each in owners if type(each) is int)
    for start in range(0, len(numbers), _BATCH):
        batch = numbers[start : start + _BATCH]
        try:
            yield _read_owners(connection, table, batch)
        except Exception:
            for number in batch:
                try:
                    yield _read_owners(connection, table, [number])
                except Exception as error:
                    called = _altered(connection, table, number, "").says
                    says = f"{called} cannot be read ({_reason(error)})."
                    yield [(number, CheckFault(kind="database", says=says))]


def _read_owners(connection: Connection, table: Table, numbers: list[int]) -> Owners:
    owner = owner_of(table)
    groups: defaultdict[int, list[dict[str, Any]]] = defaultdict(list)
    # In PostgreSQL a failed statement would make all later ones fail.
    with connection.begin_nested() if connection.dialect.name == "postgresql" else nullcontext():
        for row in connection.execute(select(table, owner.label("row_owner")).where(owner.in_(numbers))).mappings():
            values = dict(row)
            groups[values.pop("row_owner")].append(values)
    return list(groups.items())


def _check_truths(connection: Connection, table: Table) -> Iterator[CheckFault]:
    """Check yes and no in SQLite, which stores them as numbers; queries treat any other number differently."""
    if connection.dialect.name != "sqlite":
        return
    for column in table.columns:
        if isinstance(column.type, Boolean):
            query = text(f'SELECT count(*) FROM "{table.name}" WHERE "{column.name}" NOT IN (0, 1)')
            if connection.scalar(query):
                yield CheckFault(kind="impossible", says=f"A row of {table.name}: {column.name} is neither yes nor no.")


def _check_own(connection: Connection, altered: list[AlteredPart]) -> Iterator[CheckFault]:
    if connection.dialect.name == "sqlite":
        for part in OWN_PARTS:
            if own_digest(connection, part) != digests_kept(connection, part).get(0):
                altered.append(
                    AlteredPart(part=part, owner=0, says=f"{_CALLED[part]} the database", how="are not as they were")
                )
    yield from ()


def _check_parts(connection: Connection) -> Iterator[CheckFault]:
    known = {*OWNERS, *(OWN_PARTS if connection.dialect.name == "sqlite" else ())}
    for part in connection.scalars(select(DigestRow.part).distinct()):
        if part not in known:
            yield CheckFault(
                kind="database", says=f"The table digests has an entry for {part!r}, which archives do not have."
            )


def _altered(connection: Connection, table: Table, owner: int, how: str) -> AlteredPart:
    says = f"{_CALLED[table.name]} {_whose(connection, table, owner)}"
    if table.name in _SINGULAR:
        how = how.replace("are ", "is ", 1).replace("were ", "was ", 1).replace("they was", "it was")
    return AlteredPart(part=table.name, owner=owner, says=says, how=how)


def _whose(connection: Connection, table: Table, owner: int) -> str:
    column = OWNERS[table.name]
    if column is None:
        return "the archive"
    if column == "id":
        return f"{_SELF[table.name]} {owner}"
    if column == "clip_id":
        try:
            row = connection.execute(select(ClipRow.lesson_id, ClipRow.view).where(ClipRow.id == owner)).first()
        except Exception:
            row = None
        if row is not None:
            return f"lesson {row.lesson_id}, {str(row.view).replace('_', ' ')}"
    return f"{_WHOSE[column]} {owner}"


def _place_of(table: Table, row: dict[str, Any], connection: Connection) -> str:
    """Return the place of a row, for a sentence."""
    name = OWNERS.get(table.name)
    keys = [column.name for column in table.primary_key if column.name not in ("id", name)]
    which = " ".join(str(row[key]) for key in keys)
    if name is None:
        return f"The row {which} of {table.name}" if which else f"A row of {table.name}"
    whose = _whose(connection, table, row[name])
    return f"{_CALLED[table.name]} {whose}{', ' if which else ''}{which}"
