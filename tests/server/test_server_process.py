"""The page as a process of its own: killed in mid-upload, many uploads at once, ended by signals."""

import http.client
import os
import signal
import socket
import sys
import threading
import time
from datetime import datetime
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parent))

from server_process import Page

from putt_posture.server.drafts import DraftStore
from putt_posture.values import Student

PICTURE = Path(__file__).parents[1] / "landmarks" / "pictures" / "golfer_face_on.jpg"
STUDENT = Student(stature_cm=178.0, handed="right", name="Kim")


@pytest.fixture
def place(tmp_path):
    yield tmp_path
    Page.kill_all()


def begin(place):
    return DraftStore(place / "drafts").begin(STUDENT, now=datetime.now())


def wait_until(is_so, *, limit_s=60.0):
    until = time.monotonic() + limit_s
    while not is_so():
        assert time.monotonic() < until
        time.sleep(0.02)


def test_a_server_that_is_killed_in_mid_upload_loses_nothing_that_it_acknowledged(place):
    """The phone goes on by itself: the page has the same address, and the phone is still in."""
    data = PICTURE.read_bytes()
    page = Page(place)
    page.come_in()
    draft = begin(place)
    id = page.announce(draft.id, data)
    acknowledged = page.send(id, data[:20_000])
    half_sent = _begin_to_send(page, id, data, offset=acknowledged)
    page.kill()
    half_sent.close()

    again = Page(place)
    assert again.host == page.host
    again.cookie = page.cookie
    offset = again.find_offset(id)
    assert offset >= acknowledged == 20_000
    assert again.send(id, data[offset:], offset) == len(data)
    wait_until(lambda: again.find_upload(id)["state"] != "checking")
    assert again.find_upload(id)["state"] == "whole"
    kept = DraftStore(place / "drafts").load(draft.id)
    assert (place / "drafts" / draft.id / "clips" / kept.clips["face_on"]).read_bytes() == data
    assert again.stop() == 0
    assert not list((place / "drafts").rglob("*.part"))


def _begin_to_send(page, id, data, *, offset, count=10_000):
    """Send a part of a piece, and leave the connection open."""
    connection = http.client.HTTPConnection(page.host, timeout=60)
    connection.putrequest("PATCH", f"/uploads/{id}")
    headers = {
        "origin": f"http://{page.host}", "cookie": page.cookie, "content-type": "application/offset+octet-stream",
        "upload-offset": str(offset), "content-length": str(len(data) - offset),
    }  # fmt: skip
    for name, value in headers.items():
        connection.putheader(name, value)
    connection.endheaders(data[offset : offset + count])
    return connection


def test_what_was_written_before_the_network_was_lost_counts(place):
    """The connection breaks in the middle of a piece, which was not acknowledged yet."""
    data = os.urandom(2_000_000)
    page = Page(place)
    page.come_in()
    id = page.announce(begin(place).id, data)
    half_sent = _begin_to_send(page, id, data, offset=0, count=1_500_000)
    wait_until(lambda: page.find_offset(id) >= 1_000_000)
    half_sent.close()
    arrived = None
    while arrived is None:  # what the lost connection still held may be written meanwhile: ask again, as a page does
        offset = page.find_offset(id)
        arrived = page.send(id, data[offset:1_900_000], offset)
    assert arrived == 1_900_000
    folder = place / "drafts" / id[:16] / "uploads" / id[16:]
    assert (folder / "data").read_bytes() == data[:1_900_000]
    page.stop()


def test_thirty_uploads_at_once_lose_nothing_and_take_no_memory(place):
    """Small ones; the benchmark ``uploads_at_once.py`` sends 200 MB each."""
    page = Page(place)
    page.come_in()
    data = [os.urandom(3_000_000) for _ in range(30)]
    ids = [page.announce(begin(place).id, each, name=f"{number}.mov") for number, each in enumerate(data)]
    before, lost = _memory_mb(page), []

    def send(id, each):
        offset = 0
        while offset < 2_900_000:  # the last bytes are not sent: this is no clip, and would be erased
            offset = page.send(id, each[offset : min(offset + 1_000_000, 2_900_000)], offset)
        folder = place / "drafts" / id[:16] / "uploads" / id[16:]
        if (folder / "data").read_bytes() != each[:2_900_000]:
            lost.append(id)

    threads = [threading.Thread(target=send, args=pair) for pair in zip(ids, data, strict=True)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert lost == []
    assert _memory_mb(page) - before < 64  # 30 buffers of half a megabyte twice over, and threads; 90 MB were sent
    page.stop()


def _memory_mb(page):
    """Return the most memory that the server has had, MB."""
    status = Path(f"/proc/{page.process.pid}/status")
    if not status.exists():
        pytest.skip("This system does not say how much memory a process has.")
    line = next(line for line in status.read_text().splitlines() if line.startswith("VmHWM"))
    return int(line.split()[1]) / 1000


@pytest.mark.parametrize(("number", "code"), [(signal.SIGINT, 0), (signal.SIGTERM, 143), (signal.SIGHUP, 129)])
def test_a_signal_ends_all_cleanly_while_a_page_follows(place, number, code):
    page = Page(place)
    page.come_in()
    assert page.ask("GET", "/")[0] == 200
    assert page.stop(number) == code
    said = "".join(page.lines)
    assert "The lesson page is closed." in said
    assert "Traceback" not in said
    with pytest.raises(ConnectionRefusedError):
        socket.create_connection(page.host.split(":"), timeout=1).close()


def test_a_port_that_is_in_use_is_told_in_a_sentence(place):
    with socket.create_server(("127.0.0.1", 0)) as other:
        port = other.getsockname()[1]
        with pytest.raises(AssertionError, match=f"Port {port} of this computer cannot be used"):
            Page(place, "--port", str(port))


def test_the_page_is_for_this_computer_alone_unless_phones_are_let_in(place):
    from putt_posture.server.network import find_local_addresses

    addresses = find_local_addresses()
    if not addresses:
        pytest.skip("This computer is in no local network.")
    page = Page(place)
    port = int(page.host.split(":")[1])
    with pytest.raises(ConnectionRefusedError):
        socket.create_connection((addresses[0], port), timeout=2).close()
    page.stop()
    page = Page(place, "--local-network")
    socket.create_connection((addresses[0], int(page.host.split(":")[1])), timeout=2).close()
    assert "is not encrypted" in "".join(page.lines)
    page.stop()
