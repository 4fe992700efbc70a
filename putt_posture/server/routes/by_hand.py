"""What is put right by hand: points dragged on the still."""

from typing import Final

from starlette.routing import BaseRoute

__all__ = ["ROUTES"]

ROUTES: Final[tuple[BaseRoute, ...]] = ()
