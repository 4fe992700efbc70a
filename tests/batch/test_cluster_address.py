"""Addresses of schedulers: read, and refused where pictures would go unprotected through the internet."""

import socket

import pytest

from putt_posture.batch.cluster_address import read_cluster_address
from putt_posture.errors import UsageError


@pytest.fixture
def names(monkeypatch):
    """Names of hosts with their addresses, so that no name is looked up in a network."""
    known = {}
    real = socket.getaddrinfo

    def look_up(host, *about, **more):
        if host[:1].isdigit() or ":" in host:
            return real(host, *about, **more)
        if host not in known:
            raise socket.gaierror(-2, "Name or service not known")
        return [(socket.AF_INET, socket.SOCK_STREAM, 6, "", (each, 0)) for each in known[host]]

    monkeypatch.setattr(socket, "getaddrinfo", look_up)
    return known


@pytest.mark.parametrize(
    ("text", "shown", "reach"),
    [
        ("127.0.0.1:8786", "tcp://127.0.0.1:8786", "machine"),
        (" tcp://127.0.0.1:8786/ ", "tcp://127.0.0.1:8786", "machine"),
        ("[::1]:8786", "tcp://[::1]:8786", "machine"),
        ("tcp://192.168.1.5:8786", "tcp://192.168.1.5:8786", "private"),
        ("tcp://10.1.2.3:8786", "tcp://10.1.2.3:8786", "private"),
        ("tcp://172.31.0.1:8786", "tcp://172.31.0.1:8786", "private"),
        ("tcp://100.64.0.1:8786", "tcp://100.64.0.1:8786", "private"),
        ("tcp://[fe80::1]:8786", "tcp://[fe80::1]:8786", "private"),
        ("tcp://[fd00::1]:8786", "tcp://[fd00::1]:8786", "private"),
        ("tls://9.9.9.9:8786", "tls://9.9.9.9:8786", "world"),
    ],
)
def test_an_address_is_read_with_how_far_it_reaches(text, shown, reach):
    found = read_cluster_address(text)
    assert (str(found), found.reach) == (shown, reach)


@pytest.mark.parametrize("text", ["tcp://9.9.9.9:8786", "172.32.0.1:8786", "tcp://[2606:4700::1]:8786"])
def test_plain_tcp_beyond_private_networks_is_refused(text):
    with pytest.raises(UsageError, match=r"not in a private network.*Give a tls:// address, or .* a tunnel"):
        read_cluster_address(text)


def test_a_name_is_as_far_as_the_farthest_of_its_addresses(names):
    names.update(here=["127.0.0.1"], near=["192.168.1.5", "127.0.0.1"], far=["192.168.1.5", "9.9.9.9"])
    assert [read_cluster_address(f"{name}:8786").reach for name in ("here", "near")] == ["machine", "private"]
    with pytest.raises(UsageError, match="not in a private network"):
        read_cluster_address("far:8786")


def test_an_unknown_name_is_told(names):
    with pytest.raises(UsageError, match="No computer is known here by the name academy"):
        read_cluster_address("academy:8786")


@pytest.mark.parametrize(
    "text", ["", "academy", "tcp://", "tcp://:8786", "10.0.0.1:99999", "10.0.0.1:8786/status", "a b:x"]
)
def test_what_is_no_address_is_refused_with_an_example(text):
    with pytest.raises(UsageError, match=r"no host with a port.*such as tcp://192\.168\.1\.5:8786"):
        read_cluster_address(text)


@pytest.mark.parametrize("text", ["http://10.0.0.1:8787", "inproc://10.0.0.1:1", "ws://10.0.0.1:8786"])
def test_other_ways_than_tcp_and_tls_are_refused(text):
    with pytest.raises(UsageError, match="tcp:// and tls:// are known"):
        read_cluster_address(text)


def test_only_plain_tcp_that_leaves_the_machine_has_a_warning():
    assert "unencrypted" in read_cluster_address("10.0.0.1:8786").warning
    assert read_cluster_address("127.0.0.1:8786").warning == ""
    assert read_cluster_address("tls://10.0.0.1:8786").warning == ""
