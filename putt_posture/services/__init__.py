"""What a coach asks for, each use case once, with the people's rules inside: consent, hidden faces, minors.

Command, page and batch call these functions and hold no rule of their own. What the archive does whole (an export, a
history) is named here too, so that a caller finds every use case in one place.
"""

import lazy_loader

__getattr__, __dir__, __all__ = lazy_loader.attach_stub(__name__, __file__)
