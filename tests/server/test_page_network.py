"""The lesson page reaches nothing over a network and runs no other program."""

import http.client
import os
import re
import signal
import sys
import threading
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1]))

from network_watch import needs_watch, run_watched

PYTHON = Path(sys.executable).resolve()


@needs_watch
def test_a_lesson_page_reaches_nothing_over_the_network(tmp_path):
    """It listens, and answers who asks; it begins no connection and asks no name server."""
    said, told = tmp_path / "said", {}
    script = (
        "import os, sys; sys.stdout = open(sys.argv.pop(1), 'w', buffering=1); print(os.getpid()); "
        "from putt_posture.cli import run; run()"
    )
    command = [sys.executable, "-c", script, str(said), "lesson", "--no-open", "--drafts", str(tmp_path / "drafts")]
    command += ["--archive", str(tmp_path / "archive")]

    def watch():
        told["run"] = run_watched(command)

    thread = threading.Thread(target=watch)
    thread.start()
    until = time.monotonic() + 90.0
    while "Stop with" not in (text := said.read_text() if said.exists() else ""):
        assert time.monotonic() < until
        time.sleep(0.1)
    process = int(text.split()[0])
    host, code = re.search(r"http://(127\.0\.0\.1:\d+)/enter\?code=(\S+)", text).groups()
    headers = {"origin": f"http://{host}", "content-type": "application/x-www-form-urlencoded"}
    _, cookie = ask(host, "POST", "/enter", f"code={code}", headers)
    headers["cookie"] = cookie.split(";")[0]
    for path in ("/", "/students", "/phone", "/static/style.css"):
        assert ask(host, "GET", path, None, headers)[0] == 200, path
    os.kill(process, signal.SIGINT)
    thread.join(60)
    done, reached, programs = told["run"]
    assert done.returncode == 0
    assert reached == []
    assert {Path(each).name for each in programs if Path(each).resolve() != PYTHON} <= {"fc-list"}


def ask(host, method, path, body, headers):
    connection = http.client.HTTPConnection(host, timeout=60)
    connection.request(method, path, body, headers)
    answer = connection.getresponse()
    answer.read()
    connection.close()
    return answer.status, answer.getheader("set-cookie", "")
