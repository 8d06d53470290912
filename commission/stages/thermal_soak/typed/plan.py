"""What is known before a soak, as it is typed: the coolant, and the step of the displays."""

import re

from commission.base.errors import InputError
from commission.base.quantity import Quantity
from commission.base.text import clip
from commission.physics.glycol import HIGHEST_FRACTION, Glycol
from commission.stages.thermal_soak.model import SoakPlan
from commission.units.chosen import bare_unit
from commission.units.parse import parse

EXAMPLE = "propylene glycol 30 %"
"""A coolant as it is typed."""
_STEP = re.compile(r"(?:^|[ ,;])step\s+(.*)$")
_BASES = {"ethylene glycol": Glycol.ETHYLENE, "propylene glycol": Glycol.PROPYLENE}


def read_plan(text: str) -> SoakPlan:
    """Return what a line such as ``propylene glycol 30 % step 0.1 K`` says; without a step that is 0.1 K.

    Raises
    ------
    InputError
        If it is no coolant, or the step is no difference of temperatures.

    Examples
    --------
    >>> read_plan("water").base is None, read_plan("propylene-glycol 30 %, step 0.5 K").mass_fraction
    (True, 0.3)
    """
    body = " ".join(text.casefold().replace("-", " ").split())
    found = _STEP.search(body)
    plan = SoakPlan()
    step = plan.resolution_k
    if found is not None:
        step = parse(
            found[1].upper().strip(),
            Quantity.TEMPERATURE_DIFFERENCE,
            usual=bare_unit(Quantity.TEMPERATURE_DIFFERENCE, "K"),
            low=1e-3,
            high=2.0,
        ).si
        body = body[: found.start()].strip(" ,;")
    if body in ("water", ""):
        return SoakPlan(resolution_k=step)
    base = next((base for base in _BASES if body.startswith(base)), None)
    if base is None:
        raise InputError(f"{clip(text)} is no coolant; type water, or glycol with its share by mass: {EXAMPLE}")
    share = body.removeprefix(base).replace("by mass", "").strip()
    if not share:
        raise InputError(f"how much {base}? type its share by mass, such as {base} 30 %")
    if share.replace(",", "").replace(".", "").isdecimal():
        raise InputError(f"{clip(share)} has no % sign; type the share by mass, such as {base} {share} %")
    fraction = parse(share, Quantity.RATIO, low=0.0, high=HIGHEST_FRACTION).si
    return SoakPlan(base=_BASES[base], mass_fraction=fraction, resolution_k=step)
