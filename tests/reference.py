"""Reference libraries that take seconds to load: by the first test that asks one, not by every worker at its start."""

from functools import cache
from importlib import import_module
from typing import Any


def coolprop(*asked: str | float) -> float:
    """Return what CoolProp's ``PropsSI`` gives (SI)."""
    return float(_module("CoolProp.CoolProp").PropsSI(*asked))


def iapws95(**state: float) -> Any:
    """Return water of IAPWS-95 in a state: ``T`` [K], ``P`` [MPa]."""
    return _module("iapws").IAPWS95(**state)


def stats() -> Any:
    """Return scipy.stats."""
    return _module("scipy.stats")


def integrate() -> Any:
    """Return scipy.integrate."""
    return _module("scipy.integrate")


def least_squares(y: Any, x: Any) -> Any:
    """Return the ordinary least squares of statsmodels, with a constant added to ``x``."""
    sm = _module("statsmodels.api")
    return sm.OLS(y, sm.add_constant(x))


@cache
def _module(name: str) -> Any:
    return import_module(name)
