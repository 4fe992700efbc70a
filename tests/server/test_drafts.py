"""Lessons that are being made, on the disk."""

import json
import os
import subprocess
import sys
import threading
from datetime import datetime, timedelta

import pytest

from putt_posture.errors import OutputError, UsageError
from putt_posture.server.drafts import AboutClip, DraftStore
from putt_posture.values import Interview, Student

NOW = datetime(2026, 11, 27, 9, 30)
STUDENT = Student(stature_cm=178.0, handed="right", name="Kim", putter_length_cm=86.4)


@pytest.fixture
def store(tmp_path):
    return DraftStore(tmp_path / "drafts")


def test_what_is_known_of_a_draft_is_read_back(store):
    interview = Interview(misses="left", weak_putts="short", notes="née Núñez")
    draft = store.begin(STUDENT, now=NOW, student=3, moment="after", interview=interview, step="hips")
    assert store.load(draft.id) == draft
    changed = store.change(draft.id, clips={"face_on": "a.mov"}, about={"face_on": AboutClip(name="A", sha256="0")})
    assert DraftStore(store.folder).load(draft.id) == changed
    assert changed.interview == interview


def test_a_draft_is_for_its_owner_alone(store):
    draft = store.begin(STUDENT, now=NOW)
    store.change(draft.id, student=4)
    for each in (store.folder, *store.folder.rglob("*")):
        if each.name != "draft.lock":  # an empty file
            assert each.stat().st_mode & 0o077 == 0, each


def test_a_folder_that_others_may_look_into_is_shut(tmp_path):
    (tmp_path / "drafts").mkdir(mode=0o755)
    DraftStore(tmp_path / "drafts").begin(STUDENT, now=NOW)
    assert (tmp_path / "drafts").stat().st_mode & 0o077 == 0


def test_requests_that_change_a_draft_at_once_lose_nothing_of_each_other(store):
    draft = store.begin(STUDENT, now=NOW)
    changes = [{"clips": {"face_on": "a"}}, {"clips": {"down_the_line": "b"}}, {"student": 7}, {"step": "hips"}]
    threads = [threading.Thread(target=store.change, args=(draft.id,), kwargs=each) for each in changes]
    for each in threads:
        each.start()
    for each in threads:
        each.join()
    found = store.load(draft.id)
    assert found.clips == {"face_on": "a", "down_the_line": "b"}
    assert (found.student, found.step) == (7, "hips")


@pytest.mark.parametrize("act", ["begin", "change", "erase"])
def test_a_draft_that_is_killed_at_any_write_is_whole_or_not_there(store, tmp_path, act):
    """The process ends without any chance to clean up, at each call that changes the disk, one after the other."""
    script = """
import os, sys
from datetime import datetime
from pathlib import Path
from putt_posture.server.drafts import DraftStore
from putt_posture.values import Student
folder, act, last, draft = Path(sys.argv[1]), sys.argv[2], int(sys.argv[3]), sys.argv[4]
count = 0
def counted(name, module=os):
    call = getattr(module, name)
    def count_call(*given, **more):
        global count
        count += 1
        if count > last:
            os._exit(77)
        return call(*given, **more)
    setattr(module, name, count_call)
for name in ("mkdir", "rename", "replace", "fsync", "unlink", "rmdir", "chmod"):
    counted(name)
store, who = DraftStore(folder), Student(stature_cm=178.0, handed="right", name="Kim")
if act == "begin":
    store.begin(who, now=datetime(2026, 11, 27), student=9)
elif act == "change":
    store.change(draft, student=9)
else:
    store.erase(draft)
"""
    killed = 0
    for last in range(0, 60, 4):
        draft = store.begin(STUDENT, now=NOW)
        given = [sys.executable, "-c", script, str(store.folder), act, str(last), draft.id]
        code = subprocess.run(given, check=False, env={**os.environ, "XDG_STATE_HOME": str(tmp_path / "s")}).returncode
        killed += code == 77
        found = {each.id: each for each in store.list()}
        if act == "begin":
            assert all(each.who.name == "Kim" for each in found.values())
            assert len(found) <= 2
        elif act == "change":
            assert found[draft.id].student in (None, 9)
        else:
            assert found.get(draft.id) in (None, draft)
        store.settle()
        left = {each.name for each in store.folder.iterdir()}
        assert left == {each.id for each in store.list()}
        for id in left:
            assert not list((store.folder / id).glob(".putt-posture*"))
            store.erase(id)
        if code == 0:
            break
    assert code == 0
    assert killed >= 1


def test_old_drafts_are_erased_and_told(store):
    old, fresh = store.begin(STUDENT, now=NOW), store.begin(STUDENT, now=NOW)
    long_ago = datetime.now() - timedelta(days=31)
    os.utime(store.folder / old.id / "draft.json", (long_ago.timestamp(),) * 2)
    says = store.erase_old(now=datetime.now(), days=30)
    assert says == (f"A lesson that was not filed, last changed on {long_ago.date()}, was erased after 30 days.",)
    assert [each.id for each in store.list()] == [fresh.id]
    assert not (store.folder / old.id).exists()
    assert store.erase_old(now=datetime.now(), days=30) == ()


def test_a_damaged_draft_is_told_and_hides_no_other(store):
    good, damaged = store.begin(STUDENT, now=NOW), store.begin(STUDENT, now=NOW)
    for content in ("", "{", "[]", '{"version": 1}', '{"version": 1, "draft": {"id": 3}}', "[" * 100_000):
        (store.folder / damaged.id / "draft.json").write_text(content)
        with pytest.raises(UsageError, match="damaged"):
            store.load(damaged.id)
        assert store.list() == [good]


def test_a_draft_of_a_newer_version_is_left_alone(store):
    draft = store.begin(STUDENT, now=NOW)
    path = store.folder / draft.id / "draft.json"
    path.write_text(json.dumps({**json.loads(path.read_text()), "version": 99}))
    with pytest.raises(UsageError, match="newer version"):
        store.load(draft.id)
    with pytest.raises(UsageError, match="newer version"):
        store.change(draft.id, student=1)


@pytest.mark.parametrize("id", ["", "..", "../../etc", "0" * 15, "0" * 17, "G" * 16, "0" * 15 + "/", "0" * 15 + "\n"])
def test_a_name_that_is_no_draft_reaches_nothing(store, id):
    store.begin(STUDENT, now=NOW)
    for act in (store.load, store.erase, store.clips_folder, store.result_folder, store.uploads_folder):
        with pytest.raises(UsageError, match="not here any more"):
            act(id)


def test_a_draft_that_is_gone_cannot_be_changed(store):
    draft = store.begin(STUDENT, now=NOW)
    store.erase(draft.id)
    with pytest.raises(UsageError, match="not here any more"):
        store.change(draft.id, student=1)
    with pytest.raises(UsageError, match="not here any more"):
        store.save(draft)
    assert list(store.folder.iterdir()) == []


def test_drafts_are_not_put_where_they_cannot_be_written(tmp_path):
    (tmp_path / "drafts").write_text("a file")
    with pytest.raises(OutputError, match="cannot be kept in"):
        DraftStore(tmp_path / "drafts").begin(STUDENT, now=NOW)
