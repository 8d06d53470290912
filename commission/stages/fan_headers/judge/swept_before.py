"""What is told beside a verdict on all chains: sweeps that failed here before, and speeds that another sweep showed."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.base.quantity import Phrase
from commission.base.text import braced
from commission.base.verdict import Outcome

if TYPE_CHECKING:
    from collections.abc import Iterator

    from commission.record.machine.plugged import Plugged
    from commission.record.machine.seats import Chain
    from commission.stages.fan_headers.state import FanHeadersState, TakenSweep


def told_of_sweeps(plugged: Plugged, swept: FanHeadersState) -> Iterator[Phrase]:
    """Yield what is told of the sweeps that decide, chain by chain.

    A sweep that failed stays told after another of the same chain on the same header and setting, with what was done
    between the two. Speeds that are those of another sweep to the rpm are told too.
    """
    for chain in sorted(plugged.chains, key=lambda chain: chain.name):
        last = swept.sweep_of(chain.chain_id)
        if last is None:
            continue
        yield from _failed_before(plugged, swept, chain, last)
        if last.taken.same_as:
            said = f"{chain.name} showed the very speeds of an earlier sweep of {last.taken.same_as}, said to be right."
            yield Phrase("sweep_same", braced(said))


def _failed_before(plugged: Plugged, swept: FanHeadersState, chain: Chain, last: TakenSweep) -> Iterator[Phrase]:
    taken = last.taken
    here = (taken.header_id, taken.setup.mode)
    of_chain = [one for one in swept.sweeps if one.taken.chain_id == chain.chain_id]
    for number, one in enumerate(of_chain):
        found = one.taken
        if (
            one.seq >= last.seq
            or found.verdict.outcome is not Outcome.FAIL
            or (found.header_id, found.setup.mode) != here
        ):
            continue
        done = of_chain[number + 1].taken.done
        what = f"Done since: {done.rstrip('.')}." if done else "Nobody said what was done since."
        if not done and one.stale_by is not None:
            what = f"It counts no longer since entry {one.stale_by}."
        where = plugged.seat_said(chain.chain_id, found.header_id)
        said = f"{where} failed before, set as now ({found.verdict.said}, entry {one.seq}). {what}"
        yield Phrase("sweep_failed_before", braced(said))
