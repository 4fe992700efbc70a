"""One picture takes a bounded share of memory, whatever is in it, and what moves is not a still."""

import subprocess
import sys

import numpy as np
import pytest
from PIL import Image
from written_clips import numbered_picture

from putt_posture.clips import read_clip
from putt_posture.errors import ClipTooLarge, UnreadableClip

pytest.importorskip("resource", reason="Windows does not tell what a process took")

MOST_MB = 900
"""What a process that reads the largest picture may take, in megabytes: decoded (4 bytes a pixel of 64 million),
finished (3) and turned upright (3), and 90 for Python with its libraries. A float TIFF took 2450 before."""

SIDE = 8000
READ = """
import re, resource, sys
from pathlib import Path
from putt_posture.clips.stills import read_still
try:
    print(read_still(Path(sys.argv[1])).picture.shape)
except Exception as error:
    print(type(error).__name__)
status = Path("/proc/self/status")
if status.is_file():  # on Linux the other figure starts from that of the process which started this one
    print(int(re.search(r"VmHWM:\\s+(\\d+) kB", status.read_text())[1]) // 1024)
else:
    most = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    print(most // (1024 * 1024 if sys.platform == "darwin" else 1024))
"""


def read_elsewhere(path) -> tuple[str, int]:
    """Return what reading a picture gave, and the most memory that its process took, megabytes."""
    told = subprocess.run([sys.executable, "-c", READ, str(path)], capture_output=True, text=True, check=True)
    found, most = told.stdout.splitlines()[-2:]
    return found, int(most)


@pytest.mark.whole
@pytest.mark.parametrize("value", [0.5, 40_000.0], ids=["to one", "to 65535"])
def test_a_large_picture_of_floating_point_numbers_takes_bounded_memory(tmp_path, value):
    path = tmp_path / "float.tif"
    Image.fromarray(np.full((SIDE, SIDE), value, np.float32)).save(path, compression="tiff_adobe_deflate")
    assert path.stat().st_size < 2_000_000, "small on disk"
    found, most = read_elsewhere(path)
    assert found == f"({SIDE}, {SIDE}, 3)"
    assert most < MOST_MB


@pytest.mark.whole
def test_a_large_picture_of_sixteen_bits_takes_bounded_memory(tmp_path):
    path = tmp_path / "grey.png"
    Image.fromarray(np.full((SIDE, SIDE), 1000, np.uint16)).save(path)
    found, most = read_elsewhere(path)
    assert found == f"({SIDE}, {SIDE}, 3)"
    assert most < MOST_MB


def test_a_picture_whose_decoder_would_take_more_is_refused_by_its_header(tmp_path):
    path = tmp_path / "large.webp"
    Image.new("RGB", (SIDE, SIDE)).save(path)
    with pytest.raises(ClipTooLarge, match=r"large\.webp takes 1024 megabytes to decode, and 640 is the most"):
        read_clip(path, view="face_on")


def test_strips_give_the_picture_that_the_whole_would(tmp_path):
    """Higher than one strip, and not by a whole number of strips."""
    generator = np.random.default_rng(2)
    values = generator.random((700, 50), dtype=np.float32)
    Image.fromarray(values).save(tmp_path / "float.tif")
    found = next(iter_pictures(tmp_path / "float.tif"))
    assert np.array_equal(found[..., 0], np.rint(255 * values.astype(np.float64)).astype(np.uint8))
    colours = generator.integers(0, 256, (700, 50, 3), dtype=np.uint8)
    Image.fromarray(colours).save(tmp_path / "colour.png")
    assert np.array_equal(next(iter_pictures(tmp_path / "colour.png")), colours)


def iter_pictures(path):
    from putt_posture.clips import iterate_frames

    return (frame.picture for frame in iterate_frames(read_clip(path, view="face_on")))


@pytest.mark.parametrize("name", ["moves.gif", "moves.webp", "moves.png", "pages.tif"])
def test_what_moves_or_has_pages_is_not_a_still(tmp_path, name):
    path = tmp_path / name
    first, *others = (Image.fromarray(numbered_picture(number)) for number in range(4))
    first.save(path, save_all=True, append_images=others)
    with pytest.raises(UnreadableClip, match=rf"{name} has more than one picture: it moves, or has pages") as caught:
        read_clip(path, view="face_on")
    assert caught.value.path == path


def test_a_phones_picture_with_a_second_one_behind_is_a_still(tmp_path):
    """Phones put a preview or a map of brightness behind a JPEG (CIPA DC-007, multi-picture format)."""
    path = tmp_path / "phone.jpg"
    first, second = (Image.fromarray(numbered_picture(number)) for number in (5, 6))
    first.save(path, "MPO", save_all=True, append_images=[second])
    assert read_clip(path, view="face_on").kind == "still"
