"""What to do first, and why: bands, the chain of causes, findings, the rebuilt setup step by step, and the plan."""

from putt_posture.findings.chain import LIKELY, find_change_on_repeat, find_faults
from putt_posture.findings.coach_file import (
    CoachFile,
    list_differences,
    load_coach_file,
    read_coach_file,
    read_shipped_text,
)
from putt_posture.findings.find import MOST_SAID, find_findings
from putt_posture.findings.judging import CERTAIN, Judged, judge_all
from putt_posture.findings.plan import make_plan
from putt_posture.findings.practised import compare_with_practice
from putt_posture.findings.quantities import PUTTER_IN_USE, title_of
from putt_posture.findings.step_names import find_step_title
from putt_posture.findings.steps import find_steps
from putt_posture.findings.stroked import compare_with_stroke
from putt_posture.findings.taken_up import take_up_plan
from putt_posture.findings.words import say_band_of, say_evidence, say_odds, say_quantity, say_repeat

__all__ = [
    "CERTAIN",
    "LIKELY",
    "MOST_SAID",
    "PUTTER_IN_USE",
    "CoachFile",
    "Judged",
    "compare_with_practice",
    "compare_with_stroke",
    "find_change_on_repeat",
    "find_faults",
    "find_findings",
    "find_step_title",
    "find_steps",
    "judge_all",
    "list_differences",
    "load_coach_file",
    "make_plan",
    "read_coach_file",
    "read_shipped_text",
    "say_band_of",
    "say_evidence",
    "say_odds",
    "say_quantity",
    "say_repeat",
    "take_up_plan",
    "title_of",
]
