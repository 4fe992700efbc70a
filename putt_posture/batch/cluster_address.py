"""The address of a Dask scheduler: read, and refused where lessons would go unprotected through the internet.

What a cluster is sent are students' heights and what the coach wrote; what it sends back are numbers and pictures. A
scheduler runs what anyone who reaches it asks for, unless it speaks TLS with certificates of both sides. So plain
``tcp://`` is for this machine and private networks, by the address blocks of IANA's registries (as the standard
library's `ipaddress` has them); elsewhere an address must begin with ``tls://``. The certificates are those of Dask's
own configuration (``distributed.comm.tls``).
"""

import ipaddress
import socket
from typing import Final, Literal
from urllib.parse import urlsplit

from attrs import frozen

from putt_posture.errors import UsageError

__all__ = ["ClusterAddress", "read_cluster_address"]

_EXAMPLE: Final = "Give it as its scheduler prints it when it starts, such as tcp://192.168.1.5:8786."


@frozen(kw_only=True)
class ClusterAddress:
    """Where a scheduler listens.

    Attributes
    ----------
    scheme : {"tcp", "tls"}
    host : str
    port : int
    reach : {"machine", "private", "world"}
        Where its packets go: within this machine, a private network, or anywhere.
    """

    scheme: Literal["tcp", "tls"]
    host: str
    port: int
    reach: Literal["machine", "private", "world"]

    def __str__(self) -> str:
        host = f"[{self.host}]" if ":" in self.host else self.host
        return f"{self.scheme}://{host}:{self.port}"

    @property
    def warning(self) -> str:
        """What a person should know before lessons go there, or an empty text."""
        if self.scheme == "tls" or self.reach == "machine":
            return ""
        return (
            f"Numbers and pictures of students go unencrypted through your network to {self}, and whoever reaches that "
            "port can read them and run programs there. A cluster with TLS, at a tls:// address, keeps others out."
        )


def read_cluster_address(text: str) -> ClusterAddress:
    """Read the address of a scheduler.

    Parameters
    ----------
    text : str
        ``tcp://host:port``, ``tls://host:port`` or ``host:port``, which is plain TCP as with Dask.

    Raises
    ------
    UsageError
        If it is no such address, its host is not known, or it is plain TCP beyond private networks.
    """
    text = text.strip()
    try:
        parts = urlsplit(text if "://" in text else f"tcp://{text}")
        host, port = parts.hostname, parts.port
    except ValueError:
        host, port = None, None
    if not host or not port or parts.path.strip("/") or parts.query:
        raise UsageError(f"The address of the cluster {text!r} has no host with a port. {_EXAMPLE}")
    if parts.scheme not in ("tcp", "tls"):
        raise UsageError(
            f"The address of the cluster {text!r} begins with {parts.scheme}://; tcp:// and tls:// are known."
        )
    scheme: Literal["tcp", "tls"] = "tls" if parts.scheme == "tls" else "tcp"
    reach = _reach_of(host)
    if scheme == "tcp" and reach == "world":
        raise UsageError(
            f"{text} is not in a private network, and over plain TCP anyone on the way could read the students' "
            "pictures. Give a tls:// address, or reach the scheduler through a tunnel: ssh -L 8786:localhost:8786 HOST."
        )
    return ClusterAddress(scheme=scheme, host=host, port=port, reach=reach)


def _reach_of(host: str) -> Literal["machine", "private", "world"]:
    """Return how far a host is, at the farthest of its addresses."""
    try:
        found = {str(each[4][0]) for each in socket.getaddrinfo(host, None, type=socket.SOCK_STREAM)}
    except (OSError, UnicodeError):
        raise UsageError(f"No computer is known here by the name {host}. {_EXAMPLE}") from None
    addresses = [ipaddress.ip_address(each.partition("%")[0]) for each in found]
    if all(each.is_loopback for each in addresses):
        return "machine"
    return "world" if any(each.is_global for each in addresses) else "private"
