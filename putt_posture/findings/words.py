"""The evidence of a finding in words, the same on every page and at the terminal."""

from typing import Final

from putt_posture.figures import format_margin, format_value
from putt_posture.findings.quantities import PUTTER_IN_USE
from putt_posture.measures import MEASURES
from putt_posture.values import Finding, Findings, MeasureName

__all__ = ["say_band", "say_evidence", "say_order", "say_sure"]

_SAID_FROM: Final = 0.05
"""A smaller chance of another order is not mentioned (judged)."""


def say_band(finding: Finding) -> str:
    r"""Write the coach's band of a finding.

    Parameters
    ----------
    finding : Finding

    Returns
    -------
    str
        ``−3.0 to +3.0\xa0cm``, or with one open end ``up to 32.0°``, ``at least 45\xa0%``.
    """
    unit, signed = finding.estimate.unit, is_signed(finding)
    low, high = (None if end is None else format_value(end, unit, signed=signed) for end in (finding.low, finding.high))
    if low is None:
        return f"up to {high}"
    return f"at least {low}" if high is None else f"{low} to {high}"


def say_sure(finding: Finding) -> str:
    """Write how sure it is that the value lies outside the band.

    Parameters
    ----------
    finding : Finding

    Returns
    -------
    str
        ``96 % sure that it is outside``; never 100 %.
    """
    percent = min(99, int(100 * finding.probability))
    more = "more than 99" if finding.probability > 0.99 else str(percent)
    return f"{more}\N{NO-BREAK SPACE}% sure that it is outside"


def say_evidence(finding: Finding) -> str:
    """Write the number with its margin, the band, and how sure it is that it lies outside.

    Parameters
    ----------
    finding : Finding
    """
    value = format_margin(finding.estimate, signed=is_signed(finding))
    return f"{value}; your band is {say_band(finding)}; {say_sure(finding)}"


def say_order(findings: Findings) -> str:
    """Write how steady the order is; empty where it hardly changes.

    Parameters
    ----------
    findings : Findings
    """
    chance = findings.change_on_repeat
    if chance < _SAID_FROM:
        return ""
    what = "Something else may come first" if findings.found else "Something may be found"
    return f"{what} if the same setup is measured again: in about {round(10 * chance) or 1} of 10 repeats."


def is_signed(finding: Finding) -> bool:
    """Tell whether the number of a finding has two directions, so that its sign is printed.

    Parameters
    ----------
    finding : Finding
    """
    return finding.quantity != PUTTER_IN_USE and MEASURES[MeasureName(finding.quantity)].signed
