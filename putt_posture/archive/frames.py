"""The whole archive as pandas frames."""

import pandas as pd

from putt_posture.archive.archive import Archive

__all__ = ["read_frames"]


def read_frames(archive: Archive, *, names: bool = True, landmarks: bool = False) -> dict[str, pd.DataFrame]:
    """Read the whole archive as frames, by name."""
    raise NotImplementedError
