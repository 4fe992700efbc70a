"""The command parses, calls a service and prints: no rule about people and no hiding of heads stands in it."""

import ast
from pathlib import Path

import pytest

CLI = Path(__file__).parents[2] / "putt_posture" / "cli"
HIDING = {"hide_faces", "hide_faces_in", "hide_heads", "hide_faces_in_page", "find_heads", "find_head"}
ASKING = {"check_filing", "check_showing", "check_measures", "showing", "allowed", "say_withheld", "say_nothing"}
OPENING = {"open_lesson", "show_as_allowed", "open_unasked", "file_lesson"}
"""What a service does with a lesson, and asks about before it does."""
MEASURING = {"measure_lesson", "store_lesson", "lesson_as_files", "measure_detections", "store_comparison"}
MODULES = {"putt_posture.archive.people.permissions", "putt_posture.records.faces", "putt_posture.drawing.faces"}
STILL = {"correct.py": {"open_lesson"}}
"""Corrections by hand open the numbers of a lesson, which asks by itself."""


def names_in(path):
    """Return what a file imports of the program, and which attributes it asks for."""
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.ImportFrom) and (node.module or "").startswith("putt_posture"):
            if node.module in MODULES:
                yield node.module
            if node.module != "putt_posture.cli.archive.hide_faces":
                yield from (each.name for each in node.names)
        elif isinstance(node, ast.Attribute):
            yield node.attr


@pytest.mark.parametrize("path", sorted(CLI.rglob("*.py")), ids=lambda path: path.relative_to(CLI).as_posix())
def test_command_holds_no_rule_about_people(path) -> None:
    forbidden = (HIDING | ASKING | OPENING | MEASURING | MODULES) - STILL.get(path.name, set())
    assert set(names_in(path)) & forbidden == set()
