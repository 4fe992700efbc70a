"""Encrypted backups and exports: what comes back is what went in, and only who has the key gets it."""

import errno
import io
import os
import stat
import zipfile

import pyrage
import pytest
from filed import NAME, TODAY
from test_full_disk import dump, files_of

from putt_posture.archive import back_up, check_archive, check_backup, export_student, open_archive, restore
from putt_posture.archive.files.file_store import FolderStore
from putt_posture.disk.sealing import OpeningKey, lock_for_keys, open_sealed
from putt_posture.errors import ArchiveError, OutputError, SealError, UsageError

ME = pyrage.x25519.Identity.generate()
LOCK = lock_for_keys([str(ME.to_public())])
KEY = OpeningKey(identities=(ME,))


def words_in(*tops):
    """Return which files hold something of the student in plain."""
    every = [path for top in tops for path in ([top] if top.is_file() else top.rglob("*")) if path.is_file()]
    return [path for path in every if any(word in path.read_bytes() for word in (b"Parker", b"parker", b"of first"))]


@pytest.mark.whole
@pytest.mark.usefixtures("lesson")
def test_an_encrypted_backup_brings_everything_back(archive, tmp_path, nowhere_else):
    out = tmp_path / "out" / "backup.age"
    made = back_up(archive, out, today=TODAY, lock=LOCK)
    assert os.listdir(out.parent) == [out.name]
    assert words_in(out) == []
    if os.name == "posix":
        assert stat.S_IMODE(out.stat().st_mode) == 0o600
    assert check_backup(out, key=KEY) == made
    restored = restore(out, **nowhere_else.where, key=KEY)
    assert restored == made
    with nowhere_else.open() as again:
        assert check_archive(again) == ()
        assert files_of(again) == files_of(archive)
        rows = dump(again)
    back_up(archive, tmp_path / "plain", today=TODAY)
    restore(tmp_path / "plain", archive=tmp_path / "plainly")
    with open_archive(tmp_path / "plainly") as plainly:
        assert rows == dump(plainly)


@pytest.mark.usefixtures("lesson")
def test_it_brings_back_what_a_plain_backup_does(archive, tmp_path):
    back_up(archive, tmp_path / "sealed", today=TODAY, lock=LOCK)
    back_up(archive, tmp_path / "plain", today=TODAY)
    with open_sealed(tmp_path / "sealed", KEY) as found, found.open("manifest.json") as stream:
        sealed = stream.read()
        assert len(found.names) == 2 + len(files_of(archive)) - len([n for n in files_of(archive) if len(n) != 64])
    assert sealed.split(b'"files"')[1] == (tmp_path / "plain" / "manifest.json").read_bytes().split(b'"files"')[1]


@pytest.mark.usefixtures("lesson")
def test_nothing_is_in_plain_on_any_disk_while_a_backup_is_made_or_brought_back(archive, tmp_path, monkeypatch):
    """Whatever is written meanwhile, in the archive's folder, beside the backup or in the temporary folder."""
    temporary = tmp_path / "temporary"
    temporary.mkdir()
    for name in ("TMPDIR", "TEMP", "TMP", "SQLITE_TMPDIR"):
        monkeypatch.setenv(name, str(temporary))
    monkeypatch.setattr("tempfile.tempdir", None)
    seen = []

    def look(self, digest, _open=FolderStore.open):
        seen.extend(words_in(temporary, tmp_path / "out"))
        return _open(self, digest)

    monkeypatch.setattr(FolderStore, "open", look)
    back_up(archive, tmp_path / "out" / "backup.age", today=TODAY, lock=LOCK)
    check_backup(tmp_path / "out" / "backup.age", key=KEY)
    assert seen == []
    assert os.listdir(temporary) == []


@pytest.mark.usefixtures("lesson")
def test_another_key_or_none_opens_no_backup_and_leaves_no_archive(archive, tmp_path, nowhere_else):
    out = tmp_path / "backup.age"
    back_up(archive, out, today=TODAY, lock=LOCK)
    other = OpeningKey(identities=(pyrage.x25519.Identity.generate(),))
    for key, error, says in ((other, SealError, "does not open with this key"), (None, UsageError, "--identity")):
        for use in (lambda key: check_backup(out, key=key), lambda key: restore(out, **nowhere_else.where, key=key)):
            with pytest.raises(error, match=says) as said:
                use(key)
            assert "\n" not in str(said.value)
    assert not nowhere_else.files.parent.exists()


def refusal(backup):
    try:
        check_backup(backup, key=KEY)
    except (SealError, ArchiveError, UsageError) as error:
        return str(error)
    return None


@pytest.mark.usefixtures("lesson")
def test_a_backup_that_was_altered_or_cut_off_is_refused_and_leaves_no_archive(archive, tmp_path, nowhere_else):
    out = tmp_path / "backup.age"
    back_up(archive, out, today=TODAY, lock=LOCK)
    whole = out.read_bytes()
    for place in (30, len(whole) // 5, len(whole) // 2, len(whole) * 4 // 5, len(whole) - 30):
        for data in (whole[:place], whole[:place] + bytes([whole[place] ^ 4]) + whole[place + 1 :]):
            out.write_bytes(data)
            says = refusal(out)
            if says is None:
                assert len(data) == len(whole)  # a sign that means nothing, in a date of an entry say
                continue
            assert "\n" not in says
            with pytest.raises((SealError, ArchiveError, UsageError)):
                restore(out, **nowhere_else.where, key=KEY)
            assert not nowhere_else.files.parent.exists()


@pytest.mark.usefixtures("lesson")
def test_parts_that_were_changed_about_are_refused(archive, tmp_path):
    """Whoever knows the public key can seal parts; whether they are those of the backup, their digests tell."""
    out, other = tmp_path / "backup.age", tmp_path / "other.age"
    back_up(archive, out, today=TODAY, lock=LOCK)
    with zipfile.ZipFile(out) as one, zipfile.ZipFile(other, "w") as two:
        names = [name for name in one.namelist() if name.startswith("files/")]
        swapped = dict(zip(names, names[1:] + names[:1], strict=True))
        for name in one.namelist():
            two.writestr(swapped.get(name, name), one.read(name))
    with pytest.raises(ArchiveError, match="missing or altered"):
        check_backup(other, key=KEY)


def test_a_file_that_is_there_is_not_replaced_and_the_archive_is_no_place_for_it(archive, tmp_path):
    out = tmp_path / "mine"
    out.write_bytes(b"mine")
    with pytest.raises(OutputError, match="already exists"):
        back_up(archive, out, today=TODAY, lock=LOCK)
    assert out.read_bytes() == b"mine"
    with pytest.raises(UsageError, match="is inside the archive"):
        back_up(archive, archive.files.folder / "backup.age", today=TODAY, lock=LOCK)
    with pytest.raises(UsageError, match="is not a backup"):
        check_backup(out, key=KEY)


@pytest.mark.whole
@pytest.mark.usefixtures("lesson")
def test_a_full_disk_or_an_altered_file_leaves_no_backup(archive, tmp_path, monkeypatch):
    def write(self, data, _write=zipfile._ZipWriteFile.write):
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    with monkeypatch.context() as patch:
        patch.setattr(zipfile._ZipWriteFile, "write", write)
        for act in (
            lambda: back_up(archive, tmp_path / "out" / "a", today=TODAY, lock=LOCK),
            lambda: export_student(archive, 1, tmp_path / "out" / "a", today=TODAY, lock=LOCK),
        ):
            with pytest.raises(OutputError, match="The disk is full"):
                act()
    digest = next(archive.files.digests())
    archive.files.path_of(digest).write_bytes(b"altered")
    with pytest.raises(ArchiveError, match="was altered"):
        back_up(archive, tmp_path / "out" / "a", today=TODAY, lock=LOCK)
    archive.files.path_of(digest).unlink()
    with pytest.raises(ArchiveError, match="cannot be read"):
        back_up(archive, tmp_path / "out" / "a", today=TODAY, lock=LOCK)
    assert not (tmp_path / "out").exists()


@pytest.mark.usefixtures("lesson")
def test_an_encrypted_export_holds_what_a_plain_one_does(archive, player, tmp_path):
    sealed = export_student(archive, player, tmp_path / "a.age", today=TODAY, lock=LOCK)
    plain = export_student(archive, player, tmp_path / "a.zip", today=TODAY)
    assert (sealed.rows, sealed.files) == (plain.rows, plain.files)
    assert words_in(tmp_path / "a.age") == []
    with open_sealed(tmp_path / "a.age", KEY) as found, found.open("export.zip") as stream:
        inner = zipfile.ZipFile(io.BytesIO(stream.read()))
    with zipfile.ZipFile(tmp_path / "a.zip") as outer:
        assert inner.testzip() is None
        assert inner.namelist() == outer.namelist()
        assert all(inner.read(name) == outer.read(name) for name in outer.namelist())
    if os.name == "posix":
        assert stat.S_IMODE((tmp_path / "a.age").stat().st_mode) == 0o600
    before = (tmp_path / "a.age").read_bytes()
    for replace, says in ((False, "already exists"), (True, "is no export that this program wrote")):
        with pytest.raises(OutputError, match=says):  # of what is encrypted nobody can tell what it is
            export_student(archive, player, tmp_path / "a.age", today=TODAY, lock=LOCK, replace=replace)
    assert (tmp_path / "a.age").read_bytes() == before


@pytest.mark.whole
@pytest.mark.usefixtures("lesson")
def test_an_archive_whose_backup_was_brought_back_is_opened_by_anybody_who_may(archive, tmp_path):
    back_up(archive, tmp_path / "a.age", today=TODAY, lock=LOCK)
    restore(tmp_path / "a.age", archive=tmp_path / "again", key=KEY)
    with open_archive(tmp_path / "again") as again:
        assert NAME in str(dump(again))
