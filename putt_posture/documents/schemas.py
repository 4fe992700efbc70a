"""The JSON Schemas (draft 2020-12) that the program's documents keep, as shipped with the package."""

import json
from collections.abc import Mapping
from functools import cache
from importlib import resources
from itertools import islice
from typing import Any, Final, Literal

from jsonschema import Draft202012Validator, TypeChecker
from jsonschema.validators import extend
from referencing import Registry
from referencing.jsonschema import DRAFT202012

from putt_posture.errors import UsageError

__all__ = ["SCHEMA_NAMES", "SchemaName", "check_document", "load_schema"]

_ENDS: Final = 120
_MOST_FAULTS: Final = 100
"""So many places that differ are looked at; a document may hold a million of them."""
SchemaName = Literal["measures", "comparison", "history", "spec_sheet", "student"]
SCHEMA_NAMES: Final[tuple[SchemaName, ...]] = ("measures", "comparison", "history", "spec_sheet", "student")


def _is_whole(_checker: TypeChecker, number: object) -> bool:
    """Tell whether a number is written as a whole one: 3.0 cannot count anything here."""
    return isinstance(number, int) and not isinstance(number, bool)


_Strict: Any = extend(  # type: ignore[no-untyped-call]
    Draft202012Validator, type_checker=Draft202012Validator.TYPE_CHECKER.redefine("integer", _is_whole)
)


@cache
def load_schema(name: SchemaName) -> Mapping[str, Any]:
    """Load the schema in ``<name>.schema.json``."""
    text = resources.files("putt_posture.documents").joinpath(f"{name}.schema.json").read_text(encoding="utf-8")
    loaded: dict[str, Any] = json.loads(text)
    return loaded


def check_document(document: object, name: SchemaName, *, what: str) -> None:
    """Check that a document keeps a schema.

    Parameters
    ----------
    document : object
    name : SchemaName
    what : str
        What to call the document at the start of a sentence, with its verb: ``The measures do``.

    Raises
    ------
    UsageError
        If it does not; the sentence names the first place that differs.
    """
    faults = islice(_checker(name).iter_errors(document), _MOST_FAULTS)
    found = sorted(faults, key=lambda error: list(map(str, error.path)))
    if found:
        place = "/".join(map(str, found[0].absolute_path)) or "the top"
        version = load_schema(name)["properties"]["schema"]["const"]
        raise UsageError(f"{what} not keep schema {version} at {place}: {_shortened(found[0].message)}")


def _shortened(text: str) -> str:
    """Return the beginning and the end of a long text; the library quotes whole documents."""
    return text if len(text) <= 2 * _ENDS else f"{text[:_ENDS]} … {text[-_ENDS:]}"


@cache
def _checker(name: SchemaName) -> Draft202012Validator:
    schemas = [load_schema(each) for each in SCHEMA_NAMES]
    known = [(schema["$id"], DRAFT202012.create_resource(dict(schema))) for schema in schemas]
    checker: Draft202012Validator = _Strict(dict(load_schema(name)), registry=Registry().with_resources(known))
    return checker
