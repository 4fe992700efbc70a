"""What the stroke shows of the setup's story: which findings it fits, which it does not show, and what is left over.

The arc of the putter head that was measured is set beside the one that the setup tends to give.

A stroke has other causes than the setup, so a sign of it by itself is never a finding, and nothing here changes one.
"""

from collections.abc import Iterator, Mapping, Sequence
from typing import Final

from attrs import evolve

from putt_posture.figures import format_margin, format_value
from putt_posture.findings.coach_file import BandRule, CoachFile, Sign, load_coach_file
from putt_posture.findings.judging import judge
from putt_posture.measures import STROKE_MEASURES
from putt_posture.setup_arc import set_beside
from putt_posture.shown import begin_lower, begin_upper, join_words
from putt_posture.values import Arc, Estimate, Finding, Handed, InBand, MeasureName, Strokes, WithHands, side_of

__all__ = ["compare_with_stroke"]

_FEW: Final = 3
"""Fewer strokes than this are no mean."""
_ONCE: Final = "{count} {strokes} counted here, so this may be chance; film three or more."
_OTHER_CAUSES: Final = "A stroke has other causes than the setup; change the setup first, then film the stroke again."

_WAYS: Final[Mapping[WithHands, str]] = {
    "with": ", with the hands", "against": ", against the hands", "neither": "",
}  # fmt: skip


def compare_with_stroke(
    found: Sequence[Finding],
    strokes: Strokes | None,
    *,
    handed: Handed,
    arc: Arc | None = None,
    coach: CoachFile | None = None,
) -> tuple[str, ...]:
    """Say what the stroke shows of the findings.

    Parameters
    ----------
    found : sequence of Finding
        What was found in the setup.
    strokes : Strokes or None
        What was measured of the strokes.
    handed : Handed
    arc : Arc, optional
        That the setup as filmed tends to give; may be absent.
    coach : CoachFile, optional
        Says which numbers are signs of which faults; the shipped values where it is not given.

    Returns
    -------
    tuple of str
        Sentences; empty where no stroke was measured or none of its numbers can be a sign.
    """
    if not strokes:
        return ()
    signs = (coach or load_coach_file()).signs
    lies = {sign.measure: _lies(sign, strokes) for sign in signs}
    said = [
        *_of_findings(found, signs, lies, strokes, handed),
        *_left_over(found, signs, lies, strokes, handed),
        *(_of_arc(strokes, arc) if arc is not None else ()),
    ]
    if not said:
        return ()
    if strokes.counted < _FEW:
        stroke = "stroke is" if strokes.counted == 1 else "strokes are"
        said.append(_ONCE.format(count=strokes.counted, strokes=stroke))
    return (*said, _OTHER_CAUSES)


def _lies(sign: Sign, strokes: Strokes) -> InBand:
    estimate = strokes.numbers.get(MeasureName(sign.measure))
    if estimate is None:
        return "absent"
    rule = BandRule(low=sign.low, high=sign.high, by_eye="", source=sign.source)
    return judge(sign.measure, estimate, rule, wanted=None).lies


def _of_findings(
    found: Sequence[Finding], signs: Sequence[Sign], lies: Mapping[str, InBand], strokes: Strokes, handed: Handed
) -> Iterator[str]:
    unsure: dict[str, list[Sign]] = {}
    for finding in found:
        own = [sign for sign in signs if finding.name in sign.of and lies[sign.measure] != "absent"]
        fits = [sign for sign in own if lies[sign.measure] == "outside"]
        title = begin_upper(finding.short)
        if fits:
            yield f"{title}: the stroke fits it, as {join_words([_say(sign, strokes, handed) for sign in fits])}."
        elif own and all(lies[sign.measure] == "within" for sign in own):
            stays = join_words([_fill(sign.stays, sign, strokes, handed) for sign in own])
            yield f"{title}: this stroke does not show it, as {stays}."
        elif own:
            unsure[finding.short] = [sign for sign in own if lies[sign.measure] == "unsure"]
    if unsure:
        titles = begin_upper("; ".join(unsure))
        open_signs = dict.fromkeys(sign.measure for signs_of in unsure.values() for sign in signs_of)
        numbers = join_words([_figure(name, strokes) for name in open_signs])
        are = "is" if len(open_signs) == 1 else "are"
        yield f"{titles}: from this stroke it cannot be told, as {numbers} {are} too uncertain."


def _left_over(
    found: Sequence[Finding], signs: Sequence[Sign], lies: Mapping[str, InBand], strokes: Strokes, handed: Handed
) -> Iterator[str]:
    names = {finding.name for finding in found}
    left = [sign for sign in signs if lies[sign.measure] == "outside" and not names & set(sign.of)]
    if left:
        said = join_words([_say(sign, strokes, handed) for sign in left])
        yield f"{begin_upper(said)}. Nothing that was found in the setup explains that."


def _of_arc(strokes: Strokes, arc: Arc) -> Iterator[str]:
    """Yield a sentence on the arc of the putter head, where it was measured and the setup gives one."""
    measured, difference = set_beside(strokes, arc)
    if not difference:
        return
    over = format_value(arc.half_stroke_cm, "cm")
    verdict = "They agree within what can be measured"
    if not difference.low <= 0 <= difference.high:
        more = "more" if difference.value > 0 else "less"
        apart = format_margin(evolve(difference, value=abs(difference.value)))
        verdict = f"The stroke bends {more} than that, by {apart}"
    yield (
        f"The putter head's arc, measured: {_inside(measured)} a straight line, {over} to either side of the ball. The "
        f"setup as filmed tends to give {_inside(arc.depth)}. {verdict}."
    )


def _inside(depth: Estimate) -> str:
    return f"{format_margin(evolve(depth, value=abs(depth.value)))} {'inside' if depth.value >= 0 else 'outside'}"


def _figure(name: str, strokes: Strokes) -> str:
    estimate, record = strokes.numbers[MeasureName(name)], STROKE_MEASURES[name]
    return f"{begin_lower(record.title)} ({format_margin(estimate, signed=record.signed)})"


def _say(sign: Sign, strokes: Strokes, handed: Handed) -> str:
    estimate = strokes.numbers[MeasureName(sign.measure)]
    text = sign.below if estimate.value < sign.low else sign.above
    margin = format_margin(estimate, signed=True)
    way = _WAYS[strokes.with_hands.get(sign.measure.removesuffix("_along"), "neither")]
    return f"{_fill(text, sign, strokes, handed)} ({margin}{way})"


def _fill(text: str, sign: Sign, strokes: Strokes, handed: Handed) -> str:
    estimate = strokes.numbers[MeasureName(sign.measure)]
    return text.format(
        value=format_value(abs(estimate.value), estimate.unit),
        lead=side_of("lead", handed),
        trail=side_of("trail", handed),
    )
