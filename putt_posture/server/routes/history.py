"""Before and after, a student's history, practice tests, the overview."""

from typing import Final

from starlette.routing import BaseRoute

__all__ = ["ROUTES"]

ROUTES: Final[tuple[BaseRoute, ...]] = ()
