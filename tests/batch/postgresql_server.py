"""A PostgreSQL server of a test's own, which it may stop and start again. The binaries are found as in `.ci`."""

import os
import shutil
import subprocess
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from attrs import frozen

_OPTIONS = "-c listen_addresses='' -c unix_socket_directories={} -c fsync=off -c full_page_writes=off"


@frozen
class OwnServer:
    """A server on a socket in its own folder.

    Attributes
    ----------
    folder : Path
    binaries : Path
    """

    folder: Path
    binaries: Path

    @property
    def url(self) -> str:
        return f"postgresql://putter@/postgres?host={self.folder}"

    def start(self) -> None:
        log, options = f"--log={self.folder}/log", f"--options={_OPTIONS.format(self.folder)}"
        self.run("pg_ctl", f"--pgdata={self.folder}/data", log, options, "--wait", "--silent", "start")

    def stop(self) -> None:
        """Stop it at once, as a machine that is switched off; all connections are lost."""
        self.run("pg_ctl", f"--pgdata={self.folder}/data", "--mode=immediate", "--wait", "--silent", "stop")

    def run(self, command: str, *options: str) -> None:
        """Run one of its commands; PostgreSQL refuses to run as root."""
        user = {"user": "postgres", "group": "postgres", "extra_groups": ()} if os.geteuid() == 0 else {}
        quiet = {"stdout": subprocess.DEVNULL, "stderr": subprocess.DEVNULL}
        subprocess.run([self.binaries / command, *options], check=True, cwd="/", env={"HOME": "/"}, **quiet, **user)


@contextmanager
def own_server() -> Iterator[OwnServer]:
    """Yield a server that runs, with an empty database."""
    versions = sorted(Path("/usr/lib/postgresql").glob("*/bin/initdb"), key=lambda path: float(path.parts[-3]))
    initdb = versions[-1] if versions else Path(shutil.which("initdb") or "initdb")
    folder = Path(tempfile.mkdtemp(prefix="putt-posture-pg.", dir="/tmp"))  # a socket's path must be short
    server = OwnServer(folder, initdb.parent)
    try:
        folder.chmod(0o755)
        if os.geteuid() == 0:
            shutil.chown(folder, "postgres")
        server.run("initdb", f"--pgdata={folder}/data", "--username=putter", "--auth=trust", "--locale=C.UTF-8", "-N")
        server.start()
        yield server
    finally:
        with suppress(subprocess.CalledProcessError):  # it does not run
            server.stop()
        shutil.rmtree(folder, ignore_errors=True)
