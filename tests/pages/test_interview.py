"""What the student said, on the coach's page and said back at the terminal."""

import re

import pytest
from attrs import evolve
from pdf_text import read_pdf

from putt_posture.drawing.stills import as_jpeg, draw_stills
from putt_posture.pages.interview import answers_of, say_understood
from putt_posture.pages.report import report_as_html, report_as_pdf, write_report
from putt_posture.values import Interview

SAID = Interview(
    misses="left <b>& right</b> under 2 m",
    weak_putts="both",
    putter_story="a gift",
    limits="backwardsxqz, bad back",
)


@pytest.mark.parametrize(
    ("answers", "sentences"),
    [
        ({}, ()),
        ({"misses": "left under 2 m"}, ("Understood: misses to the left, under 2 m (6.6 ft).",)),
        ({"misses": "right over 10 ft"}, ("Understood: misses to the right, over 3 m (10 ft).",)),
        ({"misses": "1 to 2 m left"}, ("Understood: misses to the left, from 1 m (3.3 ft) to 2 m (6.6 ft).",)),
        ({"misses": "left from 6 feet"}, ("Understood: misses to the left, from 1.8 m (6 ft).",)),
        (
            {"misses": "short ones both ways, long ones short", "weak_putts": "both", "limits": "knee and hands"},
            (
                "Understood: misses to both sides on short putts; short of the hole on long putts. "
                "Weak: short and lag putts. Limits: knee, wrist or hand.",
            ),
        ),
        ({"misses": "none", "limits": "no pain"}, ("Understood: no misses. No limits.",)),
        ({"limits": "tired"}, ('Not understood, and kept as words: "tired".',)),
        (
            {"misses": "depends, left", "limits": "tired, bad back"},
            (
                "Understood: misses to the left. Limits: back.",
                'Not understood, and kept as words: "depends" and "tired".',
            ),
        ),
        ({"putter_story": "a gift", "notes": "left"}, ()),
    ],
)
def test_what_was_understood_is_said_back(answers, sentences) -> None:
    assert say_understood(Interview(**answers), handed="right") == sentences


def test_answers_are_told_word_for_word() -> None:
    assert [(each.name, each.says) for each in answers_of(SAID)] == [
        ("Misses", SAID.misses),
        ("Weak putts", "Short and lag putts"),
        ("How the putter was chosen", "a gift"),
        ("Pain and limits", SAID.limits),
    ]


def page_of(lesson):
    stills = draw_stills(lesson)
    pictures = {each.view: as_jpeg(each.annotated, most_bytes=100_000) for each in stills}
    return report_as_html(write_report(lesson, stills=stills), pictures=pictures)


def test_answers_stand_in_a_folded_part_of_the_page(lesson) -> None:
    page = page_of(evolve(lesson, interview=SAID))
    (part,) = re.findall(r'<details class="folded" id="said">.*?</details>', page, re.S)
    assert "left &lt;b&gt;&amp; right&lt;/b&gt; under 2 m" in part
    assert "backwardsxqz" in part
    assert "backwardsxqz" not in page.replace(part, "")


def test_a_page_without_answers_has_no_such_part(lesson) -> None:
    assert 'id="said"' not in page_of(lesson)


def test_the_pdf_to_hand_over_has_no_pain_or_limits(lesson) -> None:
    stills = draw_stills(evolve(lesson, interview=SAID))
    pictures = {each.view: as_jpeg(each.annotated, most_bytes=100_000) for each in stills}
    report = write_report(evolve(lesson, interview=SAID), stills=stills)
    text = read_pdf(report_as_pdf(report, pictures=pictures))
    assert "Puttwell" in text or lesson.student.name in text
    assert "backwardsxqz" not in text.replace(" ", "")
