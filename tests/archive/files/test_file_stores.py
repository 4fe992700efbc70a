"""One contract for the places where files lie: a folder, and a bucket by its own library's local stores."""

import hashlib
import io
import os
from pathlib import Path

import pytest
from filed import TODAY, add_player, file_one, make_clips, make_lesson_of

from putt_posture.archive import check_archive, erase_student, load_lessons, open_archive, open_lesson
from putt_posture.archive.files.bucket_store import BucketStore
from putt_posture.archive.files.file_store import FolderStore, is_digest, new_token
from putt_posture.errors import ArchiveError

WHOLE = b"a file of several chunks " * 100_000
"""2.5 MB: more than one chunk of the copy."""


def digest_of(content):
    return hashlib.sha256(content).hexdigest()


@pytest.fixture(params=["folder", "bucket in memory", "bucket on disk"])
def store(request, tmp_path):
    if request.param == "folder":
        return FolderStore(tmp_path / "files")
    if request.param == "bucket in memory":
        return BucketStore("memory:///")
    (tmp_path / "bucket").mkdir()
    return BucketStore(f"file://{tmp_path}/bucket")


def keep(store, content):
    with store.claim(token := new_token()):
        return store.put(io.BytesIO(content), digest_of(content), token=token)


@pytest.mark.parametrize("content", [b"", b"x", WHOLE], ids=["empty", "short", "long"])
def test_what_is_put_is_got(store, content):
    assert keep(store, content) == len(content)
    with store.open(digest_of(content)) as stream:
        assert stream.read() == content
    assert list(store.digests()) == [digest_of(content)]
    assert list(store.strays()) == []


def test_a_file_is_kept_once(store):
    assert keep(store, WHOLE) == keep(store, WHOLE) == len(WHOLE)
    assert list(store.digests()) == [digest_of(WHOLE)]


def test_digests_come_sorted(store):
    contents = [bytes([each]) * 9 for each in range(12)]
    for content in contents:
        keep(store, content)
    assert list(store.digests()) == sorted(map(digest_of, contents))


def test_content_of_another_digest_is_refused_and_not_kept(store):
    with store.claim(token := new_token()), pytest.raises(ArchiveError, match="changed while it was being filed"):
        store.put(io.BytesIO(b"something else"), digest_of(b"something"), token=token)
    assert list(store.digests()) == []
    assert list(store.strays()) == []
    assert list(store.tokens()) == []


def test_what_is_removed_is_gone_and_removing_it_again_does_nothing(store):
    keep(store, b"goes")
    keep(store, b"stays")
    for _ in range(2):
        store.remove(digest_of(b"goes"))
        assert list(store.digests()) == [digest_of(b"stays")]
    with pytest.raises(ArchiveError, match=digest_of(b"goes")[:12]):
        store.open(digest_of(b"goes"))


def test_a_token_is_live_as_long_as_it_is_claimed(store):
    token = new_token()
    assert not store.is_live(token)
    with store.claim(token):
        assert store.is_live(token)
        assert list(store.tokens()) == [token]
    assert not store.is_live(token)
    assert list(store.tokens()) == []


def test_a_token_is_free_again_after_an_error(store):
    token = new_token()
    with pytest.raises(RuntimeError), store.claim(token):
        raise RuntimeError
    assert not store.is_live(token)
    assert list(store.tokens()) == []


def test_clearing_an_unknown_token_does_nothing(store):
    keep(store, b"stays")
    store.clear(new_token())
    assert list(store.digests()) == [digest_of(b"stays")]


def test_a_stray_is_named(tmp_path):
    folder, bucket = FolderStore(tmp_path), BucketStore(f"file://{tmp_path}")
    (tmp_path / "ab").mkdir()
    (tmp_path / "ab" / "notes.txt").write_text("stray")
    assert list(folder.strays()) == ["ab/notes.txt"]
    assert list(bucket.strays()) == ["ab/notes.txt"]


def test_a_sign_in_a_bucket_that_is_older_than_a_day_counts_as_gone(tmp_path):
    """A bucket knows no locks."""
    store = BucketStore(f"file://{tmp_path}")
    (tmp_path / "live").mkdir()
    (tmp_path / "live" / "old").write_text("2020-01-01T00:00:00+00:00")
    assert list(store.tokens()) == ["old"]
    assert not store.is_live("old")
    store.clear("old")
    assert list(store.tokens()) == []


def test_a_bucket_that_cannot_be_is_one_sentence():
    with pytest.raises(ArchiveError, match="cannot be opened"):
        BucketStore("nonsense://bucket")


def test_a_folder_in_which_nothing_can_be_written_is_one_sentence(tmp_path):
    (tmp_path / "taken").write_text("a file")
    store = FolderStore(tmp_path / "taken")
    with pytest.raises(ArchiveError, match=r"cannot be written to .*Nothing was changed"):
        keep(store, b"x")


def test_a_file_is_on_the_disk_before_it_has_its_name(tmp_path, monkeypatch):
    """Forced to the disk, then renamed, then the folders forced: so that a power cut leaves no half file."""
    did = []
    fsync, replace = os.fsync, os.replace

    def kind(number):
        return "folder" if os.path.isdir(f"/proc/self/fd/{number}") else "file"

    monkeypatch.setattr(os, "fsync", lambda number: (did.append(f"force {kind(number)}"), fsync(number)))
    monkeypatch.setattr(os, "replace", lambda one, two: (did.append("rename"), replace(one, two)))
    keep(FolderStore(tmp_path), b"x")
    assert did == ["force file", "rename", "force folder", "force folder"]


def test_an_archive_keeps_its_files_in_a_bucket(stored, tmp_path):
    where = {"archive": tmp_path / "archive", "files": f"file://{tmp_path}/bucket"}
    (tmp_path / "bucket").mkdir()
    clips = make_clips(tmp_path / "clips", "bucket")
    with open_archive(**where) as archive:
        number = add_player(archive)
        lesson = file_one(archive, number, make_lesson_of(stored, tag="bucket", clips=clips), clips=clips)
    with open_archive(**where) as archive:
        assert open_lesson(archive, lesson, today=TODAY).read("clips/face_on.mov") == clips["face_on"].read_bytes()
        assert check_archive(archive) == ()
        assert len(load_lessons(archive, number)[0].names) == 7
        path = next(path for path in (tmp_path / "bucket").rglob("*") if is_digest(path.name))
        content = path.read_bytes()
        path.write_bytes(content + b"!")
        assert [each.kind for each in check_archive(archive)] == ["altered"]
        path.write_bytes(content)
        erase_student(archive, number, today=TODAY, reason="asked")
        assert [path for path in (tmp_path / "bucket").rglob("*") if path.is_file()] == []
    assert not Path(tmp_path / "archive" / "files").exists()
