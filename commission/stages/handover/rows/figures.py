"""A handover and its years in figures and words, the same on its card, in ``show`` and in a report."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.base.text import counted
from commission.bench.card import Figure, raw
from commission.bench.figures import local_time, millilitres, millilitres_between
from commission.record.done_at import done_ms
from commission.stages.fill.typed.life import every_text
from commission.stages.handover.judge.due import DAY_MS, days_left
from commission.stages.handover.judge.per_watt import YEAR_S
from commission.stages.handover.model import DueItem, Loss, LossWord, PartIn, PerWatt, ServiceItem, SinceWord
from commission.stages.handover.state import HandoverState
from commission.stages.handover.text import spares_text
from commission.stages.handover.work.standing import life_of
from commission.stages.handover.work.years import coolant_in, due_of, loss_of, per_watt_of

if TYPE_CHECKING:
    from collections.abc import Iterator

    from commission.procedure.model import Stage
    from commission.record.fold import BuildState
    from commission.record.logbook import Logbook
    from commission.record.logged import Logged

MONTH_S = YEAR_S / 12
LEFT_OUT = ("visits", "goes along", "coolant lasts")
"""Labels of the figures that the card has no room for once it was handed over."""
_TOLD = {
    ServiceItem.LOOK: "level and joints",
    ServiceItem.CLEANING: "filters and radiators",
    ServiceItem.COOLANT: "drain, fill, bleed",
    ServiceItem.SOAK: "compare coolant above air per watt",
}


def figures_of(book: Logbook, stage: Stage, state: BuildState) -> tuple[Figure, ...]:
    """Return the figures of a handover and of the years after it, the most important first."""
    return tuple(_figures(book, stage, state))


def _figures(book: Logbook, stage: Stage, state: BuildState) -> Iterator[Figure]:
    kept = state.of(HandoverState)
    if kept.handed:
        yield from _handed(kept.handed[-1], kept)
    now = book.clock.now().wall_ms
    for item in due_of(book, state):
        yield due_figure(item, now, book.clock.now().offset_min)
    loss = loss_of(stage, book.entries(state.build_id), state)
    if loss is not None:
        yield loss_figure(loss)
    compared = per_watt_of(book, stage, state)
    if compared is not None:
        yield from per_watt_figures(compared)
    bottles = coolant_in(book, state)
    if kept.handed and bottles:
        yield coolant_figure(bottles, now, book.clock.now().offset_min)
    if kept.spares is not None:
        yield Figure(label="goes along", value=spares_text(kept.spares))
    life, typed = life_of(stage, state), "" if kept.life is None else kept.life.typed
    if kept.life is not None or (life is not None and kept.spares is not None):
        yield Figure(
            label="coolant lasts",
            value="not stated" if life is None else typed or every_text(life),
            remark="by its bottle",
            raw=raw("s", life),
        )


def _handed(entry: Logged, kept: HandoverState) -> Iterator[Figure]:
    last = kept.last
    assert last is not None  # there is a handover
    over = ", ".join(last.verdict.overridden)
    yield Figure(
        label="to",
        value=last.to,
        bounds=f"on {day_text(done_ms(entry), entry.mark.offset_min)}",
        remark=f"on a reason alone: {over}" if over else "",
    )
    if kept.visits:
        yield Figure(label="visits", value=str(len(kept.visits)), raw=raw("1", len(kept.visits)))


def day_text(ms: int, offset_min: int) -> str:
    """Return a day as ISO 8601 writes it.

    >>> day_text(1_773_475_200_000, 60)
    '2026-03-14'
    """
    return f"{local_time(ms, offset_min):%Y-%m-%d}"


def due_figure(item: DueItem, now_ms: int, offset_min: int) -> Figure:
    """Return when something is due, and how often."""
    every = f"every {every_text(item.every_s)}"
    return Figure(
        label=str(item.item),
        value=f"due {day_text(item.due_ms, offset_min)}",
        bounds=left_text(days_left(item, now_ms, offset_min)),
        remark="; ".join(part for part in (every, item.why, _TOLD[item.item]) if part),
        raw=raw("d", (item.due_ms - now_ms) / DAY_MS),
    )


def left_text(days: int) -> str:
    """Return in how many days something is due, or since how many it is.

    >>> left_text(1), left_text(0), left_text(-3)
    ('in 1 day', 'today', 'OVERDUE by 3 days')
    """
    if days == 0:
        return "today"
    return f"in {counted(days, 'day')}" if days >= 0 else f"OVERDUE by {counted(-days, 'day')}"


def next_text(item: DueItem, now_ms: int, offset_min: int) -> str:
    """Return what is due next in a few words, for the list of builds, which cuts what is long at its end."""
    if item.due_ms < now_ms:
        return f"overdue: {item.item}"
    return f"{day_text(item.due_ms, offset_min)}: {item.item}"


def _per_month(m3_s: float) -> float:
    return m3_s * MONTH_S


def loss_figure(loss: Loss) -> Figure:
    """Return what is lost a month."""
    rate, low, high = map(_per_month, (loss.rate_m3_s, loss.low_m3_s, loss.high_m3_s))
    return Figure(
        label="coolant lost",
        value=f"{millilitres(rate)} a month",
        bounds=f"{millilitres_between(low, high, rate)} (95 %)",
        remark=f"{loss.word}; {counted(loss.top_ups, 'top-up')}, {millilitres(loss.total_m3)} in all",
        raw=raw("m3/s", loss.rate_m3_s, loss.low_m3_s, loss.high_m3_s),
    )


def per_watt_figures(found: PerWatt) -> Iterator[Figure]:
    """Yield coolant above air per watt beside what it was at handover."""
    yield Figure(
        label="per watt",
        value=f"{1000 * found.last.value:.1f} mK/W",
        bounds=f"{_percent(found.change)} since handover, {_percent(found.low)} to {_percent(found.high)} (95 %)",
        remark=f"{found.word}; it was {1000 * found.first.value:.1f} mK/W; {counted(found.soaks, 'soak')}",
        raw=raw("1", found.change, found.low, found.high),
    )
    if found.per_year is not None and found.u_per_year is not None:
        low, high = found.per_year - found.u_per_year, found.per_year + found.u_per_year
        yield Figure(
            label="per watt, a year",
            value=_percent(found.per_year),
            bounds=f"{_percent(low)} to {_percent(high)} (95 %)",
            remark="by a straight line",
            raw=raw("1/a", found.per_year, low, high),
        )


def _percent(share: float) -> str:
    """Return a change in per cent with its sign.

    >>> _percent(0.0234), _percent(-0.0001)
    ('+2 %', '0 %')
    """
    whole = round(100 * share)
    return f"{whole:+d} %" if whole else "0 %"


def coolant_figure(bottles: tuple[PartIn, ...], now_ms: int, offset_min: int) -> Figure:
    """Return how old the coolant is, and what was mixed into it when."""
    since = min(one.since_ms for one in bottles)
    days = max(0, now_ms - since) // DAY_MS
    names = (
        f"{millilitres(one.volume_m3)} of {one.name}{f', lot {one.lot},' if one.lot else ''} "
        f"on {day_text(one.since_ms, offset_min)}"
        for one in bottles
    )
    return Figure(
        label="coolant age",
        value=counted(days, "day"),
        bounds=f"since {day_text(since, offset_min)}",
        remark=", ".join(names),
        raw=raw("d", float(days)),
    )


def sentences_of(book: Logbook, stage: Stage, state: BuildState) -> tuple[str, ...]:
    """Return in plain sentences what the years tell, what is to be seen to first; nothing where they tell nothing."""
    found = []
    loss = loss_of(stage, book.entries(state.build_id), state)
    if loss is not None:
        found.append(loss_said(loss))
    compared = per_watt_of(book, stage, state)
    if compared is not None:
        first = compared.word is SinceWord.WORSE and (loss is None or loss.word is not LossWord.GROWING)
        found.insert(0 if first else len(found), per_watt_said(compared))
    return tuple(found)


def loss_said(loss: Loss) -> str:
    """Return in a plain sentence what is lost."""
    rate, high = map(_per_month, (loss.rate_m3_s, loss.high_m3_s))
    if loss.low_m3_s <= 0:
        return f"Losing at most {millilitres(high)} a month, {loss.word}."
    said = f"Losing {millilitres(rate)} a month, {loss.word}."
    return f"{said} Look for damp at every joint." if loss.word is LossWord.GROWING else said


def per_watt_said(found: PerWatt) -> str:
    """Return in a plain sentence what coolant above air per watt says."""
    match found.word:
        case SinceWord.SAME:
            return f"Coolant above air per watt is as good as at handover: {_percent(found.high)} at most."
        case SinceWord.WORSE:
            return (
                f"Coolant above air per watt is worse than at handover, {_percent(found.low)} at least: "
                "clean radiators and filters, then look at flow, fans and paste."
            )
        case SinceWord.BETTER:
            return f"Coolant above air per watt is better than at handover: {_percent(found.high)} at most."
        case SinceWord.CANNOT_TELL:
            low, high = _percent(found.low), _percent(found.high)
            return f"Coolant above air per watt is too uncertain to compare: {low} to {high}."
