"""Thirty clips of 200 MB sent to the lesson page at once: time, the server's memory, and whether a byte was lost.

python tests/benchmarks/uploads_at_once.py [--clips 30] [--mb 200] [--place DIR]

Every clip is sent but for its last byte, so that the server does not take it for a whole one and refuse it.
"""

import argparse
import hashlib
import sys
import tempfile
import threading
import time
from datetime import datetime
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1] / "server"))

from server_process import Page

from putt_posture.server.drafts import DraftStore
from putt_posture.values import Student

PIECE = 8 * 1024 * 1024


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--clips", type=int, default=30)
    parser.add_argument("--mb", type=int, default=200)
    parser.add_argument("--place", type=Path)
    given = parser.parse_args()
    with tempfile.TemporaryDirectory(dir=given.place) as place:
        measure(Path(place), clips=given.clips, size=given.mb * 1_000_000)


def measure(place: Path, *, clips: int, size: int) -> None:
    page = Page(place)
    page.come_in()
    store = DraftStore(place / "drafts")
    student = Student(stature_cm=178.0, handed="right")
    ids = []
    for number in range(clips):
        told = Announced(size)
        ids.append(page.announce(store.begin(student, now=datetime.now()).id, told, name=f"{number}.mov"))
    before, began = memory_mb(page), time.monotonic()
    digests = dict.fromkeys(ids, "")

    def send(id: str, seed: int) -> None:
        block = hashlib.sha256(str(seed).encode()).digest() * (PIECE // 32)
        found, offset = hashlib.sha256(), 0
        while offset < size - 1:
            piece = block[: min(PIECE, size - 1 - offset)]
            found.update(piece)
            offset = page.send(id, piece, offset)
        digests[id] = found.hexdigest()

    threads = [threading.Thread(target=send, args=(id, seed)) for seed, id in enumerate(ids)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    took, after = time.monotonic() - began, memory_mb(page)
    lost = [id for id in ids if digest_of(place / "drafts" / id[:16] / "uploads" / id[16:] / "data") != digests[id]]
    page.stop()
    print(
        f"{clips} clips of {size / 1e6:.0f} MB at once: {took:.0f} s, {clips * size / 1e6 / took:.0f} MB/s; the server "
        f"had {before:.0f} MB before and at most {after:.0f} MB; {len(lost)} clips differ from what was sent."
    )


class Announced:
    """Stands for a clip of a size, which is not in memory."""

    def __init__(self, size: int) -> None:
        self._size = size

    def __len__(self) -> int:
        return self._size


def digest_of(path: Path) -> str:
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()


def memory_mb(page: Page) -> float:
    lines = Path(f"/proc/{page.process.pid}/status").read_text().splitlines()
    return int(next(line for line in lines if line.startswith("VmHWM")).split()[1]) / 1000


if __name__ == "__main__":
    main()
