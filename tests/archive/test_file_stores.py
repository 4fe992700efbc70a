"""Every place for files keeps the same promises."""

import hashlib
import io

import pytest

from putt_posture.archive.bucket_store import BucketStore
from putt_posture.archive.file_store import FolderStore, new_token
from putt_posture.errors import ArchiveError

CONTENT = b"a clip" * 1000
DIGEST = hashlib.sha256(CONTENT).hexdigest()


@pytest.fixture(params=["folder", "bucket"])
def store(request, tmp_path):
    if request.param == "folder":
        return FolderStore(tmp_path / "files")
    (tmp_path / "bucket").mkdir()
    return BucketStore(f"file://{tmp_path / 'bucket'}")


def put(store, content=CONTENT, digest=DIGEST):
    return store.put(io.BytesIO(content), digest, token=new_token())


def test_a_file_comes_back_as_it_was(store):
    assert put(store) == len(CONTENT)
    with store.open(DIGEST) as stream:
        assert stream.read() == CONTENT


def test_a_file_is_kept_once(store):
    put(store)
    put(store)
    assert list(store.digests()) == [DIGEST]


def test_a_file_that_changed_meanwhile_is_refused_and_not_kept(store):
    with pytest.raises(ArchiveError, match="changed while it was being filed"):
        put(store, b"another clip")
    assert list(store.digests()) == []


def test_a_removed_file_is_gone_and_may_be_removed_again(store):
    put(store)
    store.remove(DIGEST)
    store.remove(DIGEST)
    assert list(store.digests()) == []
    with pytest.raises(ArchiveError):
        store.open(DIGEST)


def test_a_token_is_live_while_it_is_claimed_and_not_after(store):
    token = new_token()
    assert not store.is_live(token)
    with store.claim(token):
        assert store.is_live(token)
        assert list(store.tokens()) == [token]
    assert not store.is_live(token)
    assert list(store.tokens()) == []


def test_an_empty_store_holds_nothing(store):
    assert list(store.digests()) == []
    assert list(store.tokens()) == []
