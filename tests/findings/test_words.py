"""The words of the shipped coach's file: a source for each, short sentences, easy to read."""

import itertools
import re
import tomllib
from importlib import resources

import pytest
import textstat

FILE = tomllib.loads(resources.files("putt_posture.findings").joinpath("coach.toml").read_text(encoding="utf-8"))
TABLES = ("bands", "faults", "steps", "drills")
PROSE = ("title", "because", "ball", "change", "instead", "feel", "do", "for", "setup", "right", "by_eye")
MOST_WORDS = 20
"""Of one sentence. Plain-language guides ask for 15 to 20 on average (common practice)."""
READING_GRADE = 6.0
"""US school grade, by two indices that count letters. Advice for the public is to stay at 6 to 8 (common practice)."""
ENTRIES = [(table, name, entry) for table in TABLES for name, entry in FILE[table].items()]


def sentences():
    texts = [entry[key] for _, _, entry in ENTRIES for key in PROSE if entry.get(key)]
    return list(itertools.chain.from_iterable(re.split(r"(?<=[.?])\s+", text) for text in texts))


@pytest.mark.parametrize(("table", "name", "entry"), ENTRIES, ids=lambda each: each if isinstance(each, str) else "")
def test_everything_that_is_said_has_its_source(table, name, entry):
    assert re.match(r"common practice|[A-Z][a-z]+ .*\d{4}", entry["source"]), f"{table}.{name}"


def test_the_file_says_what_it_is():
    assert FILE["about"] == "starting values, common practice"


def test_sentences_are_short():
    assert [each for each in sentences() if len(each.split()) > MOST_WORDS] == []
    assert len(sentences()) > 150


@pytest.mark.parametrize("index", [textstat.automated_readability_index, textstat.coleman_liau_index])
def test_the_words_are_easy_to_read(index):
    text = " ".join(f"{each.rstrip('.?')}." for each in sentences())
    assert index(text) <= READING_GRADE


def test_a_hard_text_would_be_noticed():
    hard = (
        "Biomechanical considerations necessitate individualised recommendations concerning anthropometric proportions."
    )
    assert textstat.automated_readability_index(hard) > READING_GRADE
    assert textstat.coleman_liau_index(hard) > READING_GRADE


def test_nothing_is_promised():
    words = {word.lower() for each in sentences() for word in re.findall(r"[A-Za-z']+", each)}
    assert not words & {"will", "guarantee", "guarantees", "proven", "always", "never", "perfect", "cure", "fix"}
    hedges = ("may", "tend", "little")
    assert all(any(word in fault["ball"] for word in hedges) for fault in FILE["faults"].values())
