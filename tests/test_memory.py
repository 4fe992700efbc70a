"""What a process does so that it keeps no memory that it does not use; both only where the C library is glibc."""

import platform
import subprocess
import sys

import pytest

PARTS = """
import ctypes, sys, threading
from putt_posture.memory import share_memory_among_threads
if sys.argv[1] == "shared":
    share_memory_among_threads()
library = ctypes.CDLL(None)
library.malloc.restype = ctypes.c_void_p
meet = threading.Barrier(4)
def take():
    meet.wait()
    library.malloc(1000)
    meet.wait()
threads = [threading.Thread(target=take) for _ in range(4)]
for each in threads:
    each.start()
for each in threads:
    each.join()
library.malloc_info(0, ctypes.c_void_p.in_dll(library, "stdout"))
library.fflush(None)
"""
HELD = """
import psutil
from putt_posture.memory import give_memory_back
pieces = [bytearray(b"x" * 50_000) for _ in range(4000)]
kept, most = pieces[::400], psutil.Process().memory_info().rss
del pieces
before = psutil.Process().memory_info().rss
give_memory_back()
print(most, before, psutil.Process().memory_info().rss)
"""
pytestmark = pytest.mark.skipif(platform.libc_ver()[0] != "glibc", reason="nothing is done with another C library")


def test_threads_take_memory_from_one_part_once_they_are_told_to():
    assert _say(PARTS, "as found").count("<heap nr=") > 1
    assert _say(PARTS, "shared").count("<heap nr=") == 1


def test_what_is_not_used_goes_back_to_the_system():
    most, before, after = map(int, _say(HELD).split())
    assert before > most - 0.3 * 4000 * 50_000
    assert after < most - 0.8 * 4000 * 50_000


def _say(code: str, *given: str) -> str:
    done = subprocess.run([sys.executable, "-c", code, *given], capture_output=True, text=True, check=True)
    return done.stdout
