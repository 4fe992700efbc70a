"""What to do first, and why: bands, the chain of causes, findings, the rebuilt setup step by step, and the plan."""

from putt_posture.findings.chain import LIKELY, find_change_on_repeat, find_faults
from putt_posture.findings.coach_file import PUTTER_IN_USE, CoachFile, load_coach_file, read_coach_file
from putt_posture.findings.find import MOST_SAID, find_findings
from putt_posture.findings.judging import CERTAIN, Judged, judge_all, title_of
from putt_posture.findings.plan import make_plan
from putt_posture.findings.step_names import find_step_title
from putt_posture.findings.steps import find_steps
from putt_posture.findings.words import say_band, say_evidence, say_order, say_sure

__all__ = [
    "CERTAIN",
    "LIKELY",
    "MOST_SAID",
    "PUTTER_IN_USE",
    "CoachFile",
    "Judged",
    "find_change_on_repeat",
    "find_faults",
    "find_findings",
    "find_step_title",
    "find_steps",
    "judge_all",
    "load_coach_file",
    "make_plan",
    "read_coach_file",
    "say_band",
    "say_evidence",
    "say_order",
    "say_sure",
    "title_of",
]
