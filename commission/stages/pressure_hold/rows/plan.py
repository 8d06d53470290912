"""The plan of a hold as rows: what is planned, what that can decide, and what stands ready before the pressure."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.base.quantity import Quantity
from commission.bench.card import Figure, typed_rows
from commission.bench.figures import (
    basis,
    difference,
    duration,
    energy,
    forecast,
    half_width,
    instrument_line,
    loop_volume,
    pressure,
    rate,
    step_text,
)
from commission.record.machine.instrument import GaugeFace
from commission.stages.pressure_hold.at_hand import stored_joule
from commission.stages.pressure_hold.judge.leak_class import CLASSES, PUMP_PA, class_of
from commission.units.show import show
from commission.units.worded import worded

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from commission.record.machine.instrument import Instrument
    from commission.record.machine.loop import LoopVolume
    from commission.record.machine.parts import Part
    from commission.stages.pressure_hold.entries import HoldPlan
    from commission.stages.pressure_hold.model import Capability

BORE_LENGTH_M = 0.010
"""Length of the hole by which a leak rate is pictured [m]."""
YEAR_S = 365.25 * 86_400

ASSUMABLE = ("limit", "settle", "every", "volume", "gauge", "thermometer", "room", "barometer")
"""What a quick hold leaves open, by the words of the plan: of the volume how well it is known, of the gauge its range
and its accuracy."""


def plan_rows(plan: HoldPlan, able: Capability) -> tuple[Figure, ...]:
    """Return the plan, each thing with what follows from it beside it."""
    beside = remarks(plan, able)
    return tuple(
        Figure(label=label, value=value, bounds=beside[label], remark="assumed" if label in plan.assumed else "")
        for label, value in plan_pairs(plan)
    )


def assumed_text(plan: HoldPlan) -> str:
    """Return what the plan counts with though nobody said it, in one sentence; empty where all was said."""
    said, gauge = dict(plan_pairs(plan)), plan.gauge
    said["volume"] = f"{said['volume']} ({basis(plan.volume_basis)})"
    said["gauge"] = instrument_line(gauge)
    if not (named := [f"{word} {said[word]}" for word in plan.assumed if word in said]):
        return ""
    return f"Assumed: {'; '.join(named)}."


def plan_line(plan: HoldPlan) -> str:
    """Return the whole plan in one line."""
    return ", ".join(f"{word} {value}" for word, value in plan_pairs(plan))


def ready_rows(plan: HoldPlan) -> tuple[Figure, ...]:
    """Return what is pumped up: the energy in it with something to picture it by, and the plan in short."""
    stored, _, pictured = energy(stored_joule(plan.volume_m3, plan.target_gauge_pa)).partition(", ")
    return (Figure(label="stored energy", value=stored, bounds=pictured), *typed_rows(plan_pairs(plan)[:5]))


def rating_rows(parts: Iterable[Part]) -> tuple[Figure, ...]:
    """Return the parts under test with the rating of each."""
    return tuple(
        Figure(label=part.name, value="", bounds="rating not known")
        if part.max_gauge_pa is None
        else Figure(label=part.name, value=pressure(part.max_gauge_pa))
        for part in parts
    )


def volume_rows(known: LoopVolume | None, label: str = "loop volume") -> tuple[Figure, ...]:
    """Return the volume of the loop; nothing where nobody knows it."""
    return () if known is None else typed_rows([(label, loop_volume(known))])


def plan_pairs(plan: HoldPlan) -> list[tuple[str, str]]:
    """Return the plan as words and values, each word being what changes it."""
    said = [
        ("limit", rate(plan.limit_pa_m3_s)),
        ("pressure", pressure(plan.target_gauge_pa, plan.gauge.unit)),
        ("time", duration(plan.hold_s)),
        ("settle", "as it shows" if plan.settle_s is None else duration(plan.settle_s)),
        ("every", duration(plan.every_s)),
        ("volume", half_width(plan.volume_m3, plan.u_volume_m3)),
        ("gauge", plan.gauge.name),
        ("thermometer", plan.thermometer.name if plan.thermometer else "none"),
    ]
    if plan.thermometer is None:
        said.append(("room", show(plan.room_swing_k, Quantity.TEMPERATURE_DIFFERENCE)))
    return [*said, ("barometer", plan.barometer.name if plan.barometer else "none")]


def _needle(gauge: Instrument) -> str:
    """Return what a needle adds to the bounds: its friction, unless it is tapped."""
    if gauge.face is not GaugeFace.DIAL:
        return ""
    if gauge.tapped:
        return "; needle tapped"
    return f"; an untapped needle hides {step_text(gauge, gauge.division or gauge.resolution)}"


def meaning(plan: HoldPlan) -> str:
    """Return what the limit means: the diameter of one hole, and the water that it would lose in a year."""
    from commission.physics.capillary import capillary_diameter, liquid_leak_rate
    from commission.physics.gas import STANDARD_ATMOSPHERE_PA as OUTSIDE_PA
    from commission.physics.gas import absolute_pressure

    inside = absolute_pressure(plan.target_gauge_pa, OUTSIDE_PA)
    hole = capillary_diameter(plan.limit_pa_m3_s, BORE_LENGTH_M, inside, OUTSIDE_PA)
    water = liquid_leak_rate(plan.limit_pa_m3_s, inside, OUTSIDE_PA, PUMP_PA) * YEAR_S
    lost = show(water, Quantity.VOLUME, digits=2)
    hole_um = f"{hole * 1e6:.0f} µm"
    named = class_of(plan.limit_pa_m3_s)
    limit = f"limit ({named.name})" if named else "limit"
    return worded(f"The {limit} means one hole of {hole_um}, 10 mm long: at most {lost} of water a year at 0.2 bar.")


def class_meanings() -> tuple[str, ...]:
    """Return what each limit with a name means: its figure, the water a year at a pump's pressure, and its source."""
    return tuple(
        worded(
            f"Limit {one.name}: at most {show(one.water_m3_year, Quantity.VOLUME, digits=2)} of water a year "
            f"through one hole at 0.2 bar; {one.text}."
        )
        for one in CLASSES
    )


def decides_text(able: Capability) -> str:
    """Return after which time a tight loop passes and a leak is found, rounded up, for both are forecasts."""
    if able.hold_needed_s is None:
        return "no time in two days decides"
    passes = forecast(able.hold_needed_s if able.pass_s is None else able.pass_s)
    return (
        f"a tight loop passes after about {passes}; any leak at the limit is found after {forecast(able.hold_needed_s)}"
    )


def shorter_text(ways: Sequence[tuple[str, float]]) -> str:
    """Return what would shorten the hold; empty where nothing would.

    >>> shorter_text([("a thermometer at the loop", 1210.0), ("a barometer", 1500.0)])
    'Shorter: a thermometer at the loop, 21 min; a barometer, 25 min.'
    """
    said = "; ".join(f"{what}, {forecast(seconds)}" for what, seconds in ways)
    return f"Shorter: {said}." if said else ""


def blind_text(plan: HoldPlan, blind_s: float | None) -> str:
    """Return what a hold as planned cannot see at its end: a leak that starts late."""
    if blind_s is None:
        return "Nothing here guards against a leak that starts late: read more often, or finer."
    seen = max(0.0, plan.hold_s - blind_s)
    return (
        "A leak of three times the limit is found if it starts in the first "
        f"{duration(seen // 60 * 60)}. The last {forecast(blind_s)} are blind to it."
    )


def remarks(plan: HoldPlan, able: Capability) -> dict[str, str]:
    """Return what stands beside each word of the plan: what follows from it."""
    steps = able.expected_drop_pa / plan.gauge.resolution
    told = f"{steps:.0f}" if steps >= 10 else f"{steps:.2g}"
    needed = "no time in two days" if able.hold_needed_s is None else forecast(able.hold_needed_s)
    named = class_of(plan.limit_pa_m3_s)
    finds = rate(able.smallest_detectable).partition(" ")[0]
    fall = difference(able.expected_drop_pa, plan.gauge.unit)
    return {
        "limit": f"{f'{named.name}, ' if named else ''}detection limit {finds}",
        "pressure": f"stores {energy(stored_joule(plan.volume_m3, plan.target_gauge_pa)).partition(',')[0]}",
        "time": f"{needed} would decide",
        "settle": "from the readings" if plan.settle_s is None else "left out before the time begins",
        "every": "a reading",
        "volume": "sum of the parts" if plan.volume_basis == "parts" else plan.volume_basis,
        "gauge": f"drops {fall}, {told} steps{_needle(plan.gauge)}",
        "thermometer": "" if plan.thermometer else "the room's swing is allowed for",
        "room": "swing, lowest to highest",
        "barometer": "" if plan.barometer else "the weather is allowed for",
    }
