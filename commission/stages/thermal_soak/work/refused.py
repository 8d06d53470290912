"""What no soak takes: readings, duties, limits and plans that make no sense."""

from collections.abc import Sequence

from commission.base.errors import InputError, NotAllowed
from commission.record.build_state import BuildState
from commission.stages.thermal_soak.judge.duties_left import refuse_duty_name
from commission.stages.thermal_soak.model import MOST_READINGS, SoakPlan, SoakReading
from commission.units.worded import worded

COLDEST_K = 253.15
"""Colder readings are slips [K]; our choice: no machine is put into service below -20 degC."""
HOTTEST_K = 423.15
"""Hotter ones are, too [K]; our choice: chips switch off well below 150 degC."""
LOWEST_LIMIT_K = 313.15
"""No component is limited lower [K]; our choice: 40 degC is a warm room, and drives are made for 60 and more."""
MOST_LOAD_W = 4000.0
"""Largest load [W]; our choice: what a supply's inlet carries at most, 16 A at 250 V. Source: IEC 60320-1, C20 (from
memory)."""
LONGEST_NAME = 40
"""Longest name of a component or chain [characters]; our choice: it stays one line of a card."""
AHEAD_S = 60.0
"""Most that a reading may lie after now [s]; our choice: the logger was started by hand before the soak was."""


def refuse_limit(name: str, most_k: float, source: str) -> None:
    """Raise InputError where no component is limited like that."""
    if not name or len(name) > LONGEST_NAME:
        raise InputError(f"name the component as readings call it, in at most {LONGEST_NAME} characters")
    if not LOWEST_LIMIT_K <= most_k <= HOTTEST_K:
        raise InputError(worded("a component's limit is 40 to 150 degC; correct it"))
    if not source.strip():
        raise InputError("say where that limit stands, such as data sheet: a limit of nobody proves nothing")


def refuse_plan(plan: SoakPlan) -> None:
    """Raise InputError where no coolant or display is like that."""
    if not 0 <= plan.mass_fraction <= 0.6 or (plan.base is None and plan.mass_fraction):
        raise InputError("the glycol in the coolant is 0 to 60 % by mass, and 0 in water; correct the share")
    if not 0 < plan.resolution_k <= 2:
        raise InputError(worded("the step of a display is above 0 and at most 2 K; correct it"))


def refuse_readings(before: Sequence[SoakReading], fresh: Sequence[SoakReading]) -> None:
    """Raise where readings make no sense behind those that are there."""
    if not fresh:
        raise InputError("there is no reading; type coolant and air at least")
    if len(before) + len(fresh) > MOST_READINGS:
        raise NotAllowed(f"a soak keeps {MOST_READINGS} at most; read less often, such as once in ten seconds")
    last = before[-1].elapsed_s if before else -1.0
    for reading in fresh:
        if reading.elapsed_s <= last:
            raise NotAllowed(
                f"a reading at {reading.elapsed_s:g} s stands behind one at {last:g} s; readings go forward in time"
            )
        last = reading.elapsed_s
        _refuse_reading(reading)


def refuse_duties(state: BuildState, readings: Sequence[SoakReading]) -> None:
    """Raise InputError where a duty is of no chain of the build; any name is taken where it has none."""
    for reading in readings:
        for duty in reading.duties:
            refuse_duty_name(state, duty.name, table=not reading.typed)


def refuse_ahead(fresh: Sequence[SoakReading], elapsed_s: float) -> None:
    """Raise NotAllowed where readings lie after now: they are of a soak that this one is not.

    Parameters
    ----------
    elapsed_s
        How long the soak goes on by now [s].
    """
    last_s = max((one.elapsed_s for one in fresh), default=0.0)
    if last_s > elapsed_s + AHEAD_S:
        raise NotAllowed(
            f"a reading at {last_s:g} s lies after now: this soak began {max(0.0, elapsed_s):.0f} s ago. Record it "
            "once that time has passed. A soak of another time: judge its table alone, with: commission judge soak"
        )


def _refuse_reading(reading: SoakReading) -> None:
    if reading.warm_k is None and reading.cool_k is None:
        raise InputError("type a temperature of the coolant: warm, on its way to the radiators, or cool, from them")
    kelvins = [one for one in (reading.air_k, reading.warm_k, reading.cool_k) if one is not None]
    if not all(COLDEST_K <= one <= HOTTEST_K for one in [*kelvins, *(part.value for part in reading.components)]):
        raise InputError(worded("a temperature is outside -20 to 150 degC; check its number and unit"))
    if reading.flow_m3_s is not None and reading.flow_m3_s < 0:
        raise InputError("a flow is 0 or more; correct it")
    if reading.load_w is not None and reading.load_w < 0:
        raise InputError("a load is 0 or more; correct it")
    if reading.load_w is not None and reading.load_w > MOST_LOAD_W:
        raise InputError(worded("a load above 4000 W: no supply's inlet carries that; correct it"))
    if not all(0 <= one.value <= 1 for one in reading.duties):
        raise InputError("a duty is 0 to 100 %; correct it")
    for names in ([one.name for one in reading.components], [one.name for one in reading.duties]):
        if len(set(names)) != len(names):
            raise InputError("one name stands twice in a reading; keep one")
