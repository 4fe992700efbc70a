"""Phones over TLS: the certificate is checked first, and then the page is served with it beside plain HTTP here."""

import shutil
import socket
import ssl
import subprocess
import sys
import urllib.request

import pytest

from putt_posture.errors import UsageError
from putt_posture.server.certificate import Certificate, read_certificate
from putt_posture.server.run import serve

OPENSSL = shutil.which("openssl")
needs_openssl = pytest.mark.skipif(OPENSSL is None, reason="openssl is not installed")


def make(folder, name="page", *, password=None):
    """Make a certificate as the guide says."""
    chain, key = folder / f"{name}.pem", folder / f"{name}.key"
    sealed = ["-passout", f"pass:{password}"] if password else ["-nodes"]
    subprocess.run(
        [OPENSSL, "req", "-x509", "-newkey", "rsa:2048", *sealed, "-days", "397", "-subj", "/CN=putting lesson",
         "-addext", "subjectAltName=IP:127.0.0.1", "-keyout", key, "-out", chain],
        check=True, capture_output=True,
    )  # fmt: skip
    return chain, key


@needs_openssl
def test_a_certificate_and_its_key_are_taken(tmp_path):
    chain, key = make(tmp_path)
    assert read_certificate(chain, key) == Certificate(chain=chain, key=key)
    assert read_certificate(None, None) is None


@needs_openssl
@pytest.mark.parametrize(
    ("change", "says"),
    [
        (lambda chain, key: (chain, None), "Only one of"),
        (lambda chain, key: (chain, key.with_name("none")), "cannot be read"),
        (lambda chain, key: (chain, chain), "no certificate with its key"),
        (lambda chain, key: (chain, make(chain.parent, "other")[1]), "no certificate with its key"),
        (lambda chain, key: make(chain.parent, "sealed", password="secret"), "sealed by a password"),
    ],
)
def test_what_cannot_be_used_is_said_in_one_sentence(tmp_path, change, says):
    with pytest.raises(UsageError, match=says):
        read_certificate(*change(*make(tmp_path)))


def test_a_certificate_without_phones_is_refused(tmp_path):
    with pytest.raises(UsageError, match="--local-network"):
        serve(certificate=Certificate(chain=tmp_path, key=tmp_path), drafts=tmp_path / "drafts", opens=False)


SERVE = """
import sys
from pathlib import Path
from putt_posture.server import run
from putt_posture.server.certificate import read_certificate
run.find_local_addresses = lambda: ("127.0.0.2",)
run.serve(drafts=Path(sys.argv[1]), port=0, opens=False, local_network=True,
          certificate=read_certificate(Path(sys.argv[2]), Path(sys.argv[3])),
          tell=lambda line: print(line, flush=True))
"""


@needs_openssl
@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="127.0.0.2 is this computer on Linux alone")
def test_phones_are_served_over_tls_and_this_computer_as_before(tmp_path):
    chain, key = make(tmp_path)
    command = [sys.executable, "-c", SERVE, tmp_path / "drafts", chain, key]
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True) as server:
        try:
            port = int(server.stdout.readline().rsplit("127.0.0.1:", 1)[1].split("/")[0])
            said = [server.stdout.readline() for _ in range(2)]
            assert "is encrypted on its way" in said[1]
            trusts = ssl.create_default_context(cafile=chain)
            trusts.check_hostname = False  # it is for 127.0.0.1
            with urllib.request.urlopen(f"https://127.0.0.2:{port}/enter", context=trusts, timeout=20) as answer:
                assert answer.status == 200
            with urllib.request.urlopen(f"http://127.0.0.1:{port}/enter", timeout=20) as answer:
                assert answer.status == 200
            with socket.create_connection(("127.0.0.2", port), timeout=5) as plain:
                plain.sendall(b"GET /enter HTTP/1.1\r\nHost: x\r\n\r\n")
                assert not plain.recv(100).startswith(b"HTTP/1.1 2")
        finally:
            server.terminate()
            server.wait(20)
