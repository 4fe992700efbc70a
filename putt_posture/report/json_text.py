"""How a document is written as JSON."""

import json
from typing import Any

__all__ = ["document_as_text"]


def document_as_text(document: Any, *, indent: int = 2) -> str:
    """Return the text of a document: indented, UTF-8 letters as they are, a line feed at the end.

    Raises
    ------
    ValueError
        If a number in it is not finite, which JSON cannot say.
    """
    return json.dumps(document, indent=indent, ensure_ascii=False, allow_nan=False) + "\n"
