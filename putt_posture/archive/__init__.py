"""Students and their lessons over time: the database, and the files that belong to it.

Everything takes an open `Archive`, and each call is one transaction: all of it counts, or nothing.
"""

import lazy_loader

__getattr__, __dir__, __all__ = lazy_loader.attach_stub(__name__, __file__)
