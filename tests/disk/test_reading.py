"""Bytes from a path come from an ordinary file of a bearable size, or not at all."""

import os
import socket
from pathlib import Path

import pytest

from putt_posture.disk import reading
from putt_posture.disk.reading import is_there, read_inside, read_limited
from putt_posture.errors import UsageError

POSIX = pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="Windows has no pipes and sockets in folders")


@pytest.fixture(params=["by folder", "by path"])
def way(request, monkeypatch):
    """Both ways to walk into a folder: the second is that of Windows."""
    if request.param == "by path":
        monkeypatch.setattr(reading, "_BY_FOLDER", False)
    elif not reading._BY_FOLDER:
        pytest.skip("the system opens no name in a folder that is open")


def put(path: Path, kind: str) -> None:
    """Put something that is no ordinary file in a place."""
    if kind == "a pipe":
        os.mkfifo(path)
    elif kind == "a socket":
        with socket.socket(socket.AF_UNIX) as made:
            made.bind(os.path.relpath(path))
    elif kind == "a folder":
        path.mkdir()
    else:
        path.symlink_to("/dev/zero")


def test_a_file_is_read_whole(tmp_path, way):
    (tmp_path / "inner").mkdir()
    (tmp_path / "inner" / "file").write_bytes(b"all of it")
    assert read_limited(tmp_path / "inner" / "file", most_bytes=9, what="file") == b"all of it"
    assert read_inside(tmp_path, "inner/file", most_bytes=9, what="file") == b"all of it"


def test_a_file_that_is_too_large_is_not_read(tmp_path, way):
    (tmp_path / "file").write_bytes(b"1234567890")
    for read in (
        lambda: read_limited(tmp_path / "file", most_bytes=9, what="list"),
        lambda: read_inside(tmp_path, "file", most_bytes=9, what="list"),
    ):
        with pytest.raises(UsageError, match=r"^The list .*file has 10 bytes, and at most 9 are taken\."):
            read()


@POSIX
@pytest.mark.parametrize("kind", ["a pipe", "a socket", "a folder", "a device"])
def test_what_is_no_file_is_named_and_never_waited_for(tmp_path, kind, monkeypatch):
    monkeypatch.chdir(tmp_path)
    put(tmp_path / "odd", kind)
    with pytest.raises(UsageError, match=f"odd is {kind}, and an ordinary file was needed"):
        read_limited(tmp_path / "odd", most_bytes=9, what="settings file")


@POSIX
@pytest.mark.parametrize("kind", ["a pipe", "a socket", "a folder"])
def test_what_is_no_file_in_a_folder_is_named(tmp_path, kind, way, monkeypatch):
    monkeypatch.chdir(tmp_path)
    put(tmp_path / "odd", kind)
    assert is_there(tmp_path, "odd")
    with pytest.raises(UsageError, match=f"odd is {kind}, and an ordinary file was needed"):
        read_inside(tmp_path, "odd", most_bytes=9, what="file")


@pytest.mark.parametrize("to", ["beside", "outside", "nowhere"])
def test_a_link_in_a_folder_is_not_followed(tmp_path, way, to):
    folder = tmp_path / "folder"
    folder.mkdir()
    (folder / "beside").write_bytes(b"b")
    (tmp_path / "outside").write_bytes(b"o")
    (folder / "link").symlink_to(folder / to if to == "beside" else tmp_path / to)
    assert is_there(folder, "link")
    with pytest.raises(UsageError, match=r"link is a symbolic link, and an ordinary file was needed"):
        read_inside(folder, "link", most_bytes=9, what="file")


def test_a_linked_folder_in_a_folder_is_not_entered(tmp_path, way):
    (tmp_path / "private").mkdir()
    (tmp_path / "private" / "file").write_bytes(b"private")
    (tmp_path / "folder").mkdir()
    (tmp_path / "folder" / "stills").symlink_to(tmp_path / "private")
    with pytest.raises(UsageError, match=r"stills is a symbolic link, and a folder was needed"):
        read_inside(tmp_path / "folder", "stills/file", most_bytes=9, what="file")


def test_a_folder_that_somebody_named_may_be_a_link(tmp_path, way):
    (tmp_path / "folder").mkdir()
    (tmp_path / "folder" / "file").write_bytes(b"f")
    (tmp_path / "latest").symlink_to(tmp_path / "folder")
    assert read_inside(tmp_path / "latest", "file", most_bytes=9, what="file") == b"f"


@pytest.mark.parametrize("name", ["../file", "/etc/passwd", "inner/../../file", ""])
def test_a_name_that_leaves_the_folder_is_refused(tmp_path, name):
    with pytest.raises(UsageError, match="is not in"):
        read_inside(tmp_path, name, most_bytes=9, what="file")


@POSIX
def test_a_link_that_comes_after_the_look_is_not_followed(tmp_path, monkeypatch):
    """Somebody puts a link in the place of the file between the look and the opening."""
    (tmp_path / "secret").write_bytes(b"secret")
    (tmp_path / "file").write_bytes(b"file")
    opened = os.open

    def swap(path, flags, *args, **about):
        if path == "file":
            (tmp_path / "file").unlink()
            (tmp_path / "file").symlink_to(tmp_path / "secret")
        return opened(path, flags, *args, **about)

    monkeypatch.setattr(os, "open", swap)
    with pytest.raises(UsageError, match="cannot be read"):
        read_inside(tmp_path, "file", most_bytes=9, what="file")


@POSIX
def test_a_file_that_grows_after_the_look_is_read_no_further_than_the_limit(tmp_path, monkeypatch):
    (tmp_path / "file").write_bytes(b"1")
    looked = os.fstat

    def grow(number):
        found = looked(number)
        (tmp_path / "file").write_bytes(b"1" * 1000)
        return found

    monkeypatch.setattr(os, "fstat", grow)
    with pytest.raises(UsageError, match=r"has 10 bytes, and at most 9 are taken"):
        read_limited(tmp_path / "file", most_bytes=9, what="file")


def test_what_is_not_there_or_has_no_name_is_one_sentence(tmp_path, way):
    with pytest.raises(UsageError, match=r"^The file .*none is not there\. Check the path\.$"):
        read_inside(tmp_path, "none", most_bytes=9, what="file")
    with pytest.raises(UsageError, match="is not there"):
        read_limited(tmp_path / "none", most_bytes=9, what="file")
    with pytest.raises(UsageError, match="cannot be read"):
        read_limited("a\0b", most_bytes=9, what="file")
