"""The pose model bundles inside the package, checked before use.

Origin, licence and how to rebuild them are in ``weights/``; ``weights/digests.json`` holds the SHA-256 of each.
"""

import hashlib
import json
from importlib.resources import files
from importlib.resources.abc import Traversable
from typing import Final, Literal

from attrs import field, frozen

from putt_posture.errors import InstallationError

__all__ = ["ModelSize", "Weights", "load_weights"]

ModelSize = Literal["small", "large"]

_BUNDLES: Final[dict[ModelSize, str]] = {"small": "pose_small.task", "large": "pose_large.task"}
_MEND: Final = "Install putt_posture again."


@frozen(kw_only=True, eq=False)
class Weights:
    """One model bundle in memory.

    Attributes
    ----------
    name : str
        File name of the bundle.
    sha256 : str
        Hexadecimal digest, equal to that of the shipped bundle.
    data : bytes
    """

    name: str
    sha256: str
    data: bytes = field(repr=False)

    @property
    def label(self) -> str:
        """Name and the first 12 digits of the digest, for the report."""
        return f"{self.name.removesuffix('.task')} {self.sha256[:12]}"


def load_weights(size: ModelSize, *, folder: Traversable | None = None) -> Weights:
    """Read one bundle and compare it with its digest.

    Parameters
    ----------
    size : {"small", "large"}
    folder : Traversable, optional
        Place of the bundles and ``digests.json``; by default inside the package.

    Returns
    -------
    Weights

    Raises
    ------
    InstallationError
        The bundle or its digest is missing, or the two disagree.
    """
    folder = files("putt_posture.landmarks") / "weights" if folder is None else folder
    name = _BUNDLES[size]
    expected = _read_digest(folder, name)
    try:
        data = (folder / name).read_bytes()
    except OSError:
        raise InstallationError(f"The pose model {name} is missing from the program. {_MEND}") from None
    found = hashlib.sha256(data).hexdigest()
    if found != expected:
        raise InstallationError(
            f"The pose model {name} has SHA-256 {found[:12]}…, but {expected[:12]}… was needed: "
            f"the file is damaged or was changed. {_MEND}"
        )
    return Weights(name=name, sha256=found, data=data)


def _read_digest(folder: Traversable, name: str) -> str:
    try:
        listing = json.loads((folder / "digests.json").read_text(encoding="utf-8"))
    except (OSError, ValueError):
        raise InstallationError(f"The list of the pose models' digests is missing or damaged. {_MEND}") from None
    entry = _find(listing, name)
    if entry is None:
        raise InstallationError(f"The list of digests has no entry for the pose model {name}. {_MEND}")
    return entry


def _find(listing: object, name: str) -> str | None:
    if not isinstance(listing, dict):
        return None
    entry = listing.get(name)
    if isinstance(entry, dict):
        entry = entry.get("sha256")
    if isinstance(entry, str):
        return entry.lower()
    return next((found for value in listing.values() if (found := _find(value, name))), None)
