"""Measure putting posture from phone clips.

The public names are imported when they are first used, so that ``import putt_posture`` stays quick.

>>> from putt_posture import read_length_cm
>>> read_length_cm("5ft10in")
177.8
"""

import lazy_loader

__getattr__, __dir__, __all__ = lazy_loader.attach_stub(__name__, __file__)
