"""A lesson page in a process of its own, and a plain client for it."""

import http.client
import json
import os
import re
import signal
import subprocess
import sys
import threading
import urllib.parse
from pathlib import Path
from typing import ClassVar

__all__ = ["Page"]

_START = "from putt_posture.cli import run; run()"


class Page:
    """A server that runs; `stop` or `kill` ends it.

    Parameters
    ----------
    place : Path
        Where its drafts and its archive are.
    *options : str
        More options of the command.
    """

    running: ClassVar[list["Page"]] = []

    def __init__(self, place: Path, *options: str) -> None:
        self.drafts = place / "drafts"
        self.lines: list[str] = []
        self.process = subprocess.Popen(
            [
                sys.executable, "-c", _START, "lesson", "--no-open",
                "--drafts", str(self.drafts), "--archive", str(place / "archive"), *options,
            ],
            stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True, env={**os.environ, "PYTHONUNBUFFERED": "1"},
        )  # fmt: skip
        self.running.append(self)
        for line in self.process.stdout:
            self.lines.append(line)
            if line.startswith("Stop with"):
                break
        else:
            self.running.remove(self)
            self.process.wait(60)
            self.process.stdout.close()
            raise AssertionError("".join(self.lines))
        self.thread = threading.Thread(target=lambda: self.lines.extend(self.process.stdout), daemon=True)
        self.thread.start()
        found = re.search(r"http://(127\.0\.0\.1:\d+)/enter\?code=(\S+)", "".join(self.lines))
        self.host, self.code = found[1], found[2]
        self.cookie = ""

    def come_in(self) -> None:
        """Come in as the coach."""
        body = urllib.parse.urlencode({"code": self.code})
        status, headers, _ = self.ask("POST", "/enter", body, kind="application/x-www-form-urlencoded")
        assert status == 303
        self.cookie = headers["set-cookie"].split(";")[0]

    def ask(self, method, path, body=None, *, kind="application/json", **more):
        """Ask for a page; return status, headers and body."""
        connection = http.client.HTTPConnection(self.host, timeout=120)
        headers = {"origin": f"http://{self.host}", "cookie": self.cookie, "content-type": kind}
        headers |= {"accept": "application/json"}
        headers |= {name.replace("_", "-"): value for name, value in more.items()}
        try:
            connection.request(method, path, body, headers)
            answer = connection.getresponse()
            return answer.status, {name.lower(): value for name, value in answer.getheaders()}, answer.read()
        finally:
            connection.close()

    def announce(self, draft, data, *, view="face_on", name="a.jpg"):
        """Announce a clip, and return its number."""
        told = {"draft": draft, "view": view, "size": len(data), "name": name}
        status, _, said = self.ask("POST", "/uploads", json.dumps(told))
        assert status == 201, said
        return json.loads(said)["id"]

    def send(self, id, data, offset=0):
        """Send a piece, and return the offset that was acknowledged; None where it was not."""
        status, headers, _ = self.ask(
            "PATCH", f"/uploads/{id}", data, kind="application/offset+octet-stream", upload_offset=str(offset)
        )
        return int(headers["upload-offset"]) if status == 204 else None

    def find_offset(self, id):
        """Return how many bytes the server has."""
        return int(self.ask("HEAD", f"/uploads/{id}")[1]["upload-offset"])

    def find_upload(self, id):
        """Return how far a clip is."""
        return json.loads(self.ask("GET", f"/uploads/{id}")[2])

    def kill(self) -> None:
        """End it without any chance to do something first."""
        self.process.kill()
        self._wait()

    def stop(self, number=signal.SIGINT) -> int:
        """End it by a signal, and return its exit code."""
        self.process.send_signal(number)
        return self._wait()

    @classmethod
    def kill_all(cls) -> None:
        """End those that a failed test left."""
        for page in list(cls.running):
            page.kill()

    def _wait(self) -> int:
        self.running.remove(self)
        code = self.process.wait(60)
        self.thread.join(10)
        self.process.stdout.close()
        return code
