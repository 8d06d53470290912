"""The plan of a hold: drawn up from what is known, one thing changed a line, and what it can decide."""

from commission.base.errors import InputError
from commission.base.frozen import replace
from commission.base.quantity import Quantity
from commission.base.text import clip
from commission.bench.ask import command, one_of
from commission.procedure.model import Stage
from commission.record.fold import ShopState
from commission.record.machine.instrument import Instrument, InstrumentKind
from commission.record.machine.loop import LoopVolume
from commission.stages.pressure_hold.entries import HoldPlan
from commission.stages.pressure_hold.judge.leak_class import class_named
from commission.stages.pressure_hold.rows.plan import plan_pairs
from commission.stages.pressure_hold.typed.volume import typed_volume
from commission.stages.pressure_hold.work.plan_rules import as_described, refuse_loose
from commission.units.chosen import bare_unit
from commission.units.parse import parse
from commission.units.tables import BY_SPELLING

WORDS = {
    "limit": "limit 5e-3 mbar·L/s: the leak rate that counts; or limit strict",
    "time": "time 1 h: how long it is held after settling",
    "settle": "settle 10 min: what is left out at the start; or settle auto",
    "pressure": "pressure 0.4 bar: the test pressure",
    "every": "every 5 min: how often a reading is asked for",
    "room": "room 1 K: by how much the room swings",
    "gauge": "gauge NAME: another gauge; gauge new describes one",
    "thermometer": "thermometer NAME: another one; or none, or new",
    "barometer": "barometer NAME: another one; or none, or new",
    "volume": "volume 1.2 L ± 5 %: what the loop holds",
    "measure": "measure: the volume of the loop is measured on air",
}
"""What can be changed."""

METERS = ("instruments", "instrument", "meters", "meter", "tools")
"""Words for a list that is none of the plan's: they are told where it is."""
GAUGES = (InstrumentKind.GAUGE, InstrumentKind.ABSOLUTE_GAUGE)


def first_plan(stage: Stage, shop: ShopState, loop: LoopVolume, before: HoldPlan | None) -> HoldPlan | None:
    """Return a plan to start from: the last one, or the usual figures; None where no gauge was described yet.

    The instruments of the last one are taken as they are described by now.
    """
    gauges = [one for one in shop.instruments if one.kind in GAUGES]
    if not gauges:
        return None
    if before is not None:
        before = as_described(before, shop.instruments)
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
    word, rest = word_of(text), command(text, WORDS)[1]
    if not rest:
        raise InputError(f"{clip(text)} says not to what; type such as limit 5e-3 mbar·L/s, time 1 h, gauge NAME")
    match word:
        case "volume":
            new = _with_volume(plan, rest, loop)
        case "gauge":
            new = replace(plan, gauge=_instrument(rest, shop, GAUGES, "gauge"))
        case "thermometer":
            new = replace(plan, thermometer=_or_none(rest, shop, InstrumentKind.THERMOMETER))
        case "barometer":
            new = replace(plan, barometer=_or_none(rest, shop, InstrumentKind.BAROMETER))
        case "settle" if rest.casefold() == "auto":
            new = replace(plan, settle_s=None)
        case _ if word in _SET:
            new = _with_value(plan, word, rest, stage)
        case _:
            if text.strip().casefold() in METERS:
                raise InputError("meters are described in their own list, on F5; the plan waits here meanwhile")
            raise InputError(f"{clip(text)} changes nothing known here; start with one of {', '.join(WORDS)}")
    return _said(new, word)


def word_of(text: str) -> str:
    """Return the word of the plan that a line is about, told by itself or by a unit; empty where it is none.

    >>> word_of("1 h"), word_of("limit strict"), word_of("strict")
    ('time', 'limit', 'limit')
    """
    word, rest = command(text, WORDS)
    return word or ("limit" if class_named(rest) else _kind_of(rest))


def told(plan: HoldPlan, text: str) -> str:
    """Return what a line changed, as it stands in the changed plan."""
    word = word_of(text)
    said = {label: value for label, value in plan_pairs(plan) if label.startswith(word)}
    return " · ".join(f"{label} {value}" for label, value in said.items()) or text.strip()


def _last_of(shop: ShopState, kind: InstrumentKind) -> Instrument | None:
    fitting = [one for one in shop.instruments if one.kind is kind]
    return fitting[-1] if fitting else None


def _instrument(name: str, shop: ShopState, kinds: tuple[InstrumentKind, ...], what: str) -> Instrument:
    fitting = {one.instrument_id: one for one in shop.instruments if one.kind in kinds}
    if not fitting:
        raise InputError(f"no {what} was described yet; type {what} new")
    try:
        return fitting[one_of(name, {key: one.name for key, one in fitting.items()}, what)]
    except InputError as error:
        raise InputError(f"{error}; or {what} new, to describe another") from None


def _or_none(name: str, shop: ShopState, kind: InstrumentKind) -> Instrument | None:
    return None if name.casefold() in ("none", "no", "-") else _instrument(name, shop, (kind,), str(kind))


def _with_volume(plan: HoldPlan, text: str, loop: LoopVolume | None) -> HoldPlan:
    if text.casefold() in ("parts", "sheet", "measured"):
        if loop is None:
            raise InputError("the parts list is empty; type the volume, or measure it on air")
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


def with_instrument(plan: HoldPlan, new: Instrument) -> HoldPlan:
    """Return the plan with another instrument of its kind."""
    match new.kind:
        case InstrumentKind.THERMOMETER:
            return _said(replace(plan, thermometer=new), "thermometer")
        case InstrumentKind.BAROMETER:
            return _said(replace(plan, barometer=new), "barometer")
        case _:
            return _said(replace(plan, gauge=new), "gauge")


def _said(plan: HoldPlan, word: str) -> HoldPlan:
    """Return the plan with one thing less that is assumed."""
    return replace(plan, assumed=tuple(one for one in plan.assumed if one != word))


def _with_value(plan: HoldPlan, word: str, text: str, stage: Stage) -> HoldPlan:
    if word == "limit" and (named := class_named(text)) is not None:
        return replace(plan, limit_pa_m3_s=named.limit_pa_m3_s)
    limit, quantity = _SET[word]
    span = stage.bounds(limit)
    unit = bare_unit(quantity, plan.gauge.unit) if quantity is Quantity.GAUGE_PRESSURE else None
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
