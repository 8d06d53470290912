"""The plan of a hold: drawn up from what is known, one thing changed a line, and what it can decide."""

from collections.abc import Callable
from dataclasses import replace

from commission.domain.entries import HoldPlan
from commission.domain.errors import InputError
from commission.domain.instrument import Instrument, InstrumentKind
from commission.domain.loop import LoopVolume
from commission.domain.quantity import Quantity
from commission.domain.state import ShopState
from commission.domain.text import clip
from commission.procedure.model import Limit, Stage
from commission.tui.flows.ask import command, one_of
from commission.tui.flows.figures import difference, duration, pressure, rate
from commission.units.parse import parse, parse_with_uncertainty
from commission.units.show import show
from commission.units.tables import BY_SPELLING

WORDS = (
    "limit", "time", "settle", "pressure", "every", "room", "gauge", "thermometer", "barometer", "volume", "measure",
)  # fmt: skip
"""What can be changed."""

GAUGES = (InstrumentKind.GAUGE, InstrumentKind.ABSOLUTE_GAUGE)
TYPED_ERROR = 0.10
"""Half-width of a volume that was typed without one [1]; common practice, no source."""
BORE_LENGTH_M = 0.010
"""Length of the hole by which a leak rate is pictured [m]."""
IN_USE_PA = 20_000.0
"""Pressure of the coolant by which a leak rate is pictured [Pa gauge]; common practice, no source."""
YEAR_S = 365.25 * 86_400


def first_plan(stage: Stage, shop: ShopState, loop: LoopVolume, before: HoldPlan | None) -> HoldPlan | None:
    """Return a plan to start from: the last one, or the usual figures; None where no gauge was described yet."""
    gauges = [one for one in shop.instruments if one.kind in GAUGES]
    if not gauges:
        return None
    if before is not None:
        return replace(before, volume_m3=loop.volume_m3, u_volume_m3=loop.u_volume_m3, volume_basis=loop.basis)
    return HoldPlan(
        limit_pa_m3_s=stage.limit("leak_rate_pa_m3_s"),
        hold_s=stage.limit("hold_s"),
        settle_s=stage.limit("settle_min_s"),
        target_gauge_pa=stage.limit("target_gauge_pa"),
        every_s=stage.limit("every_s"),
        gauge=gauges[-1],
        thermometer=_last_of(shop, InstrumentKind.THERMOMETER),
        barometer=_last_of(shop, InstrumentKind.BAROMETER),
        room_swing_k=stage.limit("room_swing_k"),
        volume_m3=loop.volume_m3,
        u_volume_m3=loop.u_volume_m3,
        volume_basis=loop.basis,
    )


def changed(plan: HoldPlan, text: str, stage: Stage, shop: ShopState, loop: LoopVolume | None) -> HoldPlan:
    """Return the plan with one thing changed, told by its word or by its unit.

    Raises
    ------
    InputError
        If it cannot be told what is meant, or the value makes no sense.
    """
    word, rest = command(text, WORDS)
    word = word or _kind_of(rest)
    if not rest:
        raise InputError(f"{clip(text)} says not to what; type such as limit 5e-3 mbar·L/s, time 1 h, gauge NAME")
    match word:
        case "volume":
            return _with_volume(plan, rest, loop)
        case "gauge":
            return replace(plan, gauge=_instrument(rest, shop, GAUGES, "gauge"))
        case "thermometer":
            return replace(plan, thermometer=_or_none(rest, shop, InstrumentKind.THERMOMETER))
        case "barometer":
            return replace(plan, barometer=_or_none(rest, shop, InstrumentKind.BAROMETER))
        case "settle" if rest.casefold() == "auto":
            return replace(plan, settle_s=None)
        case _ if word in _SET:
            return _SET[word](plan, rest, stage)
        case _:
            raise InputError(f"{clip(text)} changes nothing known here; start with one of {', '.join(WORDS)}")


def told(plan: HoldPlan, text: str) -> str:
    """Return what a line changed, as it stands in the changed plan."""
    word = command(text, WORDS)[0] or _kind_of(text)
    said = {label: value for label, value in rows(plan) if label.startswith(word)}
    return " · ".join(f"{label} {value}" for label, value in said.items()) or text.strip()


def rows(plan: HoldPlan) -> list[tuple[str, str]]:
    """Return the plan as words and values, each word being what changes it."""
    half = show(plan.u_volume_m3 * 3**0.5, Quantity.VOLUME, unit="L" if plan.volume_m3 >= 1e-3 else "mL", digits=2)
    return [
        ("limit", rate(plan.limit_pa_m3_s)),
        ("pressure", pressure(plan.target_gauge_pa, plan.gauge.unit)),
        ("time", duration(plan.hold_s)),
        ("settle", "found from the readings" if plan.settle_s is None else duration(plan.settle_s)),
        ("every", f"{duration(plan.every_s)}, a reading"),
        ("gauge", plan.gauge.name),
        ("thermometer", plan.thermometer.name if plan.thermometer else f"none: room ± {_room(plan)}"),
        ("barometer", plan.barometer.name if plan.barometer else "none"),
        ("room", f"{show(plan.room_swing_k, Quantity.TEMPERATURE_DIFFERENCE)} swing, if nobody reads it"),
        ("volume", f"{show(plan.volume_m3, Quantity.VOLUME, digits=3)} ± {half}, {plan.volume_basis}"),
    ]


def meaning(plan: HoldPlan) -> str:
    """Return what the limit means: a hole, and water in a year."""
    from commission.physics.capillary import capillary_diameter, liquid_leak_rate

    outside = 101_325.0
    inside = outside + plan.target_gauge_pa
    hole = capillary_diameter(plan.limit_pa_m3_s, BORE_LENGTH_M, inside, outside)
    water = liquid_leak_rate(plan.limit_pa_m3_s, inside, outside, IN_USE_PA) * YEAR_S
    lost = show(water, Quantity.VOLUME, digits=2)
    return f"one hole of {hole * 1e6:.0f} µm, 10 mm long; at most {lost} of water a year at 0.2 bar"


def stored_joule(volume_m3: float, target_gauge_pa: float) -> float:
    """Return the energy that the loop will hold [J]."""
    from commission.physics.stored_energy import PCC2_ATMOSPHERE_PA, stored_energy

    return stored_energy(PCC2_ATMOSPHERE_PA + target_gauge_pa, volume_m3)


def expected_drop(pa: float, plan: HoldPlan) -> str:
    """Return a fall of the pressure and how many steps of the gauge that is."""
    steps = pa / plan.gauge.resolution
    return f"{difference(pa, plan.gauge.unit)}, {steps:.1f} steps of the gauge"


def _room(plan: HoldPlan) -> str:
    return show(plan.room_swing_k / 2, Quantity.TEMPERATURE_DIFFERENCE)


def _last_of(shop: ShopState, kind: InstrumentKind) -> Instrument | None:
    fitting = [one for one in shop.instruments if one.kind is kind]
    return fitting[-1] if fitting else None


def _instrument(name: str, shop: ShopState, kinds: tuple[InstrumentKind, ...], what: str) -> Instrument:
    fitting = {one.instrument_id: one for one in shop.instruments if one.kind in kinds}
    if not fitting:
        raise InputError(f"no {what} was described yet; type {what} new")
    return fitting[one_of(name, {key: one.name for key, one in fitting.items()}, what)]


def _or_none(name: str, shop: ShopState, kind: InstrumentKind) -> Instrument | None:
    return None if name.casefold() in ("none", "no", "-") else _instrument(name, shop, (kind,), str(kind))


def _with_volume(plan: HoldPlan, text: str, loop: LoopVolume | None) -> HoldPlan:
    if text.casefold() in ("parts", "sheet", "measured"):
        if loop is None:
            raise InputError("the build sheet has no parts yet; type the volume, or measure it on air")
        return replace(plan, volume_m3=loop.volume_m3, u_volume_m3=loop.u_volume_m3, volume_basis=loop.basis)
    typed = typed_volume(text)
    return replace(plan, volume_m3=typed.volume_m3, u_volume_m3=typed.u_volume_m3, volume_basis=typed.basis)


def typed_volume(text: str) -> LoopVolume:
    """Return a loop's volume from text such as ``1.2 L ± 5 %``; ± 10 % where none is given.

    Raises
    ------
    UnitError
        If it cannot be read.
    """
    value, u = parse_with_uncertainty(text, Quantity.VOLUME)
    return LoopVolume(
        volume_m3=value.si, u_volume_m3=TYPED_ERROR * value.si / 3**0.5 if u is None else u, basis="typed"
    )


def _kind_of(text: str) -> str:
    """Return which word a line without one means, by its unit."""
    spelling = " ".join(text.lstrip("0123456789.,+-−eE ").split())
    for word, quantity in (
        ("pressure", Quantity.GAUGE_PRESSURE),
        ("time", Quantity.DURATION),
        ("volume", Quantity.VOLUME),
        ("room", Quantity.TEMPERATURE_DIFFERENCE),
    ):
        if spelling in BY_SPELLING[quantity]:
            return word
    return "limit" if "/" in spelling else ""


def _bounds(stage: Stage, name: str) -> Limit:
    return next(limit for limit in stage.limits if limit.id == name)


def _reader(field: str, limit: str, quantity: Quantity) -> Callable[[HoldPlan, str, Stage], HoldPlan]:
    def read(plan: HoldPlan, text: str, stage: Stage) -> HoldPlan:
        span = _bounds(stage, limit)
        unit = plan.gauge.unit if quantity is Quantity.GAUGE_PRESSURE else None
        value = parse(text, quantity, usual=unit, low=span.low, high=span.high)
        return replace(plan, **{field: value.si})

    return read


_SET: dict[str, Callable[[HoldPlan, str, Stage], HoldPlan]] = {
    "limit": _reader("limit_pa_m3_s", "leak_rate_pa_m3_s", Quantity.LEAK_RATE),
    "time": _reader("hold_s", "hold_s", Quantity.DURATION),
    "settle": _reader("settle_s", "settle_min_s", Quantity.DURATION),
    "pressure": _reader("target_gauge_pa", "target_gauge_pa", Quantity.GAUGE_PRESSURE),
    "every": _reader("every_s", "every_s", Quantity.DURATION),
    "room": _reader("room_swing_k", "room_swing_k", Quantity.TEMPERATURE_DIFFERENCE),
}
