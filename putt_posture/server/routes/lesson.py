"""A lesson in one sitting: who, what was said, clips, progress, result."""

from typing import Final

from starlette.routing import BaseRoute

__all__ = ["ROUTES"]

ROUTES: Final[tuple[BaseRoute, ...]] = ()
