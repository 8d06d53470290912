"""What comes next on the fan headers: one instruction, and the line that Enter would take."""

from typing import TYPE_CHECKING

from commission.base.frozen import Frozen
from commission.base.verdict import Outcome
from commission.record.locks import machine_lock
from commission.stages.fan_headers.card.sweep_result import no_way_out, offers
from commission.stages.fan_headers.typed.chain import EXAMPLE as CHAIN
from commission.stages.fan_headers.typed.chain import FED_PUMP_EXAMPLE as FED_PUMP
from commission.stages.fan_headers.typed.chain import PUMP_EXAMPLE as PUMP
from commission.stages.fan_headers.typed.header import EXAMPLE as HEADER
from commission.units.show import say

if TYPE_CHECKING:
    from commission.record.machine.seats import Chain, Header
    from commission.stages.fan_headers.at_hand import HeadersAtHand

SHEET = "header · chain · pump · plug · set · layout · file NAME"
"""The usual words of the sheet; a question mark lists all of them."""
WORK = "sweep · show · leave · duties · plug · unplug · set · end"
"""The usual words of the work after it."""


class Next(Frozen):
    """What comes next."""

    ask: str
    """The instruction."""
    hint: str = WORK
    """An example, or what else may be typed."""
    proposal: str | None = None
    """The line that Enter takes; None where something must be typed."""


def next_of(hand: "HeadersAtHand") -> Next:
    """Return what comes next, from the record alone."""
    plugged = hand.plugged
    if not plugged.headers:
        return Next(
            ask="Write down the first header: label as printed, pins, rating from the manual, modes.",
            hint=f"such as: header {HEADER} · header PUMP 4-pin 3 A pwm lock · file NAME",
        )
    if not any(chain.needs_header for chain in plugged.chains):
        also = "end" if plugged.chains else PUMP  # what the supply feeds needs no header
        return Next(
            ask="Write down the next header, or the first chain: name, fans, wires, current of ONE from its label.",
            hint=f"such as: chain {CHAIN} · {also}",
        )
    return _to_plug(hand) or _to_pump(hand) or _to_sweep(hand) or _to_end(hand)


def _to_plug(hand: "HeadersAtHand") -> Next | None:
    chosen = [(chain, wanted) for chain in hand.plugged.chains if (wanted := hand.chosen_seat(chain)) is not None]
    for chain, wanted in chosen:
        if hand.header_of(chain) == wanted:
            continue
        if hand.seat_check(chain, wanted).allowed:
            return Next(
                ask=f"The layout puts {chain.name} on {wanted.name}: power off, plug it there; Enter records it.",
                hint=SHEET,
                proposal=f"plug {chain.name} {wanted.name}",
            )
        leaving = [other for other in hand.plugged.on(wanted.header_id) if _leaves(chosen, other)]
        if leaving:
            return Next(
                ask=f"{wanted.name} is needed for {chain.name}: power off, unplug {leaving[0].name}; Enter records it.",
                hint=SHEET,
                proposal=f"unplug {leaving[0].name}",
            )
    loose = next((one for one in hand.plugged.chains if one.needs_header and hand.header_of(one) is None), None)
    return None if loose is None else _loose(hand, loose)


def _leaves(chosen: "list[tuple[Chain, Header]]", chain: "Chain") -> bool:
    return any(one.chain_id == chain.chain_id for one, _ in chosen)


def _loose(hand: "HeadersAtHand", chain: "Chain") -> Next:
    best = hand.best_seat(chain)
    if best is not None and best.full_speed_lock and not chain.pump and hand.state.pump_doubt is not None:
        return Next(
            ask=f"{best.name} is locked at full speed, as for a pump. Write down the pump, then plug {chain.name}.",
            hint=f"such as: {PUMP} · {FED_PUMP} · header {HEADER}",
        )
    if best is not None and hand.seat_check(chain, best).allowed:
        return Next(
            ask=f"Write down what there is. Then plug {chain.name}: {best.name} suits it best; Enter once it is in.",
            hint=SHEET,
            proposal=f"plug {chain.name} {best.name}",
        )
    return Next(
        ask=f"Write down what there is, then: plug {chain.name} and the header; layout shows what fits.",
        hint=SHEET,
    )


def _to_pump(hand: "HeadersAtHand") -> Next | None:
    doubt = hand.state.pump_doubt
    return None if doubt is None else Next(ask=say(doubt), hint=f"such as: {PUMP} · {FED_PUMP}")


def _to_sweep(hand: "HeadersAtHand") -> Next | None:
    if hand.locked:
        below = next(rung for rung in hand.rungs if rung.stage.id in hand.stage.rests_on)
        title = below.stage.title.lower()
        return Next(
            ask=f"All is plugged. Sweeps wait for the {title}, which is {below.word}. Enter goes there.",
            hint=SHEET if machine_lock(hand.state) is not None else f"{SHEET} · override and a reason",
            proposal="go",
        )
    for chain in hand.plugged.chains:
        sweep = hand.swept.sweep_of(chain.chain_id)
        if sweep is not None and sweep.taken.verdict.outcome is Outcome.FAIL:
            return _failed(hand, chain)
    for chain in hand.plugged.chains:
        if hand.swept.sweep_of(chain.chain_id) is None and (not chain.pump or chain.control_wanted):
            again = "again: its header or its setting was changed" if hand.last_sweep(chain.chain_id) else "down and up"
            header = hand.header_of(chain)
            where = header.name if header is not None else "its header"
            return Next(ask=f"Sweep {chain.name} on {where} {again}. Enter begins.", proposal=f"sweep {chain.name}")
    for chain in hand.plugged.chains:
        sweep = hand.swept.sweep_of(chain.chain_id)
        if sweep is not None and sweep.taken.verdict.outcome is not Outcome.PASS:
            said = sweep.taken.verdict.said
            return Next(
                ask=(f"{chain.name}: {said}. See below what to add or repair, then sweep it again. Enter begins."),
                proposal=f"sweep {chain.name}",
            )
    return None


def _failed(hand: "HeadersAtHand", chain: "Chain") -> Next:
    found = offers(hand, chain)
    sweep = hand.swept.sweep_of(chain.chain_id)
    word = sweep.taken.verdict.said if sweep is not None else ""
    if not found:
        barred = no_way_out(hand)
        said = (
            f"{chain.name}: {word}. {barred or 'Change one thing of the causes below, power off, and sweep it again.'}"
        )
        return Next(ask=said, proposal=f"sweep {chain.name}")
    first, *rest = found
    hint = (
        " · ".join(f"or {one.line}: {one.says}" for one in rest)
        or f"or sweep {chain.name} once another cause is repaired"
    )
    return Next(
        ask=f"{chain.name}: {word}. {first.says[:1].upper()}{first.says[1:]}; Enter once it is done.",
        hint=hint,
        proposal=first.line,
    )


def _to_end(hand: "HeadersAtHand") -> Next:
    left = {chain_id for chain_id, _ in hand.swept.duties}
    open_ones = [chain for chain in hand.plugged.chains if chain.chain_id not in left and chain.control_wanted]
    if hand.closed is None and open_ones:
        chain = open_ones[0]
        return Next(
            ask=f"Set the duty that {chain.name} is left at, and write it down with its speed; or end.",
            hint=f"such as: leave {chain.name} 45 640 · end judges all chains",
        )
    if hand.closed is not None:
        onward = hand.onward if hand.closed is Outcome.PASS else None
        leads = "" if onward is None else f" Next: {onward.stage.title.lower()}."
        return Next(
            ask=f"Ended: {hand.closed.upper()}.{leads} Was anything changed since? Type it, then end. F12: the report.",
            proposal=None if onward is None else "next",
        )
    return Next(ask="Every chain is swept. Enter ends the stage and judges all of them.", proposal="end")
