"""The sliders of the fit page: what each asks for, its bounds and steps, and what was set, read into values.

A slider stands in the unit in which lengths are shown; a number that was not moved comes back as it was. What may be
asked for is decided by the library; a slider only knows how far it goes.
"""

import math
from collections.abc import Callable, Iterator, Mapping
from typing import Any, Final

from attrs import evolve, fields, frozen

from putt_posture.errors import UsageError
from putt_posture.figures import format_value
from putt_posture.fitting import WANTED_SETUP_RANGES
from putt_posture.measures import MEASURES, say_number
from putt_posture.server.languages import mark as _
from putt_posture.services import TriedFit
from putt_posture.shown_units import shows_inches
from putt_posture.units import CM_PER_INCH
from putt_posture.values import ChosenPutter, WantedSetup

__all__ = ["PUTTER", "WANTED", "Slider", "SliderState", "list_sliders", "read_sliders"]


@frozen(kw_only=True)
class Slider:
    """One thing to set.

    Attributes
    ----------
    name : str
        Of the field that is sent, and of the attribute of `WantedSetup` or `ChosenPutter`.
    title : str
        English; the page translates it.
    unit : {"deg", "cm", "%"}
    measure : str
        The measure whose words say a value; empty for none.
    low, high : float
        In `unit`.
    found : bool
        Whether it may be left to the fit.
    more : bool
        Whether it stands among the less usual ones.
    """

    name: str
    title: str
    unit: str
    low: float
    high: float
    measure: str = ""
    found: bool = False
    more: bool = False


@frozen(kw_only=True)
class SliderState:
    """A slider as it stands, in the shown unit.

    Attributes
    ----------
    slider : Slider
    unit : str
        ``°``, ``cm``, ``in`` or ``%``.
    low, high, step, value : str
        Numbers as HTML writes them.
    says : str
        The value in words.
    by_fit : bool
        Whether the fit finds it.
    """

    slider: Slider
    unit: str
    low: str
    high: str
    step: str
    value: str
    says: str
    by_fit: bool


def _wanted(name: str, title: str, measure: str = "", *, found: bool = False, more: bool = False) -> Slider:
    low, high = WANTED_SETUP_RANGES[name]
    unit = {"deg": "deg", "cm": "cm", "percent": "%"}[name.rpartition("_")[2]]
    return Slider(name=name, title=title, unit=unit, low=low, high=high, measure=measure, found=found, more=more)


WANTED: Final = (
    _wanted("tilt_deg", _("Spine tilt"), "spine_tilt", found=True),
    _wanted("knee_flex_deg", _("Knee flex"), "knee_flex"),
    _wanted("elbow_bend_deg", _("Elbow bend"), found=True),
    _wanted("hand_offset_cm", _("Hands to shoulders"), "hand_offset"),
    _wanted("eye_offset_cm", _("Eyes over the ball"), "eye_offset"),
    _wanted("balance_percent", _("Balance, heel to toe"), "balance"),
    _wanted("elbow_depth_cm", _("Elbow along the ribs"), "elbow_depth", more=True),
    _wanted("back_rounding_deg", _("Back rounding"), "back_rounding", more=True),
    _wanted("head_drop_deg", _("Head drop"), "head_drop", more=True),
    _wanted("eyes_lowered_deg", _("Eyes turned down"), more=True),
    _wanted("lie_deg", _("Lie of the shaft"), "shaft_lie", found=True, more=True),
)
PUTTER: Final = (
    Slider(
        name="length_cm",
        title=_("Length of the putter"),
        unit="cm",
        low=30 * CM_PER_INCH,
        high=40 * CM_PER_INCH,
        found=True,
    ),
    Slider(name="putter_lie_deg", title=_("Lie of the putter"), unit="deg", low=62.0, high=80.0, found=True),
    _wanted("grip_down_cm", _("Grip down")),
)
_STEPS: Final = {"deg": 0.5, "cm": 0.5, "in": 0.25, "%": 1.0}
_SIGNS: Final = {"deg": "°", "cm": "cm", "in": "in", "%": "%"}
_SETUP_OF: Final[Mapping[str, str]] = {"tilt_deg": "spine_tilt", "elbow_bend_deg": "elbow_bend"}


def list_sliders(tried: TriedFit) -> tuple[tuple[SliderState, ...], tuple[SliderState, ...]]:
    """Return the sliders of the wanted setup and of the putter, as they stand in a try.

    Parameters
    ----------
    tried : TriedFit
    """
    return tuple(_states(WANTED, tried)), tuple(_states(PUTTER, tried))


def read_sliders(sent: Mapping[str, str], *, before: WantedSetup) -> tuple[WantedSetup, ChosenPutter]:
    """Read what was sent: what is wanted, and which putter was chosen.

    Parameters
    ----------
    sent : mapping of str to str
        By the names of sliders, in the shown unit. An empty text leaves a slider to the fit; one that is missing stays
        as it was before.
    before : WantedSetup
        What the lesson was fitted for.

    Raises
    ------
    UsageError
        If something is no number.
    """
    wanted, chosen = before, ChosenPutter()
    known = {each.name for each in fields(WantedSetup)}
    for slider in (*WANTED, *PUTTER):
        if slider.name not in sent:
            continue
        value = _read(slider, sent[slider.name])
        if slider.name in known:
            if value is not None or slider.found:
                setting: dict[str, Any] = {slider.name: value}
                wanted = evolve(wanted, **setting)
        elif slider.name == "length_cm":
            chosen = evolve(chosen, length_cm=value)
        else:
            chosen = evolve(chosen, lie_deg=value)
    return wanted, chosen


def _read(slider: Slider, text: str) -> float | None:
    said = text.strip().replace(",", ".")
    if not said:
        return None
    try:
        value = float(said)
    except ValueError:
        value = math.nan
    if not math.isfinite(value):
        raise UsageError(f"{slider.title} was given as {text.strip()[:20]!r}; a number is needed, such as 20.")
    return value * CM_PER_INCH if slider.unit == "cm" and shows_inches() else value


def _states(sliders: tuple[Slider, ...], tried: TriedFit) -> Iterator[SliderState]:
    inches = shows_inches()
    for slider in sliders:
        asked, value = _value_of(slider, tried)
        unit = "in" if inches and slider.unit == "cm" else slider.unit
        size, step = CM_PER_INCH if unit == "in" else 1.0, _STEPS[unit]
        low, high = slider.low, slider.high
        if value is not None:
            low, high = min(low, value), max(high, value)
        yield SliderState(
            slider=slider,
            unit=_SIGNS[unit],
            low=_write(step * math.floor(low / size / step + 1e-9)),
            high=_write(step * math.ceil(high / size / step - 1e-9)),
            step=_write(step),
            value="" if value is None else _write(value / size, decimals=2 if asked else 1),
            says="" if value is None else _say(slider, value),
            by_fit=slider.found and not asked,
        )


def _value_of(slider: Slider, tried: TriedFit) -> tuple[bool, float | None]:
    """Return whether a slider was set by the coach, and its value, in its own unit; None where there is none."""
    fit = tried.body.fit
    read: dict[str, tuple[float | None, Callable[[], float | None]]] = {
        "length_cm": (tried.chosen.length_cm, lambda: fit.putter_length.value if fit.putter_length else None),
        "putter_lie_deg": (tried.chosen.lie_deg, lambda: fit.lie.value if fit.lie else None),
        "lie_deg": (tried.wanted.lie_deg, lambda: fit.lie.value if fit.lie else None),
    }
    if slider.name in read:
        asked, found = read[slider.name]
    else:
        asked = getattr(tried.wanted, slider.name)

        def found() -> float | None:
            estimate = fit.setup.get(_SETUP_OF.get(slider.name, ""))
            return estimate.value if estimate else None

    return asked is not None, asked if asked is not None else found()


def _say(slider: Slider, value: float) -> str:
    if slider.measure:
        return say_number(MEASURES[slider.measure], value, short=True)
    return format_value(value, slider.unit)


def _write(value: float, *, decimals: int = 2) -> str:
    return f"{round(value, decimals) + 0.0:g}"
