"""The command ``putt-posture``: it parses, calls one library function and prints."""

from putt_posture.cli.program import main, run

__all__ = ["main", "run"]
