"""The names that ``from putt_posture import …`` gives."""

import json
import re
import subprocess
import sys
from pathlib import Path

import pytest

import putt_posture
from putt_posture.values import Student


def test_each_public_name_can_be_had() -> None:
    for name in putt_posture.__all__:
        assert getattr(putt_posture, name).__name__ == name


def test_public_names_are_sorted_and_shown() -> None:
    assert sorted(putt_posture.__all__) == putt_posture.__all__
    assert set(putt_posture.__all__) <= set(dir(putt_posture))


def test_public_name_is_the_thing_itself() -> None:
    assert putt_posture.Student is Student


def test_unknown_name_is_an_attribute_error() -> None:
    with pytest.raises(AttributeError, match="No putt_posture attribute measure_swing"):
        putt_posture.measure_swing  # noqa: B018


def test_import_of_the_package_is_light() -> None:
    script = "import sys, putt_posture; print([name for name in ('attrs', 'numpy', 'click') if name in sys.modules])"
    assert (
        subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=True).stdout.strip()
        == "[]"
    )


def test_what_a_notebook_needs_is_had_from_the_package_itself() -> None:
    needed = {
        "KeptLesson", "Student", "WantedSetup", "compare", "hide_faces", "load_history", "load_samples",
        "measure_lesson", "open_archive", "open_lesson", "read_frames", "read_length_cm", "read_result_folder",
        "store_comparison", "store_history", "store_lesson",
    }  # fmt: skip
    assert needed <= set(putt_posture.__all__)


def test_notebooks_take_what_the_package_gives_from_the_package() -> None:
    for path in (Path(__file__).parents[1] / "notebooks").glob("*.ipynb"):
        cells = json.loads(path.read_text(encoding="utf-8"))["cells"]
        code = "".join(line for cell in cells if cell["cell_type"] == "code" for line in [*cell["source"], "\n"])
        for module, names in re.findall(r"^from (putt_posture\.\S+) import (.+)$", code, re.MULTILINE):
            deep = {name.strip() for name in names.split(",")} & set(putt_posture.__all__)
            assert not deep, f"{path.name} takes {deep} from {module}"
