"""Where the server listens: the loopback address, and this computer's own addresses in the local network if asked."""

import ipaddress
import socket
from collections.abc import Sequence
from contextlib import suppress
from pathlib import Path
from typing import Final

from putt_posture.disk.folders import fresh_file
from putt_posture.errors import OutputError, UsageError

__all__ = ["LOOPBACK", "find_local_addresses", "listen"]

LOOPBACK: Final = "127.0.0.1"
_FILE: Final = "port"
"""In the folder of the drafts: the port of the last run, so that a phone finds the page again after a restart."""


def find_local_addresses() -> tuple[str, ...]:
    """Return this computer's addresses in local networks, version 4; none of them can be reached from the internet.

    Nothing is sent to find them.
    """
    import ifaddr

    found = []
    for adapter in ifaddr.get_adapters():
        for each in adapter.ips:
            if not each.is_IPv4:
                continue
            address = ipaddress.ip_address(str(each.ip))
            if address.is_private and not address.is_loopback and not address.is_unspecified:
                found.append(str(address))
    return tuple(dict.fromkeys(found))


def listen(folder: Path, *, port: int | None, addresses: Sequence[str] = ()) -> list[socket.socket]:
    """Listen at the loopback address and at others, all at one port; the loopback address comes first.

    Parameters
    ----------
    folder : Path
        Of the drafts, where the port is remembered.
    port : int or None
        None takes the port of the last run if it is free, and a free one otherwise; so does 0, which remembers nothing.
    addresses : sequence of str

    Raises
    ------
    UsageError
        If the port is in use.
    """
    wanted = [port] if port else [0] if port == 0 else [_remembered(folder), 0]
    for each in wanted:
        with suppress(OSError):
            sockets = _listen_at(each, addresses)
            if port is None:
                _remember(folder, sockets[0].getsockname()[1])
            return sockets
    raise UsageError(
        f"Port {port} of this computer cannot be used: another program has it. Give another port, or leave --port out."
    )


def _listen_at(port: int, addresses: Sequence[str]) -> list[socket.socket]:
    sockets: list[socket.socket] = []
    try:
        for address in (LOOPBACK, *addresses):
            sockets.append(socket.create_server((address, port), backlog=256))
            port = sockets[0].getsockname()[1]
    except OSError:
        for each in sockets:
            each.close()
        raise
    return sockets


def _remembered(folder: Path) -> int:
    try:
        found = int((folder / _FILE).read_text(encoding="ascii"))
    except (OSError, ValueError):
        return 0
    return found if 1024 <= found <= 65535 else 0


def _remember(folder: Path, port: int) -> None:
    with suppress(OutputError), fresh_file(folder / _FILE, replace=True, what="port", private=True) as file:
        file.write(str(port).encode())
