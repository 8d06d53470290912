"""Lines that answer the cautions of a moment: the state that is typed where there is one, else an empty line."""

from commission.base.pump_supply import PumpSupply
from commission.procedure.load import default_toml, load_procedure
from commission.procedure.model import When


def read(stage: str, when: When) -> tuple[str, ...]:
    """Return a line for each caution of a moment; the pump of the tests has a supply of its own."""
    cautions = load_procedure(default_toml()).stage(stage).cautions_at(when, PumpSupply.OWN)
    return tuple(one.state.split()[-1] if one.state else "" for one in cautions)


def again(stage: str, when: When) -> tuple[str, ...]:
    """Return the same for another attempt by the same person: cautions that fold are one line, where the first is."""
    lines: list[str] = []
    folded = False
    for one in load_procedure(default_toml()).stage(stage).cautions_at(when, PumpSupply.OWN):
        if one.folds and folded:
            continue
        folded = folded or one.folds
        lines.append(one.state.split()[-1] if one.state else "")
    return tuple(lines)


HOLD = read("pressure_hold", When.BEFORE_PRESSURE)
HOLD_AGAIN = again("pressure_hold", When.BEFORE_PRESSURE)
FILL_AGAIN = again("fill", When.BEFORE_POURING)
POWER_AGAIN = again("first_power", When.BEFORE_POWER)
"""Answers the cautions before pressure."""
FILL = read("fill", When.BEFORE_POURING)
"""Answers the cautions before pouring."""
FILL_PUMP = read("fill", When.BEFORE_PUMP)
"""Answers those of the fill before its pump runs."""
BLEED = read("bleed", When.BEFORE_PUMP)
"""Answers the cautions of the bleed."""
POWER = read("first_power", When.BEFORE_POWER)
"""Answers the cautions before power."""
OF_A_HOLD = frozenset({
    "stored_energy", "eye_protection", "weakest_part", "brittle_parts", "regulator_relief", "never_oxygen",
    "gas_bottle", "empty_unpowered", "let_down", "local_rules",
})  # fmt: skip
"""What a hold warns of, asked or shown: as many as when all were asked before the first question."""
OF_A_FILL = frozenset({
    "mains_out", "pump_on_its_own_supply", "residual_current", "absorbent", "eyes_and_gloves", "glycol_is_poison",
    "swallowed", "no_food_vessels", "spill_plug_first", "wet_plug", "wet_electronics", "pump_never_dry", "used_coolant",
})  # fmt: skip
"""The same of a fill whose pump has a supply of its own."""
