"""The JSON Schemas (draft 2020-12) of the program's documents.

They are part of the package, without the list of measures. Where a file says ``"eachMeasure"``, `load_schema` puts one
entry for each record of `putt_posture.measures`: the reference that is written there or, for ``by unit``, the
definition of its unit.
"""

import json
from collections.abc import Mapping
from functools import cache, partial
from importlib import resources
from itertools import islice
from typing import Any, Final, Literal

from jsonschema import Draft202012Validator, TypeChecker
from jsonschema.validators import extend
from referencing import Registry
from referencing.jsonschema import DRAFT202012

from putt_posture.errors import UsageError
from putt_posture.measures import MEASURES, Measure, Unit

__all__ = ["SCHEMA_NAMES", "SchemaName", "check_document", "load_schema"]

_UNITS: Final[Mapping[Unit, str]] = {"deg": "#/$defs/deg", "cm": "#/$defs/cm", "%": "#/$defs/percent"}
_ENDS: Final = 120
_MOST_FAULTS: Final = 100
"""How many differences are examined; a document may have a million."""
SchemaName = Literal["measures", "seen", "comparison", "history", "spec_sheet", "student"]
SCHEMA_NAMES: Final[tuple[SchemaName, ...]] = ("measures", "seen", "comparison", "history", "spec_sheet", "student")


def _is_whole(_checker: TypeChecker, number: object) -> bool:
    """Tell whether a number is written as a whole number; 3.0 is not accepted as a count."""
    return isinstance(number, int) and not isinstance(number, bool)


_Strict: Any = extend(  # type: ignore[no-untyped-call]
    Draft202012Validator, type_checker=Draft202012Validator.TYPE_CHECKER.redefine("integer", _is_whole)
)


def load_schema(name: SchemaName) -> Mapping[str, Any]:
    """Load the schema in ``<name>.schema.json``, with an entry for every measure that the program knows.

    Parameters
    ----------
    name : SchemaName
        Which schema.
    """
    return _load(name, tuple(MEASURES.values()))


def check_document(document: object, name: SchemaName, *, what: str) -> None:
    """Check that a document matches a schema.

    Parameters
    ----------
    document : object
        As parsed JSON.
    name : SchemaName
        Which schema.
    what : str
        Start of the message: a name of the document and a verb, ``The measures do``.

    Raises
    ------
    UsageError
        If it does not; the sentence names the first place that differs.
    """
    faults = islice(_checker(name, tuple(MEASURES.values())).iter_errors(document), _MOST_FAULTS)
    found = sorted(faults, key=lambda error: list(map(str, error.path)))
    if found:
        place = "/".join(map(str, found[0].absolute_path)) or "the top"
        version = load_schema(name)["properties"]["schema"]["const"]
        raise UsageError(f"{what} not match schema {version} at {place}: {_shortened(found[0].message)}")


def _shortened(text: str) -> str:
    """Return the beginning and the end of a long text; the library quotes whole documents."""
    return text if len(text) <= 2 * _ENDS else f"{text[:_ENDS]} … {text[-_ENDS:]}"


@cache
def _load(name: SchemaName, measures: tuple[Measure, ...]) -> Mapping[str, Any]:
    text = resources.files("putt_posture.documents").joinpath(f"{name}.schema.json").read_text(encoding="utf-8")
    loaded: dict[str, Any] = json.loads(text, object_hook=partial(_fill_in, measures=measures))
    return loaded


def _fill_in(part: dict[str, Any], *, measures: tuple[Measure, ...]) -> dict[str, Any]:
    """Return a part of a schema, with the entries of all measures where it asks for them."""
    reference = part.get("eachMeasure")
    if not isinstance(reference, str):
        return part
    by_unit = reference == "by unit"
    return {
        "type": "object",
        "properties": {each.name: {"$ref": _UNITS[each.unit] if by_unit else reference} for each in measures},
        "required": [each.name for each in measures],
        "additionalProperties": False,
    }


@cache
def _checker(name: SchemaName, measures: tuple[Measure, ...]) -> Draft202012Validator:
    schemas = {each: _load(each, measures) for each in SCHEMA_NAMES}
    known = [(schema["$id"], DRAFT202012.create_resource(dict(schema))) for schema in schemas.values()]
    checker: Draft202012Validator = _Strict(dict(schemas[name]), registry=Registry().with_resources(known))
    return checker
