"""The coach's own file: what is laid over what, and one sentence with the line for each mistake."""

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from putt_posture.errors import UsageError
from putt_posture.findings import load_coach_file, read_coach_file
from putt_posture.findings.coach_file import OWN


def read(text: str):
    return read_coach_file(text, where="mine.toml")


def test_an_empty_file_is_the_shipped_one():
    assert read("") == load_coach_file()


def test_only_what_differs_changes():
    coach, shipped = read("[bands.hand_offset]\nabove = 4\n"), load_coach_file()
    assert coach.bands["hand_offset"].above == 4
    assert coach.bands["hand_offset"].below == shipped.bands["hand_offset"].below
    assert {**coach.bands, "hand_offset": None} == {**shipped.bands, "hand_offset": None}
    assert coach.faults == shipped.faults


def test_what_a_coach_changed_is_marked_as_theirs():
    coach = read('[faults.hands_outside]\nchange = "Hands in."\n[bands.balance]\nabove = 15\n')
    sources = {fault.name: fault.source for fault in coach.faults}
    assert sources["hands_outside"] == OWN
    assert sources["stands_tall"] == "common practice"
    assert coach.bands["balance"].source == "common practice"  # the same number is no change
    assert OWN in coach.about
    assert OWN not in load_coach_file().about


def test_the_wanted_setup_is_in_the_same_file():
    assert read("[wanted]\nknee_flex_deg = 20\n").wanted.knee_flex_deg == 20.0
    assert load_coach_file().wanted is None


def test_a_fault_and_a_drill_of_the_coach_are_added():
    shipped = load_coach_file()
    order = ", ".join(f'"{fault.name}"' for fault in shipped.faults)
    coach = read(
        f"""
order = [{order}, "narrow"]
[bands.stance_width]
low = 20
by_eye = "Lay a shaft beside the feet."
source = "my own lessons"
[faults.narrow]
band = "stance_width"
side = "below"
title = "The stance is {{value}} wide"
short = "narrow stance"
then = "the stance is narrow"
leads_to = []
because = ""
ball = "The body may sway."
misses = ["both"]
putts = "lag"
change = "Widen the stance."
instead = ""
loads = []
drills = ["mirror_front"]
feel = "I stand wide."
source = "my own lessons"
"""
    )
    assert coach.faults[-1].name == "narrow"
    assert coach.faults[-1].bands == ("stance_width",)


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("\norder = 3 4", "mine.toml is not TOML: .*line 2"),
        (
            "[bands.hand_offset]\n\nabove = -1",
            r"mine.toml, line 3: bands.hand_offset.above: -1 is less than",
        ),
        ('[bands.hand_offset]\nabove = "4"', r"line 2: bands.hand_offset.above: '4' is not of type 'number'"),
        ("[bands.hand_offset]\nhigh = 4", r"line 2: bands.hand_offset.high: stands beside above; give one of them"),
        ("[bands.shaft_lean]\nlow = 8", r"line 2: bands.shaft_lean.low: 8 is not less than high, 6"),
        ("[bands.nose]\nhigh = 1", r"line 1: bands.nose: 'by_eye' is a required property"),
        ('[bands.nose]\nhigh = 1\nby_eye = "x"\nsource = "x"', r"line 1: bands.nose: is no measure"),
        ('[bands.side_bend]\nabove = 1\nby_eye = "x"\nsource = "x"', r"line 2: .*above: counts from a wanted value"),
        (
            "[faults.hands_outside]\ncolour = 3",
            r"line 2: faults.hands_outside.colour: is not known here",
        ),
        ("[faults.hands_outside]\nleads_to = ['nose']", r"line 2: faults.hands_outside.leads_to: there is no table"),
        ("[faults.hands_outside]\nleads_to = ['stands_tall']", r"order: stands_tall comes before hands_outside"),
        ("[faults.hands_outside]\nside = 'left'", r"line 2: faults.hands_outside.side: 'left' is not one of"),
        (
            "[faults.hands_outside]\nband = 'knee_flex'\nside = 'below'",
            r"line 3: .*the band knee_flex has no end",
        ),
        ("[faults.hands_outside]\ntitle = 'Hands {far}'", r"line 2: faults.hands_outside.title: has {far}"),
        ("[faults.hands_outside]\ntitle = 'Hands {'", r"line 2: faults.hands_outside.title: has a bracket"),
        ("[faults.hands_outside]\nloads = ['back']", r"line \d: faults.hands_outside.*instead: is empty"),
        ("[faults.hands_outside]\nloads = ['tail']", r"line 2: faults.hands_outside.loads.0: 'tail' is not one of"),
        ("order = ['stands_tall']", r"line 1: order: .* is missing"),
        ("[wanted]\nknee = 3", r"line 2: wanted.knee: is not known here; known are hand_offset_cm"),
        ("[wanted]\nknee_flex_deg = 80", r"line 2: wanted.knee_flex_deg: The knee flex of 80"),
        ("[wanted]\nknee_flex_deg = true", r"line 2: wanted.knee_flex_deg: True is not of type 'number'"),
        ("[wanted]\nknee_flex_deg = inf", r"line 2: wanted.knee_flex_deg"),
        ("[steps.tilt_from_hips]\nshows = ['nose']", r"line 2: steps.tilt_from_hips.shows: nose is no measure"),
        ("colour = 3", r"line 1: colour: is not known here; known are about"),
        ("bands = 3", r"line 1: bands: 3 is not of type 'object'"),
    ],
)
def test_a_mistake_is_one_sentence_with_its_line(text, says):
    with pytest.raises(UsageError, match=says) as caught:
        read(text)
    assert "\n" not in str(caught.value)
    assert len(str(caught.value)) < 500


def said_of(text: str) -> str:
    """Return the sentence that refuses a text; empty where it can be used."""
    try:
        read(text)
    except UsageError as error:
        return str(error)
    return ""


@given(st.text(max_size=200))
def test_any_text_is_read_or_refused_in_one_sentence(text):
    assert not said_of(text) or re.match(r"mine\.toml(, line \d+:| is not TOML:| holds a number)", said_of(text))


def test_causes_come_before_their_effects_and_every_fault_can_be_reached():
    coach = load_coach_file()
    place = {fault.name: number for number, fault in enumerate(coach.faults)}
    assert all(place[effect] > place[fault.name] for fault in coach.faults for effect in fault.leads_to)
    assert all(set(fault.drills) <= set(coach.drills) for fault in coach.faults)
    assert all(fault.bands and set(fault.bands) <= set(coach.bands) for fault in coach.faults)
