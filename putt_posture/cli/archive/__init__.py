"""The commands ``putt-posture archive …``: students, lessons, history. Each is one file, and `group` lists them."""

from putt_posture.cli.archive.group import archive

__all__ = ["archive"]
