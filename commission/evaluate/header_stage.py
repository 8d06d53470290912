"""Whether every chain is proven to be controlled by the header that it sits on."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.domain.header_stage import ChainStanding, HeadersVerdict
from commission.domain.quantity import Phrase
from commission.domain.verdict import Outcome
from commission.evaluate.chain_load import check_seat

if TYPE_CHECKING:
    from commission.domain.fan_headers import Chain, Header
    from commission.domain.power_state import PowerState


def evaluate_header_stage(state: PowerState, *, steady_percent: int = 80) -> HeadersVerdict:
    """Judge all chains of a build together.

    Parameters
    ----------
    state
        Headers, chains, seats and sweeps [mA, rpm].
    steady_percent
        Share of a header's rating that steady currents may take, 1 to 100 [%].

    Returns
    -------
    HeadersVerdict
        Outcome, and where each chain stands [words].

    Raises
    ------
    ValueError
        Never.

    Notes
    -----
    FAIL where a header is overloaded, could stop a pump, or the last sweep of a chain failed; INVALID where a sweep
    could not be judged; INCONCLUSIVE while a chain sits nowhere or has no sweep since it was plugged; else PASS. A
    pump that the supply feeds, or that is locked at full speed, needs no sweep: none is advised for pumps.

    Examples
    --------
    >>> from commission.domain.power_state import PowerState
    >>> str(evaluate_header_stage(PowerState()).outcome)
    'inconclusive'
    """
    if not state.chains:
        said = "No chain is written down: nothing can be proven."
        return HeadersVerdict(outcome=Outcome.INCONCLUSIVE, chains=(), reasons=(Phrase("no_chains", said),))
    standings = tuple(_standing(state, chain) for chain in sorted(state.chains, key=lambda chain: chain.name))
    blocked = _blocked(state, steady_percent)
    outcome = Outcome.FAIL if blocked else _worst(standings)
    deciding = [
        Phrase("chain_stands", f"{each.chain} on {each.header or 'no header'}: {each.said}.")
        for each in standings
        if (each.outcome or Outcome.INCONCLUSIVE) is outcome and outcome is not Outcome.PASS
    ]
    fine = [Phrase("all_controlled", f"All {len(standings)} chains do on their headers what they should.")]
    return HeadersVerdict(outcome=outcome, chains=standings, reasons=(*blocked, *deciding) or tuple(fine))


def _standing(state: PowerState, chain: Chain) -> ChainStanding:
    header = _headers(state).get(state.seats().get(chain.chain_id, ""))
    label = header.name if header else ""
    sweep = state.sweep_of(chain.chain_id)
    if header is None:
        return ChainStanding(chain=chain.name, header="", outcome=None, said="not plugged in")
    if sweep is not None:
        verdict = sweep.taken.verdict
        return ChainStanding(chain=chain.name, header=label, outcome=verdict.outcome, said=verdict.said)
    if chain.pump and not chain.control_wanted:
        return ChainStanding(chain=chain.name, header=label, outcome=Outcome.PASS, said="a pump at full speed")
    return ChainStanding(chain=chain.name, header=label, outcome=None, said="not swept since it was plugged or set")


def _headers(state: PowerState) -> dict[str, Header]:
    return {header.header_id: header for header in state.headers}


def _blocked(state: PowerState, steady_percent: int) -> tuple[Phrase, ...]:
    """Return what forbids a seat as it is, whatever the sweeps say."""
    chains = {chain.chain_id: chain for chain in state.chains}
    found: list[Phrase] = []
    for header_id, header in _headers(state).items():
        on_it = [chains[c] for c, on in state.seats().items() if on == header_id and c in chains]
        if on_it:
            found += check_seat(on_it, header, steady_percent=steady_percent).blocked
    return tuple(found)


def _worst(standings: tuple[ChainStanding, ...]) -> Outcome:
    found = {each.outcome or Outcome.INCONCLUSIVE for each in standings}
    order = (Outcome.FAIL, Outcome.INVALID, Outcome.INCONCLUSIVE)
    return next((outcome for outcome in order if outcome in found), Outcome.PASS)
