import hashlib
import json
from importlib.resources import files

import pytest

from putt_posture.errors import InstallationError
from putt_posture.landmarks import load_weights


@pytest.fixture
def folder(tmp_path):
    (tmp_path / "pose_small.task").write_bytes(b"weights")
    digest = hashlib.sha256(b"weights").hexdigest()
    (tmp_path / "digests.json").write_text(json.dumps({"pose_small.task": digest}))
    return tmp_path


@pytest.mark.parametrize("size", ["small", "large"])
def test_shipped_weights_have_the_digest_that_is_listed(size) -> None:
    weights = load_weights(size)
    listed = json.loads((files("putt_posture.landmarks") / "weights" / "digests.json").read_text())
    assert hashlib.sha256(weights.data).hexdigest() == weights.sha256 == listed[weights.name]


def test_label_names_the_weights_and_begins_their_digest(folder) -> None:
    weights = load_weights("small", folder=folder)
    assert weights.label == f"pose_small {weights.sha256[:12]}"


def test_altered_weights_are_refused(folder) -> None:
    (folder / "pose_small.task").write_bytes(b"weightz")
    with pytest.raises(InstallationError, match=r"pose_small\.task has SHA-256 .* was needed"):
        load_weights("small", folder=folder)


def test_missing_weights_are_said(folder) -> None:
    (folder / "pose_small.task").unlink()
    with pytest.raises(InstallationError, match=r"pose_small\.task is missing"):
        load_weights("small", folder=folder)


@pytest.mark.parametrize("text", ["{", "[]", "{}", '{"pose_small.task": 3}'])
def test_damaged_list_of_digests_is_said(folder, text) -> None:
    (folder / "digests.json").write_text(text)
    with pytest.raises(InstallationError, match="digests"):
        load_weights("small", folder=folder)


def test_missing_list_of_digests_is_said(folder) -> None:
    (folder / "digests.json").unlink()
    with pytest.raises(InstallationError, match="digests is missing"):
        load_weights("small", folder=folder)
