"""The sample clips: rendered golfers whose true posture is known.

The people and their stories are invented. In a source checkout the clips are in ``sample_clips/``, in an installed
program inside the package.
"""

import json
from collections.abc import Mapping
from pathlib import Path
from typing import Any, Final, cast

from attrs import field, frozen

from putt_posture.errors import InstallationError
from putt_posture.measures import MEASURES
from putt_posture.units import read_length_cm
from putt_posture.values import VIEWS, Handed, Interview, MeasureName, Sex, Student, View

__all__ = ["Sample", "load_samples"]

_PACKAGE: Final = Path(__file__).parent
_MEND: Final = "Install putt_posture again."
_PLACES: Final = (_PACKAGE / "_sample_clips", _PACKAGE.parent / "sample_clips")


@frozen(kw_only=True)
class Sample:
    """One pair of sample clips.

    Attributes
    ----------
    name : str
        A short name, fit for a folder.
    story : str
        One sentence.
    student : Student
    clips : mapping of View to Path
    truth : mapping of MeasureName to float
        The true value of each measure that has one and is not given to the program, in the measure's unit.
    interview : Interview
        What the student says.
    """

    name: str
    story: str
    student: Student
    clips: Mapping[View, Path]
    truth: Mapping[MeasureName, float]
    interview: Interview = field(factory=Interview)


def load_samples(folder: Path | None = None) -> tuple[Sample, ...]:
    """Load what is known of the sample clips.

    Parameters
    ----------
    folder : Path, optional
        The folder of ``scenario.json`` and the clips; by default inside the package or the source checkout.

    Returns
    -------
    tuple of Sample
        In the order of the scenario.

    Raises
    ------
    InstallationError
        If a clip, its truth or the scenario is missing or damaged.
    """
    folder = _find_folder() if folder is None else folder
    scenario = _read_json(folder / "scenario.json")
    try:
        return tuple(_read_sample(pair, folder) for pair in scenario["pairs"])
    except (KeyError, TypeError, ValueError) as error:
        raise InstallationError(f"The scenario of the sample clips is damaged ({error!r}). {_MEND}") from None


def _find_folder() -> Path:
    for place in _PLACES:
        if (place / "scenario.json").is_file():
            return place
    raise InstallationError(
        "The sample clips are not there. Run the demo from a source checkout, or install putt_posture again."
    )


def _read_sample(pair: Mapping[str, Any], folder: Path) -> Sample:
    truth = _read_json(folder / pair["truth"])["measures"]
    typed = pair["options"].keys()
    clips: dict[View, Path] = {view: folder / pair[view] for view in VIEWS if view in pair}
    for clip in clips.values():
        if not clip.is_file():
            raise InstallationError(f"The sample clip {clip} is missing. {_MEND}")
    return Sample(
        name=pair["name"],
        story=pair["story"],
        student=_read_student(pair["student"], pair["options"]),
        interview=Interview(**pair.get("said", {})),
        clips=clips,
        truth={name: float(truth[name]) for name in MEASURES if name not in typed and truth.get(name) is not None},
    )


def _read_student(name: str, options: Mapping[str, str]) -> Student:
    lengths = {
        f"{option}_cm": read_length_cm(options[option])
        for option in ("stature", "putter_length", "wrist_floor")
        if option in options
    }
    return Student(
        name=name, handed=cast(Handed, options["handed"]), sex=cast(Sex | None, options.get("sex")), **lengths
    )


def _read_json(path: Path) -> dict[str, Any]:
    try:
        found: dict[str, Any] = json.loads(path.read_text(encoding="utf-8"))
    except (OSError, ValueError) as error:
        raise InstallationError(f"{path} is missing or damaged ({error}). {_MEND}") from None
    return found
