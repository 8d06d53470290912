"""Limits of the procedure as a person reads them: by the unit at the end of their name."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from commission.base.quantity import Quantity
from commission.bench.listing import Listing
from commission.units.show import show

if TYPE_CHECKING:
    from commission.procedure.model import Limit, Stage

_QUANTITIES = {
    "_pa_m3_s": Quantity.LEAK_RATE,
    "_pa": Quantity.GAUGE_PRESSURE,
    "_m3": Quantity.VOLUME,
    "_kg": Quantity.MASS,
    "_w": Quantity.POWER,
    "_k": Quantity.TEMPERATURE,
    "_s": Quantity.DURATION,
    "_m": Quantity.LENGTH,
}
_UNITS = {"_percent": "%", "_cm": "cm", "_v": "V"}
_AN_HOUR = "_k_s"
"""Ending of a slope, which is told by the hour."""
_KEPT_IN = re.compile(r" ?\[[^\[\]]{1,6}\]")
_SLOW = "_m3_s"
"""Ending of a loss, which is told by the month."""
MONTH_S = 365.25 / 12 * 86400.0
"""A month, as a twelfth of a Julian year [s]. Source: ISO 80000-3 for the day; our choice of the year."""
MANY_MONTHS = 6
"""From here a time is told in months, where it is a whole number of them [1]; our choice: so do labels."""
_NO_DIFFERENCE_K = 200.0
"""From here a number of kelvins is a temperature and no difference [K]; our choice: no limit of the trade lies between
100 K apart and -70 °C."""


def limits_of(stage: Stage) -> Listing:
    """Return the limits and assumptions of a stage, each with what it is for and its source."""
    return Listing(
        caption=f"{stage.title}: limits and assumptions of the procedure",
        columns=("limit", "value", "what for", "source"),
        rows=tuple((*limit_text(one), _plain(one.why), _plain(one.source)) for one in stage.limits),
    )


def _plain(text: str) -> str:
    """Return a text without the unit in which its limit is kept, since the value beside it has one of its own.

    >>> _plain("Steady: coolant above air changes by no more than this [K/s], 1 K/h, at 60 degC.")
    'Steady: coolant above air changes by no more than this, 1 K/h, at 60 °C.'
    """
    return _KEPT_IN.sub("", text).replace("degC", "°C")


def limit_text(limit: Limit) -> tuple[str, str]:
    """Return name and value of a limit.

    >>> from commission.procedure.model import Limit
    >>> def limit(id_, value): return Limit(id=id_, value=value, low=0, high=1e9, why="", source="")
    >>> limit_text(limit("hold_s", 1800.0)), limit_text(limit("hot_k", 333.15)), limit_text(limit("above_air_k", 20.0))
    (('hold', '30 min'), ('hot', '60 °C'), ('above air', '20 K'))
    >>> limit_text(limit("leak_rate_pa_m3_s", 1e-3)), limit_text(limit("steady_percent", 80)), limit_text(limit("u", 1))
    (('leak rate', '0.01 mbar·L/s'), ('steady', '80 %'), ('u', '1'))
    >>> limit_text(limit("usual_loss_m3_s", 1.9e-12)), limit_text(limit("slope_k_s", 1 / 3600))
    (('usual loss', '5 mL a month'), ('slope', '1 K/h'))
    >>> limit_text(limit("coolant_s", 365.25 * 86400))
    ('coolant', '12 months')
    """
    for ending in sorted((*_QUANTITIES, *_UNITS, _SLOW, _AN_HOUR), key=len, reverse=True):
        if limit.id.endswith(ending):
            return _name(limit.id.removesuffix(ending)), _value(limit.value, ending)
    return _name(limit.id), f"{limit.value:g}"


def _name(id_: str) -> str:
    """Return the name of a limit in words.

    >>> _name("u_sensor"), _name("cup_u"), _name("settle_min"), _name("target_gauge")
    ('uncertainty of sensor', 'uncertainty of cup', 'settle at least', 'target gauge')
    """
    words = id_.split("_")
    if "u" in words and len(words) > 1:
        words = ["uncertainty", "of", *(word for word in words if word != "u")]
    return " ".join({"min": "at least"}.get(word, word) for word in words)


def _value(si: float, ending: str) -> str:
    if ending == _SLOW:
        return f"{show(si * MONTH_S, Quantity.VOLUME, digits=3)} a month"
    if ending == _AN_HOUR:
        return f"{si * 3600:.3g} K/h"
    if ending in _UNITS:
        return f"{si:.3g} {_UNITS[ending]}"
    quantity, months = _QUANTITIES[ending], si / MONTH_S
    if quantity is Quantity.DURATION and months >= MANY_MONTHS and abs(months - round(months)) < 1e-6:
        return f"{round(months)} months"
    if quantity is Quantity.TEMPERATURE and si < _NO_DIFFERENCE_K:
        quantity = Quantity.TEMPERATURE_DIFFERENCE
    return show(si, quantity)
