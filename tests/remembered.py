"""What is worked out once in a process for the same input: checks of stored files, statements of SQL. Only for speed.

A check that refuses is done again each time. A test that replaces one of these functions replaces this too.
"""

import functools
import hashlib
import marshal
from collections import OrderedDict
from itertools import islice

from sqlalchemy.dialects.sqlite.pysqlite import SQLiteDialect_pysqlite
from sqlalchemy.util import LRUCache

from putt_posture.archive.db import engine
from putt_posture.documents import schemas
from putt_posture.records import checked, pdf_files

MOST = 60
"""How many results of one function are kept: decoded pictures take a few MB each."""
STATEMENTS = 2000


def remember(function, key):
    """Return a function that gives the same result again where `key` makes the same of its arguments."""
    kept = OrderedDict()

    @functools.wraps(function)
    def ask(*args, **named):
        at = key(*args, **named)
        if at not in kept:
            kept[at] = function(*args, **named)
            if len(kept) > MOST:
                kept.popitem(last=False)
        return kept[at]

    return ask


def digest_of(data):
    if isinstance(data, str):
        data = data.encode("utf-8", "surrogatepass")
    return hashlib.sha1(data, usedforsecurity=False).digest()


class RememberingChecker:
    """A checker of documents that goes through the same document once, if it is without a fault."""

    def __init__(self, checker):
        self._checker, self._fine = checker, set()

    def iter_errors(self, document):
        try:
            digest = digest_of(marshal.dumps(document, 2))  # tells 3 from 3.0 and a list from a tuple
        except ValueError:  # something that is not of JSON
            return self._checker.iter_errors(document)
        if digest in self._fine:
            return iter(())
        faults = list(islice(self._checker.iter_errors(document), schemas._MOST_FAULTS))
        if not faults:
            self._fine.add(digest)
        return iter(faults)


@functools.cache
def checker_of(name, measures, *, _make=schemas._checker):
    return RememberingChecker(_make(name, measures))


def remember_checks(patch):
    """Check the same document, page, chart, PDF or picture once."""
    patch.setattr(schemas, "_checker", checker_of)
    patch.setattr(pdf_files, "check_pdf", remember(pdf_files.check_pdf, lambda data, **_about: digest_of(data)))
    for name in ("check_page", "check_drawing"):
        real = getattr(checked, name)
        patch.setattr(checked, name, remember(real, lambda text, **_about: digest_of(text)))
    patch.setattr(
        checked,
        "read_picture",
        remember(
            checked.read_picture,
            lambda data, *, name, where, size=None: (digest_of(data), name.rpartition(".")[2], size),
        ),
    )
    patch.setattr(checked, "holds_nothing_else", remember(checked.holds_nothing_else, digest_of))


def remember_statements(patch):
    """Translate the same statement into the SQL of SQLite once, though each archive has an engine of its own."""
    statements, make = LRUCache(STATEMENTS), engine.create_engine

    def create(*args, **named):
        made = make(*args, **named)
        if made.dialect.name == "sqlite":
            made._compiled_cache = statements
        return made

    patch.setattr(engine, "create_engine", create)
    patch.setattr(SQLiteDialect_pysqlite, "__eq__", lambda one, other: type(one) is type(other))
    patch.setattr(SQLiteDialect_pysqlite, "__hash__", lambda one: hash(type(one)))
