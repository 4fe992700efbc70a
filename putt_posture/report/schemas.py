"""The JSON Schemas (draft 2020-12) that travel with the package, and the check that a document keeps one."""

import json
from collections.abc import Mapping
from functools import cache
from importlib import resources
from typing import Any

from jsonschema import Draft202012Validator

from putt_posture.errors import UsageError

__all__ = ["check_against", "load_schema"]


@cache
def load_schema(file: str) -> Mapping[str, Any]:
    """Return the schema in a file of this package."""
    text = resources.files("putt_posture.report").joinpath(file).read_text(encoding="utf-8")
    loaded: dict[str, Any] = json.loads(text)
    return loaded


def check_against(schema: Mapping[str, Any], document: object, *, what: str, version: int) -> None:
    """Check that a document keeps a schema.

    Parameters
    ----------
    schema : mapping
    document : object
    what : str
        What the document is called in the sentence, like ``The measures do``.
    version : int
        The schema's.

    Raises
    ------
    UsageError
        If it does not; the sentence names the first place that differs.
    """
    errors = sorted(
        Draft202012Validator(dict(schema)).iter_errors(document), key=lambda error: list(map(str, error.path))
    )
    if errors:
        place = "/".join(map(str, errors[0].absolute_path)) or "the top"
        raise UsageError(f"{what} not keep schema {version} at {place}: {errors[0].message}")
