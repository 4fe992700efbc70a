"""Points dragged on the page: what it is sent, what it sends, and what is kept."""

import shutil
from datetime import UTC, datetime

import pytest
from starlette.testclient import TestClient

from putt_posture.records import read_result_folder
from putt_posture.server.access import Session
from putt_posture.server.app import create_app
from putt_posture.values import Student

JSON = {"accept": "application/json"}
VIEW = "down_the_line"


@pytest.fixture
def draft(state, golfer_folder, golfer_stills):
    """A lesson at hand that was measured."""
    begun = state.drafts.begin(Student(stature_cm=175.0, handed="right", sex="male"), now=datetime.now(UTC))
    for view, still in golfer_stills.items():
        shutil.copy(still, state.drafts.clips_folder(begun.id) / f"{view}.jpg")
    shutil.copytree(golfer_folder, state.drafts.result_folder(begun.id))
    return state.drafts.change(begun.id, clips={view: f"{view}.jpg" for view in golfer_stills})


@pytest.fixture
def at(draft):
    return f"/lessons/{draft.id}/by-hand"


@pytest.fixture
def found(coach, at):
    return coach.get(f"{at}/found", headers=JSON).json()


def row(answer, name):
    return next(each for each in answer["rows"] if each["name"] == name)


def shoulder_moved(found, by, *, down=0.0):
    u, v = found["views"][VIEW]["found"]["points"]["right_shoulder"]
    placed = {"landmark": "right_shoulder", "point_px": [u + by, v + down], "time_s": None}
    return {VIEW: {**found["nothing"], "landmarks": [placed]}}


def send(coach, at, what, given):
    return coach.post(f"{at}/{what}", json={"given": given}, headers=JSON)


def test_the_page_is_there_with_its_scripts_and_both_views(coach, at) -> None:
    page = coach.get(at)
    assert page.status_code == 200
    assert "Down the line" in page.text
    for part in ("page.js", "drawing.js", "items.js", "by_hand.css"):
        assert coach.get(f"/static/by_hand/{part}").status_code == 200


def test_what_was_found_is_sent_with_the_stills(coach, at, found) -> None:
    view = found["views"][VIEW]
    assert view["size"] == [540, 960]
    assert set(view["found"]["points"]) == set(view["names"])
    assert (view["parts"]["left_index"], view["parts"]["left_foot_index"]) == ("arms", "legs")
    assert view["names"]["left_foot_index"] == "left toe"
    assert all(point is None or len(point) == 2 for point in view["found"]["points"].values())
    picture = coach.get(view["still"]["url"])
    assert picture.headers["content-type"] == "image/jpeg"
    assert picture.content.startswith(b"\xff\xd8")
    left, top, right, bottom = view["still"]["box"]
    assert right - left > 100
    assert bottom - top > 100
    assert row(found["now"], "spine_tilt")["by_hand"] is False
    assert found["now"]["ghost"]["outlines"]


def test_a_moved_point_moves_numbers_findings_and_ghost(coach, at, found) -> None:
    answer = send(coach, at, "measure", shoulder_moved(found, 15.0)).json()
    tilt = row(answer, "spine_tilt")
    assert tilt["by_hand"]
    assert abs(tilt["value"] - tilt["found_value"]) > 0.5
    assert tilt["now"] != tilt["found"]
    assert row(answer, "shoulder_level")["now"] == row(answer, "shoulder_level")["found"]
    assert answer["ghost"] != found["now"]["ghost"]
    moved = answer["views"][VIEW]["points"]["right_shoulder"][0]
    assert moved == pytest.approx(found["views"][VIEW]["found"]["points"]["right_shoulder"][0] + 15.0, abs=0.01)


def test_back_as_found_gives_the_numbers_as_found(coach, at, found) -> None:
    send(coach, at, "measure", shoulder_moved(found, 15.0))
    assert send(coach, at, "measure", {}).json() == found["now"]


def test_points_that_make_no_address_are_said_and_the_page_goes_on(coach, at, found) -> None:
    answer = send(coach, at, "measure", shoulder_moved(found, 0.0, down=200.0))
    assert answer.status_code == 400
    assert "hands are as high as the chest" in answer.json()["says"]
    assert send(coach, at, "measure", {}).status_code == 200


@pytest.mark.parametrize(
    "body",
    [
        b"", b"[]", b"{}", b'{"given": 3}', b'{"given": {"behind": {}}}',
        b'{"given": {"down_the_line": {"ball_px": "x"}}}', b'{"given": {"down_the_line": {"ball_px": [NaN, 2]}}}',
        b'{"given": {"down_the_line": {"ball_px": [1e999, 2]}}}',
        b'{"given": {"down_the_line": {"landmarks": [{"landmark": "tail", "point_px": [1, 2]}]}}}',
        b'{"given": {"down_the_line": {"landmarks": [{"landmark": "left_hip", "point_px": [-9, 2]}]}}}',
        b'{"given": {"down_the_line": {"back_px": [[1, 2]]}}}', b"[" * 5000, b"x" * 200_000,
    ],
    ids=range(13),
)  # fmt: skip
def test_what_is_no_correction_is_refused_in_one_sentence(coach, at, body) -> None:
    answer = coach.post(f"{at}/measure", content=body, headers=JSON)
    assert answer.status_code == 400
    assert answer.json()["says"].endswith((".", "!"))
    assert "Traceback" not in answer.text


def test_what_is_kept_is_in_the_result_with_the_automatic_value_beside(coach, at, found, state, draft) -> None:
    given = shoulder_moved(found, 15.0)
    assert send(coach, at, "keep", given).status_code == 200
    kept = read_result_folder(state.drafts.result_folder(draft.id)).record.measures["spine_tilt"]
    assert kept.by_hand == ("right shoulder",)
    again = coach.get(f"{at}/found", headers=JSON).json()
    assert again["given"][VIEW]["landmarks"] == given[VIEW]["landmarks"]
    assert row(again["now"], "spine_tilt")["by_hand"]
    assert row(again["now"], "spine_tilt")["found"] == row(found["now"], "spine_tilt")["found"]


def test_a_lesson_that_was_not_measured_says_so(coach, state) -> None:
    bare = state.drafts.begin(Student(stature_cm=175.0, handed="right"), now=datetime.now(UTC))
    answer = coach.get(f"/lessons/{bare.id}/by-hand/found", headers=JSON)
    assert answer.status_code == 400
    assert "not measured yet" in answer.json()["says"]


def test_a_phone_moves_no_points(state, draft, at) -> None:
    phone = TestClient(create_app(state), base_url=f"http://{next(iter(state.hosts))}", headers={"origin": ""})
    phone.headers["origin"] = f"http://{next(iter(state.hosts))}"
    phone.get("/enter", params={"code": state.access.give_code(Session(role="phone", draft=draft.id))})
    assert phone.get(f"{at}/found", headers=JSON).status_code == 403
    assert send(phone, at, "measure", {}).status_code == 403


def test_lengths_are_shown_in_the_unit_of_the_coach(coach, at, state) -> None:
    state.units = "inches"
    answer = send(coach, at, "measure", {}).json()
    assert "in" in row(answer, "hand_height")["now"]
    assert "cm" not in row(answer, "hand_height")["now"]
