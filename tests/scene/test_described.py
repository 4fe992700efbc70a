"""Every public function of the scene says what each parameter and what it returns is: unit, shape and sign."""

import importlib
import inspect
import pkgutil

import pytest
from numpydoc.validate import validate

import putt_posture.scene

CODES = {
    "PR01": "a parameter has no entry",
    "PR02": "an entry is of no parameter",
    "PR07": "a parameter has no text",
    "RT01": "what it returns is not described",
}


def public_functions():
    for room in pkgutil.iter_modules(putt_posture.scene.__path__):
        module = importlib.import_module(f"putt_posture.scene.{room.name}")
        for name, found in sorted(vars(module).items()):
            if inspect.isfunction(found) and found.__module__ == module.__name__ and not name.startswith("_"):
                yield f"{module.__name__}.{name}"


@pytest.mark.parametrize("function", [*public_functions()])
def test_every_parameter_and_result_is_described(function):
    found = [said for code, said in validate(function)["errors"] if code in CODES]
    assert not found
