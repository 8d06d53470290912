"""No function of the physics of air in a loop lets a number through that no measurement can give."""

import importlib
import inspect
import math
from collections.abc import Callable, Iterator
from typing import Any

import pytest

from commission.physics.loop_volume import Uncertain

MODULES = ("leak", "capillary", "stored_energy", "loop_volume", "detection")
UNCHECKED = {
    "leak_rate",
    "leak_drop",
    "resolution_uncertainty",
    "rectangular_uncertainty",
    "smallest_detectable",
}
"""Plain arithmetic for the judge's arrays, infinite bounds included; a hold's readings are refused before. The module
gas is wholly so."""
GOOD: dict[str, Any] = {
    "strokes": 5,
    "n": 10,
}
HIGH = {"start_pa", "end_pa", "inside_pa", "test_pa", "from_pa", "to_pa", "pressure_pa", "reference_gauge_pa"}


def functions() -> Iterator[Callable[..., object]]:
    """Yield every public function that these modules define."""
    for module_name in MODULES:
        module = importlib.import_module(f"commission.physics.{module_name}")
        for name, thing in vars(module).items():
            own = inspect.isfunction(thing) and thing.__module__ == module.__name__
            if own and not name.startswith("_"):
                yield thing


def good(name: str, annotation: object) -> Any:
    """Return a harmless argument for a parameter."""
    if name in GOOD:
        return GOOD[name]
    value = 150_000.0 if name in HIGH else 1_000.0
    return Uncertain(value, 1.0) if "Uncertain" in str(annotation) else value


def spoilt(value: object, bad: float) -> Any:
    """Return the argument with its number, or its first number, replaced."""
    match value:
        case Uncertain():
            return Uncertain(bad, 1.0)
    return bad


CASES = [
    pytest.param(function, name, id=f"{function.__name__}-{name}")
    for function in functions()
    if function.__name__ not in UNCHECKED
    for name, parameter in inspect.signature(function).parameters.items()
    if parameter.annotation is not int
]


@pytest.mark.parametrize(("function", "name"), CASES)
@pytest.mark.parametrize("bad", [math.nan, math.inf, -math.inf])
def test_what_is_not_a_finite_number_is_refused(function: Callable[..., object], name: str, bad: float) -> None:
    parameters = inspect.signature(function).parameters
    arguments = {key: good(key, parameter.annotation) for key, parameter in parameters.items()}
    function(**arguments)  # the rest is in order, so the refusal below is about this one
    arguments[name] = spoilt(arguments[name], bad)
    with pytest.raises(ValueError, match="must"):
        function(**arguments)


def test_every_parameter_but_the_counts_is_tried() -> None:
    assert {function.__module__.rpartition(".")[2] for function in functions()} == set(MODULES)
    assert {function.__name__ for function in functions()} >= UNCHECKED
    assert len(CASES) > 35
