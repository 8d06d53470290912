"""What the last sweep of a chain proved, every cause that would explain it, and what to try next."""

from typing import TYPE_CHECKING

from commission.base.frozen import Frozen, replace
from commission.base.verdict import Outcome
from commission.bench.card import CardContent, VerdictLine, chosen
from commission.stages.fan_headers.judge.sweep_checks import WAYS_DIFFER
from commission.stages.fan_headers.rows.sweep import ON_CARD, beside, figures_of, levels_text
from commission.stages.fan_headers.typed.layout import moves_to
from commission.stages.fan_headers.typed.sheet import setting_line
from commission.units.show import say

if TYPE_CHECKING:
    from commission.base.quantity import Phrase
    from commission.record.machine.seats import Chain
    from commission.stages.fan_headers.at_hand import HeadersAtHand
    from commission.stages.fan_headers.model.sweep import SweepVerdict
    from commission.stages.fan_headers.state import TakenSweep


class Offer(Frozen):
    """Something that may help a chain which its header does not control."""

    line: str
    """The line that records it once it is done."""
    says: str
    """What it is, as half a sentence."""


def offers(hand: "HeadersAtHand", chain: "Chain") -> tuple[Offer, ...]:
    """Return what may help a chain whose last sweep failed, the change of mode first where the record points to it."""
    return (*_other_mode(hand, chain), *_other_header(hand, chain))


def _other_mode(hand: "HeadersAtHand", chain: "Chain") -> tuple[Offer, ...]:
    header = hand.header_of(chain)
    if header is None or chain.drive is header.set_to or chain.drive not in header.modes or not chain.control_wanted:
        return ()
    now = f"set to {header.set_to}" if header.set_to else "set to nobody knows what"
    said = f"{header.name} is {now}, {chain.name} is driven by {chain.drive}: set it in the firmware"
    return (Offer(line=setting_line(header, chain.drive), says=said),)


def _other_header(hand: "HeadersAtHand", chain: "Chain") -> tuple[Offer, ...]:
    answer = hand.advised
    if answer is None or answer.best is None:
        return ()
    moves = moves_to(hand, answer.best)
    where = next((header for name, header in moves if name == chain.name), "")
    if not where:
        return ()
    if len(moves) == 1:
        said = f"{where} is the best allowed header for it: power off, re-plug it"
        return (Offer(line=f"plug {chain.name} {where}", says=said),)
    return (Offer(line="layout", says=f"the best allowed layout puts it on {where} and moves {len(moves) - 1} more"),)


def no_way_out(hand: "HeadersAtHand") -> str:
    """Return the least change that would make a layout possible; empty where one is, or it was not looked for."""
    answer = hand.advised
    if answer is None or answer.best is not None or not answer.relaxations:
        return ""
    return f"No other header may take it. {say(answer.relaxations[0].what)}"


def apart(verdict: "SweepVerdict") -> "tuple[Phrase, ...]":
    """Return what says that the way down and the way up tell other speeds, as it is warned of."""
    return tuple(phrase for phrase in verdict.findings if phrase.code == WAYS_DIFFER)


def result_card(hand: "HeadersAtHand", card: CardContent) -> CardContent:
    """Return the card with the last sweep of the chain that is looked at."""
    chain = next((one for one in hand.plugged.chains if one.chain_id == hand.shown), None)
    sweep = hand.last_sweep(hand.shown)
    if chain is None or sweep is None:
        return replace(card, remarks=("It was not swept yet.",))
    verdict = hand.judged(sweep)
    header = hand.plugged.header(sweep.taken.header_id)
    stale = sweep.stale_by is not None
    word = "stale" if stale and verdict.outcome is Outcome.PASS else str(verdict.outcome)
    first, *rest = (say(phrase) for phrase in verdict.reasons)
    since = (f"It counts no longer since entry {sweep.stale_by}: sweep it again.",) if stale else ()
    where = header.name if header is not None else "a header"
    return replace(
        card,
        step=f"{chain.name} on {where}"[:30],
        verdict=VerdictLine(word=word, text=f"{chain.name} on {where}: {verdict.said}. {first}", final=True),
        notices=(*since, *beside(sweep.taken), *(f"Warning: {say(one)}" for one in apart(verdict))),
        figures=chosen(figures_of(verdict), ON_CARD),
        reasons=(
            *rest,
            *_modes(hand, sweep),
            *(f"Cause {n}: {say(phrase)}" for n, phrase in enumerate(verdict.causes, 1)),
            *(say(phrase) for phrase in verdict.findings if phrase not in apart(verdict)),
            levels_text(sweep.taken.sweep.readings),
        ),
        plot=verdict.picture is not None,
    )


def _modes(hand: "HeadersAtHand", second: "TakenSweep") -> tuple[str, ...]:
    """Return what this sweep proves together with an earlier one in the header's other mode."""
    from commission.stages.fan_headers.judge.sweep_advice import mode_test

    taken = second.taken
    for first in reversed(hand.swept.sweeps):
        earlier = first.taken
        same = (earlier.chain_id, earlier.header_id) == (taken.chain_id, taken.header_id)
        if first.seq >= second.seq or not same:
            continue
        if earlier.setup.mode in (None, taken.setup.mode) or taken.setup.mode is None:
            return ()
        said = say(mode_test(earlier.verdict, taken.verdict))
        return (f"First {earlier.setup.mode}, then {taken.setup.mode}: {said}",)
    return ()
