"""What is private is its owner's alone, whatever the mask says."""

import os
import stat

import pytest

from putt_posture.disk.reading import close_to_others, make_private_file, make_private_folder, open_privately

pytestmark = pytest.mark.skipif(os.name != "posix", reason="rights of others are a matter of POSIX")


@pytest.fixture(params=[0o000, 0o022, 0o077, 0o277], ids=oct)
def mask(request):
    before = os.umask(request.param)
    yield request.param
    os.umask(before)


def mode(path):
    return stat.S_IMODE(path.lstat().st_mode)


@pytest.mark.usefixtures("mask")
def test_new_folders_and_files_are_the_owners_alone(tmp_path):
    make_private_folder(tmp_path / "a" / "b" / "c")
    make_private_folder(tmp_path / "a" / "b" / "c")
    make_private_file(tmp_path / "a" / "empty")
    with open(tmp_path / "a" / "text", "wb", opener=open_privately) as stream:
        stream.write(b"x")
    assert [mode(tmp_path / each) for each in ("a", "a/b", "a/b/c")] == [0o700] * 3
    assert [mode(tmp_path / each) for each in ("a/empty", "a/text")] == [0o600] * 2
    assert (tmp_path / "a" / "text").read_bytes() == b"x"


def test_a_file_that_is_there_stays(tmp_path):
    path = tmp_path / "here"
    path.write_bytes(b"mine")
    path.chmod(0o640)
    make_private_file(path)
    assert path.read_bytes() == b"mine"
    assert mode(path) == 0o640


def test_nothing_is_written_through_a_link(tmp_path):
    (tmp_path / "other").write_bytes(b"mine")
    (tmp_path / "link").symlink_to(tmp_path / "other")
    with pytest.raises(OSError, match="symbolic links"):
        open_privately(str(tmp_path / "link"), os.O_WRONLY | os.O_TRUNC)
    assert (tmp_path / "other").read_bytes() == b"mine"
    assert not close_to_others(tmp_path / "link")


@pytest.mark.parametrize(
    ("was", "now"), [(0o644, 0o600), (0o755, 0o700), (0o666, 0o600), (0o440, 0o400), (0o604, 0o600)]
)
def test_others_lose_their_rights_and_the_owner_none(tmp_path, was, now):
    path = tmp_path / "loose"
    path.write_bytes(b"")
    path.chmod(was)
    assert close_to_others(path)
    assert mode(path) == now
    assert not close_to_others(path)
    assert not close_to_others(tmp_path / "missing")


def test_a_file_in_the_place_of_a_folder_is_an_error(tmp_path):
    (tmp_path / "a").write_bytes(b"")
    with pytest.raises(FileExistsError):
        make_private_folder(tmp_path / "a")
