"""Empty lines that answer the cautions of a moment, as many as the shipped procedure has of them."""

from commission.base.pump_supply import PumpSupply
from commission.procedure.load import default_toml, load_procedure
from commission.procedure.model import When


def read(stage: str, when: When) -> tuple[str, ...]:
    """Return one empty line for each caution of a moment; the pump of the tests has a supply of its own."""
    return ("",) * len(load_procedure(default_toml()).stage(stage).cautions_at(when, PumpSupply.OWN))


HOLD = read("pressure_hold", When.BEFORE_PRESSURE)
"""Answers the cautions before pressure."""
FILL = read("fill", When.BEFORE_POURING)
"""Answers the cautions before pouring."""
BLEED = read("bleed", When.BEFORE_PUMP)
"""Answers the cautions of the bleed."""
POWER = read("first_power", When.BEFORE_POWER)
"""Answers the cautions before power."""
