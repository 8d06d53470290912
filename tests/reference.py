"""Reference libraries that take seconds to load: by the first test that asks one, not by every worker at its start."""

from functools import cache
from importlib import import_module
from importlib.machinery import PathFinder
from importlib.util import find_spec, module_from_spec
from typing import Any


def coolprop(*asked: str | float) -> float:
    """Return what CoolProp's ``PropsSI`` gives (SI): ask mixtures and IF97, its equations of state load for seconds."""
    return float(_coolprop().PropsSI(*asked))


@cache
def iapws95(**state: float) -> Any:
    """Return water of IAPWS-95: at ``T`` [K] and ``P`` [MPa], or at ``T`` and ``x`` = 0 just before it boils."""
    return _module("iapws").IAPWS95(**state)


def stats() -> Any:
    """Return scipy.stats."""
    return _module("scipy.stats")


def integrate() -> Any:
    """Return scipy.integrate."""
    return _module("scipy.integrate")


@cache
def _coolprop() -> Any:
    """Return the library alone: its package lists every fluid when it is imported, which loads them all."""
    package = find_spec("CoolProp")
    assert package is not None
    library = PathFinder.find_spec("CoolProp.CoolProp", package.submodule_search_locations)
    assert library is not None
    assert library.loader is not None
    module = module_from_spec(library)
    library.loader.exec_module(module)
    return module


@cache
def _module(name: str) -> Any:
    return import_module(name)
