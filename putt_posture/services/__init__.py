"""Each use case once, with the people's rules inside: consent, hidden faces, minors.

Command, page and batch call these functions and have no rules of their own. Acts that the archive does by itself (an
export, a history) are listed here too, so that a caller finds every use case in one place.
"""

import lazy_loader

__getattr__, __dir__, __all__ = lazy_loader.attach_stub(__name__, __file__)
