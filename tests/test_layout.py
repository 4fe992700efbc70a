"""The layout: DEVELOPERS.md and the import contracts say the same, and every name stands for one thing."""

import ast
import re
import tomllib
from collections import defaultdict
from pathlib import Path

import pytest

import putt_posture

ROOT = Path(putt_posture.__file__).parent
PROJECT = ROOT.parent
PURE = "The pure rooms know no files, clocks, chance, environment or network"


@pytest.fixture(scope="module")
def contracts():
    text = (PROJECT / "pyproject.toml").read_text(encoding="utf-8")
    return {each["name"]: each for each in tomllib.loads(text)["tool"]["importlinter"]["contracts"]}


@pytest.fixture(scope="module")
def page():
    return (PROJECT / "DEVELOPERS.md").read_text(encoding="utf-8")


def test_the_table_of_rooms_has_the_order_of_the_layers(contracts, page):
    layers = [re.findall(r"putt_posture\.(\w+)", layer) for layer in contracts["Data moves one way"]["layers"]]
    height = {name: len(layers) - at for at, names in enumerate(layers) for name in names}
    table = page[page.index("| where | what it does |") : page.index("Modules import only from rows above them")]
    rows = [re.findall(r"`(\w+)(?:/|\.py)`", line.split("|")[1]) for line in table.splitlines()[2:] if line]
    rooms = [name for row in rows for name in row if name in height]
    assert sorted(rooms) == sorted(height)
    assert [height[name] for name in rooms] == sorted(height.values())


def test_the_pure_rooms_of_the_page_are_those_of_the_contract(contracts, page):
    sentence = re.search(r"import-linter checks that\. It also keeps\s+(.*?) free\s+of", page, re.DOTALL).group(1)
    rooms = [module.removeprefix("putt_posture.") for module in contracts[PURE]["source_modules"]]
    assert re.findall(r"`(\w+)/`", sentence) == rooms
    assert {"os", "pathlib", "time", "random", "datetime", "io"} <= set(contracts[PURE]["forbidden_modules"])


def test_every_room_called_pure_in_the_table_is_held_to_it(contracts, page):
    rooms = {module.removeprefix("putt_posture.") for module in contracts[PURE]["source_modules"]}
    called = set(re.findall(r"^\| `(\w+)/` \|[^|]*\bpure\b", page, re.MULTILINE))
    assert called <= rooms
    assert len(called) > 4


def test_no_two_classes_have_one_name():
    places = defaultdict(list)
    for path in sorted(ROOT.rglob("*.py")):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.ClassDef) and not node.name.startswith("_"):
                places[node.name].append(f"{path.relative_to(ROOT)}:{node.lineno}")
    assert len(places) > 100
    assert {name: found for name, found in places.items() if len(found) > 1} == {}
