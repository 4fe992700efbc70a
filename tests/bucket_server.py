"""A bucket server of this run's own on the loopback address, by the S3 protocol: moto, in a process of its own."""

import contextlib
import secrets
import socket
import subprocess
import sys
import time
import urllib.request
from pathlib import Path

import obstore
from attrs import frozen


@frozen
class BucketServer:
    """A running server.

    Attributes
    ----------
    address : str
    """

    address: str

    @property
    def environment(self):
        """The variables by which obstore finds it."""
        return {
            "AWS_ENDPOINT": self.address,
            "AWS_ALLOW_HTTP": "true",
            "AWS_REGION": "us-east-1",
            "AWS_ACCESS_KEY_ID": "any",
            "AWS_SECRET_ACCESS_KEY": "any",
        }

    def make_bucket(self):
        """Make a new bucket and return its URL."""
        name = f"clips-{secrets.token_hex(4)}"
        self.ask("PUT", name)
        return f"s3://{name}"

    def put(self, bucket, path, content):
        """Put an object into a bucket and return its URL."""
        keys = {name.lower(): value for name, value in self.environment.items() if name != "AWS_ALLOW_HTTP"}
        store = obstore.store.from_url(bucket, config=keys, client_options={"allow_http": True})
        obstore.put(store, path, content)
        return f"{bucket}/{path}"

    def check_keys(self, *, after):
        """Refuse unknown keys after so many requests."""
        self.ask("POST", "moto-api/reset-auth", str(after).encode())

    def ask(self, method, path, content=b""):
        kind = {"Content-Type": "application/octet-stream"}
        request = urllib.request.Request(f"{self.address}/{path}", data=content, headers=kind, method=method)
        with urllib.request.urlopen(request, timeout=60) as answer:
            return answer.read()


@contextlib.contextmanager
def serve_buckets():
    """Yield a bucket server; it ends with the block."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = probe.getsockname()[1]
    command = [sys.executable, "-m", "moto.server", "-H", "127.0.0.1", "-p", str(port)]
    process = subprocess.Popen(command, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, cwd=Path(__file__).parent)
    server = BucketServer(f"http://127.0.0.1:{port}")
    try:
        for _ in range(600):
            with contextlib.suppress(OSError):
                server.ask("GET", "moto-api/data.json", None)
                break
            if process.poll() is not None:
                raise RuntimeError("the bucket server ended")
            time.sleep(0.1)
        yield server
    finally:
        process.kill()
        process.wait()
