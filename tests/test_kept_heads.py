"""Heads that were kept are those that were found, and each picture is searched once."""

from pathlib import Path

import kept_heads
import numpy as np
import pytest
from kept_heads import find_or_take
from PIL import Image

import putt_posture.drawing.faces
import putt_posture.records.faces
from putt_posture.landmarks import find_heads

PICTURE = Path(__file__).parent / "landmarks" / "pictures" / "golfer_face_on.jpg"


def test_kept_heads_are_those_found_and_another_picture_is_searched_anew(tmp_path, monkeypatch) -> None:
    picture = np.asarray(Image.open(PICTURE).convert("RGB"))
    found = find_or_take(picture, cache=tmp_path)
    assert found == find_heads(picture) != ()

    def refuse(_picture):
        raise AssertionError("searched again")

    monkeypatch.setattr(kept_heads, "find_heads", refuse)
    assert find_or_take(picture, cache=tmp_path) == found
    for other in (picture[:-1], np.ascontiguousarray(picture[:, ::-1])):
        with pytest.raises(AssertionError, match="searched again"):
            find_or_take(other, cache=tmp_path)


def test_nothing_is_taken_while_a_part_of_the_search_is_replaced(monkeypatch) -> None:
    asked = []

    def refuse(*_about, **_more):
        asked.append(1)
        raise KeyError("no model")

    picture = np.asarray(Image.open(PICTURE).convert("RGB"))
    for module in (putt_posture.drawing.faces, putt_posture.records.faces):
        module.find_heads(picture)
    monkeypatch.setattr("putt_posture.landmarks.heads.open_pose_model", refuse)
    for module in (putt_posture.drawing.faces, putt_posture.records.faces):
        with pytest.raises(KeyError):
            module.find_heads(picture)
    assert len(asked) == 2
