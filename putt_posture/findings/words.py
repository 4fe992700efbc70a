"""Findings and their numbers in words, the same on every page, picture and terminal."""

from typing import Final

from putt_posture.figures import format_margin, format_value
from putt_posture.findings.quantities import PUTTER_IN_USE, title_of
from putt_posture.measures import MEASURES, say_band, say_value
from putt_posture.values import Estimate, Finding, Findings, MeasureName, StepNumber

__all__ = ["say_band_of", "say_evidence", "say_odds", "say_quantity", "say_repeat"]

_NO_BREAK: Final = "\N{NO-BREAK SPACE}"
_ALMOST_SURE: Final = 0.995
_SAID_FROM: Final = 0.05
"""A smaller chance of another first finding is not mentioned (judged)."""


def say_quantity(quantity: str, estimate: Estimate) -> str:
    """Say a present number of a finding or a step with its margin.

    Parameters
    ----------
    quantity : str
        A measure, or `PUTTER_IN_USE`.
    estimate : Estimate
    """
    if quantity == PUTTER_IN_USE:
        return format_margin(estimate)
    return say_value(MEASURES[MeasureName(quantity)], estimate, short=True, margin=True)


def say_band_of(ends: Finding | StepNumber) -> str:
    """Say the band of a finding or of a step's number; one end may be open.

    Parameters
    ----------
    ends : Finding or StepNumber
    """
    low, high = ends.low, ends.high
    if ends.quantity != PUTTER_IN_USE:
        return say_band(MEASURES[MeasureName(ends.quantity)], low, high, short=True)
    said = [None if end is None else format_value(end, "cm") for end in (low, high)]
    return f"{said[0]} to {said[1]}" if None not in said else f"at least {said[0]}" if said[0] else f"up to {said[1]}"


def say_evidence(finding: Finding) -> str:
    """Say the number of a finding with its margin, and the band that it is held against.

    Parameters
    ----------
    finding : Finding
    """
    value = say_quantity(finding.quantity, finding.estimate)
    return f"{title_of(finding.quantity)} {value}; the band is {say_band_of(finding)}."


def say_odds(finding: Finding) -> str:
    """Say how likely it is that the number of a finding lies outside its band; never that it is certain.

    Parameters
    ----------
    finding : Finding
    """
    if finding.probability >= _ALMOST_SURE:
        return "Almost certainly outside."
    return f"{100 * finding.probability:.0f}{_NO_BREAK}% likely to be outside."


def say_repeat(findings: Findings) -> str:
    """Say how often a repeat would put something else first; empty where it hardly would.

    Parameters
    ----------
    findings : Findings
    """
    if findings.change_on_repeat < _SAID_FROM:
        return ""
    what = "something else would come first" if findings.found else "something would be found"
    return f"If the same setup were measured again, {what} in {100 * findings.change_on_repeat:.0f} of 100."
