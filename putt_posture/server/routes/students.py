"""The students: list, enrol, show, describe, consents."""

from typing import Final

from starlette.routing import BaseRoute

__all__ = ["ROUTES"]

ROUTES: Final[tuple[BaseRoute, ...]] = ()
