"""What is sealed is opened by its key alone, whole or not at all."""

import io
import re
import threading
import zipfile
from pathlib import Path

import pyrage
import pytest

from putt_posture.disk.sealing import (
    OpeningKey,
    is_sealed,
    lock_for_keys,
    lock_with_passphrase,
    open_sealed,
    read_identities,
    read_passphrase,
    sealing,
)
from putt_posture.errors import SealError, UsageError

ME = pyrage.x25519.Identity.generate()
KEY = OpeningKey(identities=(ME,))
LARGE = bytes(range(256)) * 4000
PASSPHRASE = "correct horse battery"


def seal(path: Path, lock=None, **parts: bytes) -> Path:
    lock = lock or lock_for_keys([str(ME.to_public())])
    with path.open("wb") as out, sealing(out, lock, what="a test", how="Nothing is to do.") as sealed:
        for name, data in parts.items():
            with sealed.writing(name) as stream:
                for start in range(0, len(data), 5000):
                    stream.write(data[start : start + 5000])
        sealed.add("added", io.BytesIO(LARGE))
    return path


def test_what_was_sealed_is_read_again(tmp_path):
    path = seal(tmp_path / "a.age", empty=b"", small=b"x", large=LARGE)
    assert is_sealed(path)
    with open_sealed(path, KEY) as found:
        assert found.names == ("empty", "small", "large", "added")
        for name, data in (("empty", b""), ("small", b"x"), ("large", LARGE), ("added", LARGE)):
            with found.open(name) as stream:
                assert stream.read() == data
                assert stream.tell() == len(data)
        with found.open("large") as stream:
            assert stream.read(7) == LARGE[:7]
    assert threading.active_count() == 1


def test_nothing_of_it_can_be_read_from_outside(tmp_path):
    data = seal(tmp_path / "a.age", small=b"Parker Puttwell").read_bytes()
    assert b"Parker" not in data
    with zipfile.ZipFile(tmp_path / "a.age") as found:
        assert found.namelist() == ["HOW_TO_OPEN.txt", "small.age", "added.age"]
        assert {info.date_time for info in found.infolist()} == {(1980, 1, 1, 0, 0, 0)}
        assert "no one can open this file" in found.read("HOW_TO_OPEN.txt").decode()
        assert found.read("small.age").startswith(b"age-encryption.org/v1\n")


def test_a_part_is_an_age_file_as_any_age_program_takes_it(tmp_path):
    with zipfile.ZipFile(seal(tmp_path / "a.age", small=b"x")) as found:
        assert pyrage.decrypt(found.read("small.age"), [ME]) == b"x"


def test_a_passphrase_opens_what_it_sealed_and_another_does_not(tmp_path):
    path = seal(tmp_path / "a.age", lock_with_passphrase(PASSPHRASE), small=b"x")
    with open_sealed(path, OpeningKey(ask_passphrase=lambda: PASSPHRASE)) as found, found.open("small") as stream:
        assert stream.read() == b"x"
    with (
        pytest.raises(SealError, match=r"does not open with this passphrase.*is lost, no one can open") as said,
        open_sealed(path, OpeningKey(ask_passphrase=lambda: PASSPHRASE + "s")),
    ):
        pass
    assert "\n" not in str(said.value)
    with pytest.raises(UsageError, match="Give it with --passphrase-file"), open_sealed(path, KEY):
        pass


@pytest.mark.whole
def test_a_passphrase_opens_it_in_any_age_program(tmp_path):
    """Each passphrase takes seconds of work by design; what the key does is shown quickly above."""
    path = seal(tmp_path / "a.age", lock_with_passphrase(PASSPHRASE), small=b"x")
    with zipfile.ZipFile(path) as zipped:
        key = pyrage.passphrase.decrypt(zipped.read("key.age"), PASSPHRASE).decode().strip()
        assert pyrage.decrypt(zipped.read("small.age"), [pyrage.x25519.Identity.from_str(key)]) == b"x"


def test_another_key_does_not_open_it(tmp_path):
    path = seal(tmp_path / "a.age", small=b"x")
    other = OpeningKey(identities=(pyrage.x25519.Identity.generate(),))
    with open_sealed(path, other) as found, found.open("small") as stream, pytest.raises(SealError, match="this key"):
        stream.read()
    with pytest.raises(UsageError, match="--identity"), open_sealed(path, OpeningKey()):
        pass


def test_whoever_has_one_of_several_keys_opens_it(tmp_path):
    other = pyrage.x25519.Identity.generate()
    path = seal(tmp_path / "a.age", lock_for_keys([str(other.to_public()), str(ME.to_public())]), small=b"x")
    for key in (ME, other):
        with open_sealed(path, OpeningKey(identities=(key,))) as found, found.open("small") as stream:
            assert stream.read() == b"x"


def read_all(path):
    """Read both parts, of which nothing is given out that was not sealed; return what was said against it."""
    try:
        with open_sealed(path, KEY) as found:
            for name in ("large", "added"):
                with found.open(name) as stream:
                    assert stream.read() == LARGE
    except SealError as error:
        return str(error)
    return None


@pytest.mark.parametrize("where", [0.02, 0.3, 0.6, 0.97])
def test_what_was_altered_or_cut_off_is_one_sentence(tmp_path, where):
    path = seal(tmp_path / "a.age", large=LARGE)
    whole = path.read_bytes()
    place = int(len(whole) * where)
    for data in (whole[:place], whole[:place] + bytes([whole[place] ^ 1]) + whole[place + 1 :]):
        path.write_bytes(data)
        said = read_all(path)
        assert said is None or re.search("damaged, cut off or altered|holds no", said)
        assert "\n" not in (said or "")
    assert threading.active_count() == 1


def write_half(it):
    with it.writing("stopped") as stream:
        stream.write(LARGE)
        raise KeyError("mine")


def test_an_error_of_who_writes_comes_through_and_of_who_is_read(tmp_path):
    class Broken(io.RawIOBase):
        def read(self, _size=-1):
            raise OSError(28, "No space left on device")

    with (tmp_path / "a").open("wb") as out, sealing(out, lock_for_keys([str(ME.to_public())]), what="", how="") as it:
        with pytest.raises(OSError, match="No space left"):
            it.add("broken", Broken())
        with pytest.raises(KeyError, match="mine"):
            write_half(it)
    assert threading.active_count() == 1


def test_a_full_disk_comes_through_to_who_writes():
    class Full(io.BytesIO):
        def write(self, data):
            if self.tell() > 300_000:
                raise OSError(28, "No space left on device")
            return super().write(data)

    def write():
        with sealing(Full(), lock_for_keys([str(ME.to_public())]), what="", how="") as it, it.writing("a") as stream:
            for _ in range(100):
                stream.write(LARGE)

    with pytest.raises(OSError, match="No space left"):
        write()
    assert threading.active_count() == 1


@pytest.mark.parametrize("key", ["age1xyz", "", "ssh-rsa AAAA", None], ids=str)
def test_what_is_no_public_key_is_one_sentence_that_tells_no_secret(key):
    with pytest.raises(UsageError, match="not a public key") as said:
        lock_for_keys([str(ME) if key is None else key])
    assert str(ME) not in str(said.value)


def test_a_short_passphrase_is_refused_and_not_told():
    with pytest.raises(UsageError, match="8 are needed") as said:
        lock_with_passphrase("hunter2")
    assert "hunter2" not in str(said.value)
    assert "correct" not in repr(lock_with_passphrase(PASSPHRASE))


def test_keys_and_passphrases_are_read_from_files(tmp_path):
    path = tmp_path / "key.txt"
    path.write_text(f"# created: today\n# public key: {ME.to_public()}\n{ME}\n")
    assert [str(each) for each in read_identities(path)] == [str(ME)]
    path.write_text("correct horse\nand more")
    assert read_passphrase(path) == "correct horse"
    with pytest.raises(UsageError, match="no secret key") as said:
        read_identities(path)
    assert "horse" not in str(said.value)
    for content in (b"", b"\n", b"\xff\xfe"):
        path.write_bytes(content)
        with pytest.raises(UsageError):
            read_passphrase(path)
    with pytest.raises(UsageError, match="cannot be read"):
        read_passphrase(tmp_path / "missing")
