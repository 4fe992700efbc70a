"""Clips that several tests of this folder use, written once."""

import sys
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parent))

from written_clips import numbered_picture, write_clip


@pytest.fixture(scope="session")
def plain_clip(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Three seconds of numbered frames, 30 a second, with a key frame each second and B-frames between."""
    path = tmp_path_factory.mktemp("plain") / "plain.mp4"
    options = {"crf": "10", "g": "30", "bf": "3"}
    return write_clip(path, (numbered_picture(number) for number in range(90)), options=options)
