"""Clips in buckets are read by the S3 protocol, from a server on the loopback address."""

import io
from datetime import timedelta

import pytest

from putt_posture.buckets import BucketFile, OpenBucket, is_bucket_url, list_bucket, open_bucket, read_bucket_url
from putt_posture.errors import BucketAway, UnreadableClip, UsageError

LONG = bytes(range(256)) * 20_000
"""5 MB: several pieces."""


def content_of(clip):
    target = io.BytesIO()
    clip.copy_to(target)
    return target.getvalue()


def test_a_clip_is_read_as_it_was_put(bucket_server, bucket):
    url = bucket_server.put(bucket, "12/side one.mov", LONG)
    clip = read_bucket_url(url).look()
    assert (clip.size, clip.name, str(clip)) == (len(LONG), "side one.mov", f"{bucket}/12/side one.mov")
    assert content_of(clip) == LONG


def test_what_a_bucket_says_of_a_content_changes_with_it_and_nothing_is_loaded_for_that(bucket_server, bucket):
    url = bucket_server.put(bucket, "side.mov", b"one")
    before = read_bucket_url(url).look()
    assert read_bucket_url(url).look().mark == before.mark
    bucket_server.put(bucket, "side.mov", b"two")
    assert read_bucket_url(url).look().mark != before.mark


def test_a_clip_that_was_changed_since_it_was_looked_at_is_refused(bucket_server, bucket):
    url = bucket_server.put(bucket, "side.mov", b"one")
    clip = read_bucket_url(url).look()
    bucket_server.put(bucket, "side.mov", b"two")
    with pytest.raises(UnreadableClip, match="was changed while the run went on"):
        content_of(clip)


def test_a_folder_is_listed_with_the_folders_in_it_and_without_its_neighbours(bucket_server, bucket):
    for path in ("saturday/12/a.mov", "saturday/b.mov", "saturday2/c.mov"):
        bucket_server.put(bucket, path, b"x")
    assert [clip.path for clip in list_bucket(f"{bucket}/saturday/")] == ["saturday/12/a.mov", "saturday/b.mov"]
    assert len(list_bucket(bucket)) == 3


@pytest.mark.parametrize(("size", "most"), [(10, 3), (10, 5), (10, 7), (10, 50), (0, 4)])
def test_the_ends_of_a_clip_are_at_their_places(bucket_server, bucket, size, most):
    content = bytes(range(1, size + 1))
    clip = read_bucket_url(bucket_server.put(bucket, "side.mov", content)).look()
    target = io.BytesIO()
    clip.copy_ends_to(target, most_bytes=most)
    found = target.getvalue()
    assert len(found) == size
    known = [place for place in range(size) if place < most or place >= size - most]
    assert all(found[place] == content[place] for place in known)
    assert all(found[place] == 0 for place in range(size) if place not in known)


def test_a_clip_that_is_not_there_is_named_in_one_sentence(bucket):
    with pytest.raises(UnreadableClip, match=r"none\.mov was not found in its bucket\. Check the address\."):
        read_bucket_url(f"{bucket}/none.mov").look()
    with pytest.raises(UnreadableClip, match="was not found"):
        content_of(read_bucket_url(f"{bucket}/none.mov"))


def test_wrong_keys_are_said_in_one_sentence_without_them(bucket_server, bucket, monkeypatch):
    url = bucket_server.put(bucket, "side.mov", b"one")
    monkeypatch.setenv("AWS_ACCESS_KEY_ID", "AKIAWRONG")
    monkeypatch.setenv("AWS_SECRET_ACCESS_KEY", "HIDDEN")
    monkeypatch.setattr("putt_posture.buckets._opened", open_bucket)
    bucket_server.check_keys(after=0)
    try:
        with pytest.raises(UnreadableClip, match="may not be read with these keys") as refused:
            content_of(read_bucket_url(url))
        with pytest.raises(UsageError, match="Check the address, the keys") as listed:
            list_bucket(bucket)
    finally:
        bucket_server.check_keys(after=10**9)
    for error in (refused, listed):
        assert "HIDDEN" not in str(error.value)
        assert "\n" not in str(error.value)


def test_a_bucket_that_does_not_answer_is_away(monkeypatch):
    """Nobody listens on that port; obstore is told not to try again."""
    import obstore
    from obstore.store import S3Store

    store = S3Store(
        "clips",
        endpoint="http://127.0.0.1:1",
        client_options={"allow_http": True},
        access_key_id="any",
        secret_access_key="any",
        region="us-east-1",
        retry_config={"max_retries": 0, "retry_timeout": timedelta(seconds=1)},
    )
    opened = OpenBucket(title="s3://clips", store=store, obstore=obstore, error=obstore.exceptions.BaseError)
    monkeypatch.setattr("putt_posture.buckets._opened", lambda _url: opened)
    with pytest.raises(BucketAway, match="s3://clips does not answer"):
        read_bucket_url("s3://clips/side.mov").look()


@pytest.mark.parametrize("url", ["://side.mov", "s3:///side.mov"])
def test_an_address_without_a_bucket_is_refused(url):
    with pytest.raises(UsageError, match="names no bucket"):
        read_bucket_url(url)


def test_a_bucket_of_an_unknown_kind_is_refused_in_one_sentence():
    with pytest.raises(UsageError, match="The bucket ftp://clips cannot be opened"):
        list_bucket("ftp://clips/saturday")


def test_a_path_of_this_disk_is_no_bucket(tmp_path):
    assert not is_bucket_url(tmp_path)
    assert read_bucket_url("file:///tmp/a.mov") == BucketFile(root="file:///", path="tmp/a.mov")
