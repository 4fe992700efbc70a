"""Encrypted files, which open with a passphrase or a key."""

from putt_posture.disk.sealing.locks import (
    SHORTEST_PASSPHRASE,
    Lock,
    OpeningKey,
    lock_for_keys,
    lock_with_passphrase,
    read_identities,
    read_passphrase,
)
from putt_posture.disk.sealing.sealed import SealedReader, SealedWriter, is_sealed, open_sealed, sealing

__all__ = [
    "SHORTEST_PASSPHRASE",
    "Lock",
    "OpeningKey",
    "SealedReader",
    "SealedWriter",
    "is_sealed",
    "lock_for_keys",
    "lock_with_passphrase",
    "open_sealed",
    "read_identities",
    "read_passphrase",
    "sealing",
]
