"""How to film: one page and its drawing."""

from putt_posture.filming.page import DRAWING, load_page, store_page

__all__ = ["DRAWING", "load_page", "store_page"]
