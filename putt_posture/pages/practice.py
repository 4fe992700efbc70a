"""What the page of a history says about practice tests, as plain text, with its charts."""

import math
from itertools import pairwise
from typing import Final

from attrs import field, frozen

from putt_posture.documents.json_values import plain
from putt_posture.drawing.practice_charts import CM_PER_FOOT, NamedResult, draw_practice_chart, draw_spread_chart
from putt_posture.figures import count_of, format_day, format_given, format_number
from putt_posture.pages.setting import Fact, Plate, as_typed
from putt_posture.practice import (
    PracticeResult,
    SpreadChange,
    compare_spreads,
    fit_yardstick,
    load_yardsticks,
    read_practice,
)
from putt_posture.setup_arc import SIGMA_RANGE_DEG
from putt_posture.shown import begin_lower
from putt_posture.values import History, StartLineSpread

__all__ = ["Practice", "PracticeSection", "ShareRow", "TestRow", "draw_practice", "format_spread"]

_NO_BREAK: Final = "\N{NO-BREAK SPACE}"
_TELLING_CM: Final = 10 * CM_PER_FOOT
_NEARLY: Final = 0.99
MODEL: Final = (
    "The curve is the model of A. Gelman and D. Nolan (Teaching Statistics 24, 2002): start lines scatter about the "
    "middle of the hole, and a putt falls when the whole ball passes within the hole. One number covers aim, read and "
    "stroke; speed, slope and grain are left out."
)
YARDSTICK: Final = (
    "The professionals putted on tour greens, putts of all kinds, not a test on one line. They are there to compare "
    "with, not as a goal."
)
POOLED: Final = "This is for all tests together, as if the scatter had been the same in all of them."


@frozen(kw_only=True)
class ShareRow:
    """Putts of one length."""

    putt: str
    holed: str
    share: str


@frozen(kw_only=True)
class TestRow:
    """One test: its day and note, its putts by length, its scatter, and the change since the one before."""

    __test__ = False  # no test case, whatever its name looks like to pytest

    day: str
    note: str
    holed: str
    lengths: str
    spread: str
    change: str


@frozen(kw_only=True)
class PracticeSection:
    """The text of the section, from top to bottom."""

    sentences: tuple[str, ...]
    shares_title: str
    shares: tuple[ShareRow, ...]
    tests: tuple[TestRow, ...]
    plates: tuple[Plate, ...]
    model: str
    yardstick: str
    sources: tuple[Fact, ...]


@frozen(kw_only=True)
class Practice:
    """The text and the charts: SVG by the name of its plate."""

    section: PracticeSection
    charts: dict[str, str] = field(repr=False)


def draw_practice(history: History) -> Practice | None:
    """Draw a student's practice tests and put them into words; None where no putt was tried.

    Parameters
    ----------
    history : History
    """
    tests = [test for test in history.practice if any(count.tried for count in test.counts)]
    if not tests:
        return None
    results = [read_practice(test) for test in tests]
    pooled = results[0] if len(results) == 1 else read_practice(*tests)
    charts, plates = _draw_charts(results, pooled)
    changes = [None, *(compare_spreads(one, two) for one, two in pairwise(results))]
    rows = tuple(
        TestRow(
            day=format_day(test.day),
            note=as_typed(test.note),
            holed=f"{result.holed} of {result.tried}",
            lengths=", ".join(f"{_feet(each.distance_cm)}: {each.holed} of {each.tried}" for each in result.shares),
            spread=format_spread(result.spread) if result.spread else result.why_not,
            change=_say_step(change),
        )
        for test, result, change in zip(tests, results, changes, strict=True)
    )
    return Practice(
        section=PracticeSection(
            sentences=(*_sentences(results, pooled), *map(plain, history.tests_say)),
            shares_title="Holed by length" if len(results) == 1 else "Holed by length, all tests",
            shares=tuple(
                ShareRow(
                    putt=f"{_feet(each.distance_cm)} ({_metres(each.distance_cm)})",
                    holed=f"{each.holed} of {each.tried}",
                    share=f"{_percent(each.share)} ({_percent(each.low)} to {_percent(each.high)}){_NO_BREAK}%",
                )
                for each in pooled.shares
            ),
            tests=rows,
            plates=tuple(plates),
            model=MODEL,
            yardstick=YARDSTICK,
            sources=tuple(Fact(name=each.title, says=f"{each.who} {each.source}") for each in load_yardsticks()),
        ),
        charts=charts,
    )


def format_spread(spread: StartLineSpread) -> str:
    """Write a scatter with its 95 % interval.

    An end that is no end, because the counts would go with any scatter beyond it, is said to be open.

    Parameters
    ----------
    spread : StartLineSpread
    """
    low, high = spread.low_deg, spread.high_deg
    decimals = 1 if high - low >= 0.3 else 2
    value, least, most = (format_number(each, decimals=decimals) for each in (spread.sigma.value, low, high))
    if high >= _NEARLY * SIGMA_RANGE_DEG[1]:
        return f"{value}° ({least}° or more)"
    if low <= SIGMA_RANGE_DEG[0] / _NEARLY:
        return f"{value}° ({most}° or less)"
    return f"{value}° ({least} to {most}°)"


def _draw_charts(results: list[PracticeResult], pooled: PracticeResult) -> tuple[dict[str, str], list[Plate]]:
    charts, plates = {}, []

    def add(file: str, title: str, svg: str, says: str) -> None:
        charts[file] = svg
        plates.append(Plate(file=file, aspect=1.0, title=title, caption=says, says=says))

    alone = len(results) == 1
    curve = ", the curve that fits best with its band," if pooled.spread else ""
    add(
        "practice",
        "Holed by length",
        draw_practice_chart([NamedResult(name="student", result=pooled)]),
        f"{format_day(pooled.first) if alone else 'All tests together'}: share of putts holed by length with 95 % "
        f"intervals{curve} and professionals beside it.",
    )
    if not alone:
        first, latest = (format_day(each.first) for each in (results[0], results[-1]))
        svg = draw_practice_chart(
            [NamedResult(name="first test", result=results[0]), NamedResult(name="latest test", result=results[-1])]
        )
        add(
            "practice_change", "First and latest test", svg,
            f"The first test, {first}, and the latest, {latest}: shares holed with 95 % intervals, and curves.",
        )  # fmt: skip
    if spread := draw_spread_chart(results):
        add(
            "practice_spread", "Scatter over time", spread,
            "How much start lines scatter at each test, with 95 % intervals; less is steadier.",
        )  # fmt: skip
    return charts, plates


def _sentences(results: list[PracticeResult], pooled: PracticeResult) -> list[str]:
    tests = count_of(len(results), "practice test")
    found = [f"{tests}: {pooled.holed} of {count_of(pooled.tried, 'putt')} holed."]
    if pooled.spread is not None:
        sigma = pooled.spread.sigma.value
        aside = _TELLING_CM * math.tan(math.radians(min(sigma, 80.0)))
        found.append(
            f"Start lines scatter by {format_spread(pooled.spread)}, one sigma with its 95 % interval: about two putts "
            f"in three start within that of the middle of the hole, which is {aside:.0f}{_NO_BREAK}cm to the side "
            f"after {_feet(_TELLING_CM)}."
        )
        if len(results) > 1:
            found.append(POOLED)
    else:
        found.append(f"How much start lines scatter is not certain. {pooled.why_not}")
    if pooled.misfit:
        found.append(pooled.misfit)
    if len(results) > 1:
        found.append(_say_change(compare_spreads(results[0], results[-1])))
    usual = fit_yardstick(load_yardsticks()[0])
    found.append(f"The same model on the professionals' putts published in 1995: {format_spread(usual)}.")
    return found


def _say_change(change: SpreadChange) -> str:
    if not change:
        why_not = begin_lower(change.why_not)
        return f"It is not certain whether the scatter changed from the first test to the latest: {why_not}"
    figure = _figure(change)
    if not change.real:
        return f"From the first test to the latest the scatter changed by {figure}, which may be noise."
    way = "less" if change.change_deg < 0 else "more"
    return (
        f"From the first test to the latest the scatter changed by {figure}: a real change, to {way} scatter; "
        "if it had stayed the same, chance would show one in about 1 of 20."
    )


def _say_step(change: SpreadChange | None) -> str:
    """Say only that a step may be a change: there are many, and 1 in 20 without a change passes its interval."""
    if change is None or not change:
        return ""
    return f"{_figure(change)} since the test before: {'may be a change' if change.real else 'within the noise'}"


def _figure(change: SpreadChange) -> str:
    value, low, high = (
        format_number(each, decimals=1, signed=True) for each in (change.change_deg, change.low_deg, change.high_deg)
    )
    return f"{value}° ({low} to {high}°)"


def _feet(length_cm: float) -> str:
    return format_given(length_cm / CM_PER_FOOT, "ft").replace(" ", _NO_BREAK)


def _metres(length_cm: float) -> str:
    return format_given(length_cm / 100, "m").replace(" ", _NO_BREAK)


def _percent(share: float) -> str:
    return format_number(100 * share, decimals=0)
