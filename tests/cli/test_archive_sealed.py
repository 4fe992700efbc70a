"""Encryption from the command line: a passphrase that is never shown, and keys."""

import sys

import pyrage
import pytest
from academy import Terminal, contents_of

from putt_posture.cli import main
from putt_posture.disk.sealing import OpeningKey, open_sealed

PASSPHRASE = "correct horse battery"


@pytest.fixture
def passphrase_file(tmp_path):
    path = tmp_path / "passphrase"
    path.write_text(f"{PASSPHRASE}\n")
    return path


@pytest.fixture
def key(tmp_path):
    """The public key, and the file of the secret one."""
    mine = pyrage.x25519.Identity.generate()
    path = tmp_path / "key.txt"
    path.write_text(f"# public key: {mine.to_public()}\n{mine}\n")
    return str(mine.to_public()), path


@pytest.mark.parametrize("by", ["key", pytest.param("passphrase", marks=pytest.mark.whole)])
def test_an_archive_goes_into_an_encrypted_file_and_comes_back(
    by, academy, archive, passphrase_file, key, tmp_path
) -> None:
    out = tmp_path / "backup.age"
    to_seal = {"key": ("--for", key[0]), "passphrase": ("--passphrase-file", passphrase_file)}[by]
    to_open = {"key": ("--identity", key[1]), "passphrase": ("--passphrase-file", passphrase_file)}[by]
    said = archive("backup", out, "--encrypt", *to_seal)
    assert "If the passphrase or the key is lost, no one can open it" in " ".join(said.split())
    assert PASSPHRASE not in said
    assert b"Robin" not in out.read_bytes()
    assert "is complete" in archive("restore", out, "--only-check", *to_open)
    assert "Restored" in archive("restore", out, *to_open, "--archive", tmp_path / "again")
    assert contents_of(tmp_path / "again").count("[red]Example") == contents_of(academy).count("[red]Example")


@pytest.mark.whole
@pytest.mark.usefixtures("academy")
def test_another_passphrase_is_one_sentence_that_says_what_is_lost(archive, refused, passphrase_file, tmp_path) -> None:
    out = tmp_path / "backup.age"
    archive("backup", out, "--encrypt", "--passphrase-file", passphrase_file)
    passphrase_file.write_text("correct horse batteries")
    for more in (["--only-check"], ["--archive", tmp_path / "again"]):
        said = refused("archive", "restore", out, "--passphrase-file", passphrase_file, *more, code=1)
        assert "does not open with this passphrase" in said
        assert "is lost, no one can open this file" in said
        assert "batteries" not in said
    assert not (tmp_path / "again").exists()


@pytest.mark.usefixtures("academy")
def test_an_export_is_encrypted_for_whoever_is_to_have_it(archive, refused, key, tmp_path) -> None:
    public, secret = key
    out = tmp_path / "robin.age"
    said = archive("export", 1, "--out", out, "--without-clips", "--encrypt", "--for", public)
    assert "It is encrypted." in said
    assert b"Robin" not in out.read_bytes()
    identity = pyrage.x25519.Identity.from_str(secret.read_text().splitlines()[-1])
    with open_sealed(out, OpeningKey(identities=(identity,))) as found:
        assert found.names == ("export.zip",)
    said = refused("archive", "restore", out, "--identity", secret, "--only-check", code=2)
    assert "is encrypted, but not a backup" in said
    assert "--identity" in refused("archive", "restore", out, "--only-check", code=2)


@pytest.mark.usefixtures("academy")
def test_options_that_do_not_go_together_are_one_sentence(refused, key, passphrase_file, tmp_path) -> None:
    out = tmp_path / "out.age"
    both = ("--for", key[0], "--passphrase-file", passphrase_file)
    assert "go with --encrypt" in refused("archive", "backup", out, "--for", key[0], code=2)
    assert "go with --encrypt" in refused("archive", "backup", out, "--passphrase-file", passphrase_file, code=2)
    assert "not both" in refused("archive", "backup", out, "--encrypt", *both, code=2)
    assert "not a public key" in refused("archive", "backup", out, "--encrypt", "--for", "age1nobody", code=2)
    assert "no terminal to ask on" in refused("archive", "backup", out, "--encrypt", code=2)
    passphrase_file.write_text("short")
    said = refused("archive", "backup", out, "--encrypt", "--passphrase-file", passphrase_file, code=2)
    assert "8 are needed" in said
    assert "short" not in said.replace("shorter", "")
    assert not out.exists()


@pytest.mark.usefixtures("academy")
def test_the_passphrase_is_asked_for_twice_without_being_shown(capsys, monkeypatch, tmp_path) -> None:
    out = tmp_path / "out.age"
    asked, answers = [], iter([PASSPHRASE, "a slip of the hand", PASSPHRASE, PASSPHRASE])
    monkeypatch.setattr(sys, "stdin", Terminal(""))
    monkeypatch.setattr("click.termui.hidden_prompt_func", lambda text: asked.append(text) or next(answers))
    assert main(["archive", "backup", str(out), "--encrypt"]) == 0
    said = capsys.readouterr()
    assert len(asked) == 4
    assert PASSPHRASE not in said.out + said.err
    assert out.exists()


@pytest.mark.usefixtures("academy")
def test_without_the_library_it_is_said_how_to_get_it(monkeypatch, refused, passphrase_file, tmp_path) -> None:
    monkeypatch.setitem(sys.modules, "pyrage", None)
    out = tmp_path / "out.age"
    said = refused("archive", "backup", out, "--encrypt", "--passphrase-file", passphrase_file, code=1)
    assert "pip install 'putt_posture[encryption]'" in said
    assert not out.exists()
