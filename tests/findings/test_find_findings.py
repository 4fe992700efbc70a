"""What is found in a setup, in which order, and how steady that is."""

import re

import numpy as np
import pytest
from attrs import asdict, evolve
from hypothesis import given
from hypothesis import strategies as st
from made_up_setups import USUAL, fit_of, posture_of, student_of

from putt_posture.findings import CERTAIN, find_findings, load_coach_file, read_coach_file
from putt_posture.values import Findings, Interview, Posture

CHAIN = {"spine_tilt": 18.0, "back_rounding": 45.0, "hand_offset": 9.0, "eye_offset": -15.0}
FAULTS = {
    "stands_tall": {"spine_tilt": 20.0},
    "too_much_tilt": {"spine_tilt": 52.0},
    "rounded_back": {"back_rounding": 50.0},
    "weight_on_heels": {"balance": 25.0},
    "weight_on_toes": {"balance": 95.0},
    "elbows_behind": {"elbow_depth": -12.0},
    "elbows_floating": {"elbow_gap_trail": 12.0},
    "hands_outside": {"hand_offset": 9.0},
    "hands_inside": {"hand_offset": -9.0},
    "knees_bent": {"knee_flex": 40.0},
    "head_dropped": {"head_drop": 45.0},
    "eyes_inside": {"eye_offset": -12.0},
    "eyes_beyond": {"eye_offset": 8.0},
    "shaft_leans_back": {"shaft_lean": -8.0},
    "shaft_leans_forward": {"shaft_lean": 10.0},
    "weight_on_trail": {"sideways_balance": 25.0},
    "weight_on_lead": {"sideways_balance": 75.0},
    "ball_back": {"ball_position": -9.0},
    "ball_forward": {"ball_position": 15.0},
}


def find(changed=None, **given) -> Findings:
    student = student_of(**{key: given.pop(key) for key in ("handed", "putter_length_cm") if key in given})
    return find_findings(posture_of(changed), fit_of(), student, **given)


def names(findings: Findings) -> list[str]:
    return [each.name for each in findings.found]


def test_nothing_wrong_is_a_finding_too():
    findings = find()
    assert findings.found == ()
    assert findings.first is None
    assert findings.lead.startswith("Nothing was found that lies outside your bands.")
    assert findings.change_on_repeat < 0.1


@pytest.mark.parametrize("name", FAULTS)
def test_a_fault_alone_is_found_alone(name):
    findings = find(FAULTS[name])
    assert names(findings) == [name]
    assert findings.found[0].probability >= CERTAIN
    assert findings.lead.startswith("Start here: ")


@pytest.mark.parametrize(("length", "name"), [(93.0, "putter_too_long"), (75.0, "putter_too_short")])
def test_a_putter_of_another_length_is_found(length, name):
    assert names(find(putter_length_cm=length)) == [name]


def test_every_fault_of_the_file_is_tried_here():
    tried = {*FAULTS, "putter_too_long", "putter_too_short"}
    assert tried == {fault.name for fault in load_coach_file().faults}


def test_the_chain_is_told_from_its_beginning():
    findings = find(CHAIN, putter_length_cm=92.0)
    assert names(findings) == ["putter_too_long", "stands_tall", "rounded_back", "hands_outside", "eyes_inside"]
    assert findings.lead == (
        "Start here: the putter is about 8.0\N{NO-BREAK SPACE}cm too long. It may be why the student stands tall, the "
        "back rounds, the hands hang outside the shoulders and the eyes are inside the ball."
    )
    by_name = {each.name: each for each in findings.found}
    assert by_name["hands_outside"].causes == ("stands_tall", "rounded_back")
    assert by_name["putter_too_long"].effects == ("stands_tall",)
    assert by_name["eyes_inside"].because == ""


def test_a_likely_cause_counts_once_its_effect_was_found():
    likely = 84.0 + 2.5 + 1.2 * 2.52  # some 88 %
    assert names(find(putter_length_cm=likely)) == []
    assert [each.name for each in find(putter_length_cm=likely).unsure] == ["putter_too_long"]
    findings = find({"spine_tilt": 18.0}, putter_length_cm=likely)
    assert names(findings) == ["putter_too_long", "stands_tall"]
    assert findings.found[0].certainty == "likely"


def test_within_the_noise_it_says_what_would_tell():
    findings = find({"hand_offset": 4.5})
    assert findings.found == ()
    assert findings.lead.startswith("Nothing lies certainly outside your bands. These clips cannot tell: hands outside")
    assert "string" in findings.unsure[0].would_tell
    assert 0.5 <= findings.unsure[0].probability < CERTAIN


def test_a_putter_that_was_not_typed_is_asked_for():
    findings = find({"putter_length": 89.0}, putter_length_cm=None)
    assert findings.unsure[0].name == "putter_too_long"
    assert findings.unsure[0].would_tell.startswith("Measure the putter")


def test_what_is_absent_is_listed_with_its_reason():
    findings = find({"shaft_lean": "No face-on clip was given.", "eye_offset": "No ball was found."})
    assert dict(findings.not_judged)["Shaft lean"] == "No face-on clip was given."
    assert len(findings.not_judged) == 2


def test_without_any_number_it_says_so():
    nothing = Posture(estimates={name: posture_of({name: "Hidden."})[name] for name in USUAL}, marks={}, warnings=())
    fit = evolve(fit_of(), putter_length=nothing["putter_length"], setup={})
    findings = find_findings(nothing, fit, student_of(putter_length_cm=None))
    assert findings.lead == "None of the numbers that have a band could be measured."


@pytest.mark.parametrize("limit", ["back", "hip"])
def test_what_a_limit_forbids_is_not_asked_for(limit):
    free, limited = (
        find({"spine_tilt": 18.0}).first,
        find({"spine_tilt": 18.0}, interview=Interview(limits=limit)).first,
    )
    assert limited.limits == (limit,)
    assert limited.change != free.change
    assert "Tilt from the hips" in free.change
    assert "Tilt from the hips" not in limited.change


@given(st.sampled_from([fault.name for fault in load_coach_file().faults]), st.data())
def test_no_change_of_any_fault_is_asked_for_against_a_limit(name, data):
    fault = next(each for each in load_coach_file().faults if each.name == name)
    if name.startswith("putter"):
        arguments = ({}, {"putter_length_cm": 93.0 if name.endswith("long") else 75.0})
    else:
        arguments = (FAULTS[name], {})
    limits = data.draw(st.lists(st.sampled_from(["back", "neck", "hip", "knee", "shoulder", "balance", "eyes"])))
    first = find(arguments[0], interview=Interview(limits=", ".join(limits)), **arguments[1]).first
    forbidden = set(limits) & set(fault.loads)
    assert set(first.limits) == forbidden
    assert (first.change == fault.change) == (not forbidden)


def test_the_order_is_the_coachs():
    order = [fault.name for fault in load_coach_file().faults if fault.name != "knees_bent"]
    coach = read_coach_file(f"order = {['knees_bent', *order]}", where="mine.toml")
    changed = {"knee_flex": 40.0, "hand_offset": 9.0}
    assert names(find(changed)) == ["hands_outside", "knees_bent"]
    assert names(find(changed, coach=coach)) == ["knees_bent", "hands_outside"]


def test_a_band_of_the_coach_is_used():
    coach = read_coach_file("[bands.hand_offset]\nabove = 12", where="mine.toml")
    assert names(find({"hand_offset": 9.0})) == ["hands_outside"]
    assert names(find({"hand_offset": 9.0}, coach=coach)) == []
    wide = read_coach_file("[wanted]\nhand_offset_cm = 8", where="mine.toml")
    assert names(find({"hand_offset": 9.0}, coach=wide)) == []


def test_mirror_image_lessons_give_mirror_image_words():
    def mirrored(text: object) -> object:
        swap = {"left": "right", "right": "left"}
        return re.sub(r"\b(left|right)\b", lambda word: swap[word[0]], text) if isinstance(text, str) else text

    changed = {"elbow_depth": -12.0, "ball_position": 15.0, "spine_tilt": 18.0}
    right, left = (find(changed, handed=handed) for handed in ("right", "left"))
    assert names(right) == names(left)
    assert any("to the left" in each.ball for each in right.found)
    for one, other in zip(right.found, left.found, strict=True):
        assert {key: mirrored(value) for key, value in asdict(one).items()} == asdict(other)
    assert mirrored(right.lead) == left.lead


@pytest.mark.parametrize("draws", [100, pytest.param(400, marks=pytest.mark.whole)])
@pytest.mark.parametrize(
    "changed",
    [
        {},
        {"hand_offset": 4.0},
        {"hand_offset": 7.6},
        {"spine_tilt": 24.0, "hand_offset": 6.0},
        {"balance": 36.0},
        CHAIN,
    ],
)
def test_moving_measures_within_their_noise_changes_the_first_no_more_than_said(changed, draws, monkeypatch):
    """Drawn with numpy's generator, where the program uses a sequence of its own."""
    said = find(changed)
    monkeypatch.setattr("putt_posture.findings.find.find_change_on_repeat", lambda *_args, **_named: 0.0)  # slow
    draw = np.random.default_rng(20261127)
    start = posture_of(changed)

    def share_changed(moving: list[str]) -> float:
        others = 0
        for _ in range(draws):
            moved = {name: start[name].value + draw.normal() * start[name].standard_uncertainty for name in moving}
            first = find({**changed, **moved}).first
            others += (first and first.name) != (said.first and said.first.name)
        return others / draws

    spread = 3 * 0.5 / draws**0.5  # three standard errors of a share, at most
    assert share_changed(list(USUAL)) <= said.change_on_repeat + spread
    assert said.change_on_repeat <= max(map(share_changed, [list(USUAL), *([each] for each in changed)])) + spread
    for name in changed or ["hand_offset"]:
        assert share_changed([name]) <= said.change_on_repeat + spread


def test_the_same_lesson_gives_the_same_answer():
    assert find(CHAIN) == find(CHAIN)
