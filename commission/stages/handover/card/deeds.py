"""What a typed line of a handover or a visit does."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.base.errors import InputError
from commission.base.frozen import replace
from commission.base.verdict import Outcome
from commission.bench.deed import Deed, said
from commission.record.machine.dryness import wet_in, wet_place
from commission.record.part_changed import PartOf
from commission.stages.fill.at_hand import CoolantAtHand
from commission.stages.fill.model.coolant import refuse_life
from commission.stages.fill.state import same_coolant
from commission.stages.fill.typed.life import every_text, read_life
from commission.stages.fill.typed.top_up import read_top_up
from commission.stages.handover.judge.due import days_left
from commission.stages.handover.judge.ready import told_with_it
from commission.stages.handover.model import ServiceItem
from commission.stages.handover.state import HandoverState
from commission.stages.handover.text import spares_text, usual_text
from commission.stages.handover.typed.handed import read_handed
from commission.stages.handover.typed.spares import read_spares
from commission.stages.handover.typed.visit import read_changed, read_drained
from commission.stages.handover.work.handovers import Handovers, bottle_of, refuse_spares
from commission.stages.handover.work.looks import refuse_look
from commission.stages.handover.work.others import refuse_other
from commission.stages.handover.work.years import due_of
from commission.units.show import say

if TYPE_CHECKING:
    from commission.record.logbook import Logbook

_AGAIN = {
    PartOf.LOOP: "; then every stage again, from the hold on",
    PartOf.FANS: "; then again: fan headers, soak",
    PartOf.SUPPLY: "; then again: first power-on, fan headers, soak",
    PartOf.HEAT_PATH: "; then again: the soak",
    PartOf.OTHER: "; no proof rests on it",
}
"""What a changed part asks for."""


def at_hand(book: Logbook, build_id: str) -> CoolantAtHand:
    """Return a build that is handed over or visited, with the bottle in hand."""
    return CoolantAtHand(book, build_id, book.work(Handovers))


def work_of(hand: CoolantAtHand) -> Handovers:
    """Return the use cases."""
    return hand.book.work(Handovers)


def kept_of(hand: CoolantAtHand) -> HandoverState:
    """Return what the record holds of handovers and visits."""
    return hand.state.of(HandoverState)


def spares_deed(hand: CoolantAtHand, text: str) -> Deed:
    """Return what naming spare parts and bottle does."""
    named = read_spares(text)
    refuse_spares(named)
    named = replace(named, bottle=bottle_of(hand.state, named.bottle))
    return said(
        f"goes along: {spares_text(named)}",
        lambda: work_of(hand).name_spares(hand.build_id, named.spares, named.bottle),
    )


def life_deed(hand: CoolantAtHand, text: str) -> Deed:
    """Return what reading the coolant's life off its bottle does."""
    life_s, typed = read_life(text)
    refuse_life(life_s)
    if life_s is None:
        usual = every_text(hand.stage.limit("coolant_s"))
        told = f"the bottle states none: a change is due after {usual}"
    else:
        told = f"a coolant change is due after {every_text(life_s)}, by the bottle"
    return said(told, lambda: work_of(hand).read_life(hand.build_id, life_s, typed))


def handed_deed(hand: CoolantAtHand, text: str) -> Deed:
    """Return what handing the machine over does."""
    handed = read_handed(text, hand.book.clock.now())
    day = f" on {handed.day}" if handed.day else ""

    def do() -> None:
        work_of(hand).hand_over(hand.build_id, handed.to, observed_ms=handed.observed_ms)
        hand.again = False

    return said(f"handed over: {handed.to}{day}{_told(hand, handed.observed_ms)}", do)


def visit_deed(hand: CoolantAtHand, why: str) -> Deed:
    """Return what beginning a visit does."""
    if not why:
        raise InputError("type why behind visit, such as visit first look")
    return said(f"a visit begins: {why}", lambda: work_of(hand).begin_visit(hand.build_id, why))


def back_deed(hand: CoolantAtHand) -> Deed:
    """Return what the end of a visit does."""
    last = kept_of(hand).last
    to = "" if last is None else last.to
    return said(f"handed back: {to}{_told(hand)}", lambda: work_of(hand).hand_over(hand.build_id))


def _told(hand: CoolantAtHand, observed_ms: int | None = None) -> str:
    facts = work_of(hand).facts(hand.state, observed_ms)
    return "".join(f". {say(one).rstrip('.')}" for one in told_with_it(facts))


def look_missing(hand: CoolantAtHand) -> str:
    """Return what speaks against handing over once more: a look is due, and there was none; else empty."""
    now = hand.book.past.moment()
    due = any(
        one.item is ServiceItem.LOOK and days_left(one, now.wall_ms, now.offset_min) <= 0
        for one in due_of(hand.book, hand.state)
    )
    if not due or work_of(hand).verdict(hand.state).outcome is not Outcome.PASS:
        return ""
    return "A look at level and joints is due, none was logged"


def top_up_deed(hand: CoolantAtHand, text: str) -> Deed:
    """Return what topping up to the mark does; it is told whether that much is usual."""
    pour, told = read_top_up(hand, text)
    usual = work_of(hand).usual_m3(hand.state)
    told += f"; {usual_text(pour.dose.volume_m3, usual)}"
    named = kept_of(hand).spares
    if named is not None and named.bottle not in ("", pour.bottle.name):
        told += f"; NOT the bottle that the papers name ({named.bottle})"
    if not same_coolant(hand.coolant, pour):
        told += "; ANOTHER coolant than is in: then fill again"
    elif pour.dose.volume_m3 > usual:
        told += ": look for damp, then bleed again"
    return said(told, lambda: work_of(hand).top_up(hand.build_id, pour))


def drained_deed(hand: CoolantAtHand, text: str) -> Deed:
    """Return what letting coolant out does."""
    drain, told = read_drained(hand, text)
    return said(told, lambda: work_of(hand).drain(hand.build_id, drain))


def done_deed(hand: CoolantAtHand, item: ServiceItem, note: str) -> Deed:
    """Return what a look or a cleaning does; a look at which something is wet is a leak, and leads to its card."""
    if item is ServiceItem.LOOK and wet_in(note):
        return Deed(told=f"{note}: that is a leak", calls="leak", at=wet_place(note), seen=note)
    if item is ServiceItem.LOOK:
        refuse_look(hand.state, note)
    what = {
        ServiceItem.LOOK: "level and joints were looked at",
        ServiceItem.CLEANING: "filters and radiators were cleaned",
    }[item]
    return said(f"{what}{f': {note}' if note else ''}", lambda: work_of(hand).done(hand.build_id, item, note))


def changed_deed(hand: CoolantAtHand, text: str) -> Deed:
    """Return what changing a part does."""
    changed = read_changed(hand.state, text)
    if changed.of is PartOf.OTHER:
        refuse_other(hand.state, changed.name, changed.why)
    return said(
        f"{changed.name} was changed: {changed.why}{_AGAIN[changed.of]}",
        lambda: work_of(hand).change_part(
            hand.build_id, changed.of, changed.name, changed.why, target_id=changed.target_id
        ),
    )
