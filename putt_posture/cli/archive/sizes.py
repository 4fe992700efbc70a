"""How much something holds, in words."""

from putt_posture.report.days import count_of

__all__ = ["say_size"]


def say_size(files: int, size: int) -> str:
    """Say how many files there are and how large they are.

    Examples
    --------
    >>> say_size(1, 1_250_000)
    '1 file (1.2 MB)'
    """
    return f"{count_of(files, 'file')} ({size / 1e6:.1f} MB)"
