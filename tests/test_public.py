"""The names that ``from putt_posture import …`` gives."""

import subprocess
import sys

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
