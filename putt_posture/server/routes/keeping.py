"""Consents, export, erasing, retention, backup, check."""

from typing import Final

from starlette.routing import BaseRoute

__all__ = ["ROUTES"]

ROUTES: Final[tuple[BaseRoute, ...]] = ()
