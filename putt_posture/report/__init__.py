"""A lesson as people and programs read it: stills, tables, HTML, PDF, JSON, CSV and arrays, in one folder."""

import lazy_loader

__getattr__, __dir__, __all__ = lazy_loader.attach_stub(__name__, __file__)
