"""Make the README's pictures from the sample clips: an annotated still, a ghost, and before beside after.

Run it from anywhere with the program installed: ``python sample_clips/pictures/make_pictures.py``. It measures the
pairs ``before`` and ``after``, as the demo does, and takes their stills as the program draws them. The pictures are
JPEG files as wide as the README shows them on a phone, twice over.
"""

import sys
import tempfile
from collections.abc import Sequence
from pathlib import Path
from typing import Final

from PIL import Image

from putt_posture import compare, measure_lesson, store_lesson
from putt_posture.demo import load_samples

__all__ = ["PICTURES", "make_pictures"]

HERE: Final = Path(__file__).parent
PICTURES: Final = {
    "still.jpg": ("before", "stills/down_the_line.png"),
    "ghost.jpg": ("before", "stills/ghost.png"),
    "before_after.jpg": ("comparison", "stills/side_by_side_down_the_line.png"),
}
"""Where each picture comes from: the result folder, and the file in it."""
WIDE_PX: Final = {"still.jpg": 720, "ghost.jpg": 720, "before_after.jpg": 1000}
"""A phone shows some 360 px across, at two or three dots each."""
QUALITY: Final = 76


def make_pictures(folder: Path, *, into: Path = HERE) -> list[Path]:
    """Measure the clips, and make the pictures.

    Parameters
    ----------
    folder : Path
        An empty folder for the reports.
    into : Path
        The folder for the pictures; those that are there are replaced.

    Returns
    -------
    list of Path
    """
    lessons = [sample for sample in load_samples() if sample.name in ("before", "after")]
    for sample in lessons:
        lesson = measure_lesson(student=sample.student, **sample.clips)
        store_lesson(lesson, folder / sample.name)
    compare(*(folder / sample.name for sample in lessons), folder / "comparison")
    return [_shrink(folder / source / name, into / picture) for picture, (source, name) in PICTURES.items()]


def _shrink(still: Path, picture: Path) -> Path:
    with Image.open(still) as image:
        wide = WIDE_PX[picture.name]
        small = image.convert("RGB").resize((wide, round(image.height * wide / image.width)), Image.Resampling.LANCZOS)
    small.save(picture, quality=QUALITY, optimize=True, progressive=True, subsampling=0)
    return picture


def main(arguments: Sequence[str]) -> None:
    """Make the pictures beside this file, or in the folder that is named."""
    with tempfile.TemporaryDirectory() as folder:
        for path in make_pictures(Path(folder), into=Path(arguments[0]) if arguments else HERE):
            print(f"{path} ({path.stat().st_size / 1000:.0f} kB)")


if __name__ == "__main__":
    main(sys.argv[1:])
