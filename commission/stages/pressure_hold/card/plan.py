"""The plan of a hold: drawn up from what is known, one thing changed a line, and what it can decide."""

from typing import TYPE_CHECKING

from commission.base.errors import InputError
from commission.base.frozen import replace
from commission.base.quantity import K95, Quantity
from commission.base.text import clip
from commission.bench.ask import command, one_of
from commission.bench.figures import difference, duration, energy, forecast, pressure, rate
from commission.procedure.model import Limit, Stage
from commission.record.fold import ShopState
from commission.record.machine.instrument import Instrument, InstrumentKind
from commission.record.machine.loop import LoopVolume
from commission.stages.pressure_hold.entries import HoldPlan
from commission.stages.pressure_hold.judge.leak_class import CLASSES, PUMP_PA, class_named, class_of
from commission.stages.pressure_hold.lines.at_hand import stored_joule
from commission.stages.pressure_hold.lines.volume import typed_volume
from commission.stages.pressure_hold.work.plan_rules import refuse_loose
from commission.units.parse import parse
from commission.units.show import show
from commission.units.tables import BY_SPELLING

if TYPE_CHECKING:
    from commission.stages.pressure_hold.model import Capability

WORDS = (
    "limit", "time", "settle", "pressure", "every", "room", "gauge", "thermometer", "barometer", "volume", "measure",
)  # fmt: skip
"""What can be changed."""

GAUGES = (InstrumentKind.GAUGE, InstrumentKind.ABSOLUTE_GAUGE)
BORE_LENGTH_M = 0.010
"""Length of the hole by which a leak rate is pictured [m]."""
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
    word = word or ("limit" if class_named(rest) else _kind_of(rest))
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
            return _with_value(plan, word, rest, stage)
        case _:
            raise InputError(f"{clip(text)} changes nothing known here; start with one of {', '.join(WORDS)}")


def is_time(text: str) -> bool:
    """Return whether a line sets the length of the hold, such as ``time 1 h`` or ``1 h``."""
    word, rest = command(text, WORDS)
    return (word or _kind_of(rest)) == "time"


def told(plan: HoldPlan, text: str) -> str:
    """Return what a line changed, as it stands in the changed plan."""
    word = command(text, WORDS)[0] or ("limit" if class_named(text) else _kind_of(text))
    said = {label: value for label, value in rows(plan) if label.startswith(word)}
    return " · ".join(f"{label} {value}" for label, value in said.items()) or text.strip()


def rows(plan: HoldPlan) -> list[tuple[str, str]]:
    """Return the plan as words and values, each word being what changes it."""
    half = show(K95 * plan.u_volume_m3, Quantity.VOLUME, unit="L" if plan.volume_m3 >= 1e-3 else "mL", digits=2)
    said = [
        ("limit", rate(plan.limit_pa_m3_s)),
        ("pressure", pressure(plan.target_gauge_pa, plan.gauge.unit)),
        ("time", duration(plan.hold_s)),
        ("settle", "as it shows" if plan.settle_s is None else duration(plan.settle_s)),
        ("every", duration(plan.every_s)),
        ("volume", f"{show(plan.volume_m3, Quantity.VOLUME, digits=3)} ± {half}"),
        ("gauge", plan.gauge.name),
        ("thermometer", plan.thermometer.name if plan.thermometer else "none"),
    ]
    if plan.thermometer is None:
        said.append(("room", show(plan.room_swing_k, Quantity.TEMPERATURE_DIFFERENCE)))
    return [*said, ("barometer", plan.barometer.name if plan.barometer else "none")]


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
    return f"The {limit} means one hole of {hole_um}, 10 mm long; water at 0.2 bar would lose at most {lost} a year."


def class_meanings() -> tuple[str, ...]:
    """Return what each limit with a name means: its figure, the water a year at a pump's pressure, and its source."""
    return tuple(
        f"Limit {one.name}: at most {show(one.water_m3_year, Quantity.VOLUME, digits=2)} of water a year through one "
        f"hole at 0.2 bar; {one.text}."
        for one in CLASSES
    )


def decides_text(able: "Capability") -> str:
    """Return after which time a tight loop passes, rounded up, for it is a forecast."""
    if able.hold_needed_s is None:
        return "no time in two days decides"
    return f"a tight loop passes after about {forecast(able.hold_needed_s)}"


def blind_text(plan: HoldPlan, blind_s: float | None) -> str:
    """Return what a hold as planned cannot see at its end: a leak that starts late."""
    if blind_s is None:
        return "Nothing here guards against a leak that starts late: read more often, or finer."
    seen = max(0.0, plan.hold_s - blind_s)
    return (
        f"A leak of three times the limit is found if it starts in the first {duration(seen // 60 * 60)}; "
        f"the last {forecast(blind_s)} are blind to it."
    )


def remarks(plan: HoldPlan, able: "Capability") -> dict[str, str]:
    """Return what stands beside each word of the plan: what follows from it."""
    steps = able.expected_drop_pa / plan.gauge.resolution
    needed = "no time in two days" if able.hold_needed_s is None else forecast(able.hold_needed_s)
    fall = difference(able.expected_drop_pa, plan.gauge.unit)
    return {
        "limit": f"finds {rate(able.smallest_detectable)}",
        "pressure": f"stores {energy(stored_joule(plan.volume_m3, plan.target_gauge_pa)).partition(',')[0]}",
        "time": f"{needed} would decide",
        "settle": "from the readings" if plan.settle_s is None else "left out before the time begins",
        "every": "a reading",
        "volume": "sum of the parts" if plan.volume_basis == "parts" else plan.volume_basis,
        "gauge": f"falls {fall}, {steps:.1f} steps",
        "thermometer": "" if plan.thermometer else "the room's swing is allowed for",
        "room": "swing, lowest to highest",
        "barometer": "" if plan.barometer else "the weather is allowed for",
    }


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


def with_instrument(plan: HoldPlan, new: Instrument) -> HoldPlan:
    """Return the plan with another instrument of its kind."""
    match new.kind:
        case InstrumentKind.THERMOMETER:
            return replace(plan, thermometer=new)
        case InstrumentKind.BAROMETER:
            return replace(plan, barometer=new)
        case _:
            return replace(plan, gauge=new)


def _with_value(plan: HoldPlan, word: str, text: str, stage: Stage) -> HoldPlan:
    if word == "limit" and (named := class_named(text)) is not None:
        return replace(plan, limit_pa_m3_s=named.limit_pa_m3_s)
    limit, quantity = _SET[word]
    span = _bounds(stage, limit)
    unit = plan.gauge.unit if quantity is Quantity.GAUGE_PRESSURE else None
    if word == "limit":
        refuse_loose(stage, parse(text, quantity).si)
    si = parse(text, quantity, usual=unit, low=span.low, high=span.high).si
    match word:
        case "limit":
            return replace(plan, limit_pa_m3_s=si)
        case "time":
            return replace(plan, hold_s=si)
        case "settle":
            return replace(plan, settle_s=si)
        case "pressure":
            return replace(plan, target_gauge_pa=si)
        case "every":
            return replace(plan, every_s=si)
        case _:
            return replace(plan, room_swing_k=si)


_SET: dict[str, tuple[str, Quantity]] = {
    "limit": ("leak_rate_pa_m3_s", Quantity.LEAK_RATE),
    "time": ("hold_s", Quantity.DURATION),
    "settle": ("settle_min_s", Quantity.DURATION),
    "pressure": ("target_gauge_pa", Quantity.GAUGE_PRESSURE),
    "every": ("every_s", Quantity.DURATION),
    "room": ("room_swing_k", Quantity.TEMPERATURE_DIFFERENCE),
}
"""Words that set a number, each with the limit that bounds it and what it is."""
