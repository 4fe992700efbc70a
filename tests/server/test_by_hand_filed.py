"""A filed lesson is put right on the page: its result is filed beside the first, as far as consent goes."""

import shutil
import sys
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parents[1] / "archive"))

from filed import TODAY, add_player, file_one

from putt_posture.archive import load_first_and_newest, open_archive, open_lesson, withdraw_consent
from putt_posture.records import read_result_folder

JSON = {"accept": "application/json"}
VIEW = "down_the_line"


@pytest.fixture
def lesson(state, golfer_folder, made_once):
    def fill(place):
        with open_archive(place / "archive") as archive:
            assert file_one(archive, add_player(archive), read_result_folder(golfer_folder)) == 1

    state.today = lambda: TODAY
    shutil.copytree(made_once("filed golfer", fill) / "archive", state.archive)
    return 1


def test_what_is_kept_is_filed_beside_the_first_result(coach, state, lesson) -> None:
    at = f"/filed/{lesson}/by-hand"
    assert coach.get(at).status_code == 200
    found = coach.get(f"{at}/found", headers=JSON).json()
    assert coach.get(found["views"][VIEW]["still"]["url"]).content.startswith(b"\xff\xd8")
    u, v = found["views"][VIEW]["found"]["points"]["right_shoulder"]
    placed = {"landmark": "right_shoulder", "point_px": [u + 15.0, v], "time_s": None}
    given = {VIEW: {**found["nothing"], "landmarks": [placed]}}
    assert "filed beside" in coach.post(f"{at}/keep", json={"given": given}, headers=JSON).json()["says"]
    with state.open_archive() as archive:
        first, newest = load_first_and_newest(archive, lesson)
        assert first == lesson < newest
        kept = open_lesson(archive, newest, today=TODAY).record.measures["spine_tilt"]
    assert kept.by_hand == ("right shoulder",)
    again = coach.get(f"{at}/found", headers=JSON).json()  # the one that counts is open now
    assert again["given"][VIEW]["landmarks"] == [placed]
    assert coach.get(f"{at}/strip/{VIEW}", headers=JSON).json() == []


def test_without_consent_nothing_is_shown_and_nothing_measured(coach, state, lesson) -> None:
    at = f"/filed/{lesson}/by-hand"
    assert coach.get(f"{at}/found", headers=JSON).status_code == 200
    with state.open_archive() as archive:
        withdraw_consent(archive, 1, scopes=["pictures"], on=TODAY)
    assert coach.get(f"{at}/found", headers=JSON).status_code == 403
    assert coach.get(f"{at}/stills/{VIEW}.jpg", headers=JSON).status_code == 403
    assert coach.post(f"{at}/measure", json={"given": {}}, headers=JSON).status_code == 403


@pytest.mark.parametrize("number", ["99", "x", "-1", "1e9", "９"])
def test_a_lesson_that_is_not_there_is_said(coach, lesson, number) -> None:
    answer = coach.get(f"/filed/{number}/by-hand/found", headers=JSON)
    assert answer.status_code == 404
    assert answer.json()["says"]
