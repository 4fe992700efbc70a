"""A draft that was put right by hand, and is measured again from its clips."""

import hashlib
import shutil
from datetime import UTC, datetime

import pytest
from attrs import evolve
from drafted import at
from reading import text_of

from putt_posture.server.drafts import AboutClip
from putt_posture.server.measuring import find_outcome, prepare
from putt_posture.values import Student

VIEW = "down_the_line"


@pytest.fixture
def draft(state, golfer_folder, golfer_stills):
    """A lesson at hand that was measured."""
    begun = state.drafts.begin(Student(stature_cm=175.0, handed="right", sex="male"), now=datetime.now(UTC))
    about = {}
    for view, still in golfer_stills.items():
        shutil.copy(still, state.drafts.clips_folder(begun.id) / f"{view}.jpg")
        about[view] = AboutClip(name=f"Kim {view}.jpg", sha256=hashlib.sha256(still.read_bytes()).hexdigest())
    shutil.copytree(golfer_folder, state.drafts.result_folder(begun.id))
    return state.drafts.change(begun.id, clips={view: f"{view}.jpg" for view in golfer_stills}, about=about)


def test_points_that_were_dragged_are_measured_with_again_until_the_clip_is_another(state, coach, draft) -> None:
    assert "landmark_at" not in prepare(state, draft, archive=None).lesson.given
    address = at(draft, "/by-hand")
    found = coach.get(f"{address}/found").json()
    u, v = found["views"][VIEW]["found"]["points"]["right_shoulder"]
    placed = {"landmark": "right_shoulder", "point_px": [u + 15, v], "time_s": None}
    sent = {"given": {VIEW: {**found["nothing"], "landmarks": [placed]}}}
    assert coach.post(f"{address}/keep", json=sent, headers={"accept": "application/json"}).status_code == 200

    job = prepare(state, draft, archive=None).lesson
    assert job.given["landmark_at"] == {VIEW: (("right_shoulder", (u + 15, v)),)}
    assert job.names == {view: f"Kim {view}.jpg" for view in draft.clips}
    assert "by hand" not in text_of(coach.get(at(draft, "/input"))).replace("By hand", "")

    other = evolve(draft.about[VIEW], sha256="0" * 64)
    draft = state.drafts.change(draft.id, about={**draft.about, VIEW: other})
    assert "landmark_at" not in prepare(state, draft, archive=None).lesson.given
    says = text_of(coach.get(at(draft, "/input")))
    assert (
        "Down the line: the clip is another than the one that was measured, so what was by hand will not be used: "
        "right shoulder."
    ) in says


def test_a_damaged_result_does_not_keep_its_clips_from_being_measured(state, coach, draft) -> None:
    (state.drafts.result_folder(draft.id) / "landmarks.npz").write_bytes(b"no arrays")
    assert find_outcome(state, draft).has_result
    assert "landmark_at" not in prepare(state, draft, archive=None).lesson.given
    assert coach.get(at(draft, "/input")).status_code == 200
