"""Names of the program: one word for one thing."""

import ast
from collections import defaultdict
from pathlib import Path

import putt_posture

ROOT = Path(putt_posture.__file__).parent


def test_no_two_classes_have_one_name():
    places = defaultdict(list)
    for path in sorted(ROOT.rglob("*.py")):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.ClassDef) and not node.name.startswith("_"):
                places[node.name].append(f"{path.relative_to(ROOT)}:{node.lineno}")
    assert len(places) > 100
    assert {name: found for name, found in places.items() if len(found) > 1} == {}
