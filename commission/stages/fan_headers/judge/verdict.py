"""Whether every chain is proven to be controlled by the header that it sits on."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.base.quantity import Phrase
from commission.base.verdict import Outcome
from commission.record.machine.seat_check import against_seats
from commission.record.machine.seats import SLOWEST_PUMP_RPM
from commission.stages.fan_headers.judge.sweep_checks import WAYS_DIFFER
from commission.stages.fan_headers.judge.swept_before import told_of_sweeps
from commission.stages.fan_headers.model.all_chains import ChainStanding, HeadersVerdict

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from commission.record.machine.plugged import Plugged
    from commission.record.machine.seats import Chain, Header
    from commission.stages.fan_headers.state import FanHeadersState


UNSWEPT_PUMP = "a pump at full speed"
"""Where a pump stands that is locked at full speed and was never swept."""


def evaluate_header_stage(
    plugged: Plugged,
    swept: FanHeadersState,
    *,
    steady_percent: int,
    start_factor: float,
    pump_doubt: Phrase | None = None,
    radiators: int = 0,
) -> HeadersVerdict:
    """Judge all chains of a build together.

    Parameters
    ----------
    swept
        Sweeps, and the duties that chains were left at [rpm, %].
    steady_percent
        Share of a header's rating that steady currents may take, 1 to 100 [%].
    start_factor
        Start over steady current where no label gives it, 1 or more [1].
    pump_doubt
        What is not known of the pumps beside what is plugged [words]; None where nothing.
    radiators
        How many are on the parts list [1].

    Returns
    -------
    HeadersVerdict
        Outcome, and where each chain stands [words].

    Notes
    -----
    FAIL where a header is overloaded, could stop a pump, a pump was left standing, or the last sweep of a chain failed;
    INVALID where a sweep could not be judged; INCONCLUSIVE while a chain sits nowhere, has no sweep since it was
    plugged, was left at a duty that its sweep does not support and for which no reason was typed, or at a speed that
    is not the sweep's, or it is not known which chain is the pump; else PASS. What was let be with a reason, a share of
    a rating or a duty, is said beside the outcome. A pump that the supply feeds, or that is locked at full speed, needs
    no sweep: none is advised for pumps.

    Examples
    --------
    >>> from commission.record.machine.plugged import Plugged
    >>> from commission.stages.fan_headers.state import FanHeadersState
    >>> str(evaluate_header_stage(Plugged(), FanHeadersState(), steady_percent=80, start_factor=2.0).outcome)
    'inconclusive'
    """
    seated = plugged.seats()
    if not any(chain.needs_header or chain.chain_id in seated for chain in plugged.chains):
        said = "No chain on a header is written down: nothing can be proven."
        return HeadersVerdict(outcome=Outcome.INCONCLUSIVE, chains=(), reasons=(Phrase("no_chains", said),))
    standings = tuple(
        _standing(plugged, swept, chain) for chain in sorted(plugged.chains, key=lambda chain: chain.name)
    )
    blocked, let_be = against_seats(plugged, steady_percent=steady_percent, start_factor=start_factor)
    duties, kept = _duties(plugged, swept)
    standing = _standing_pumps(plugged, swept)
    outcome = Outcome.FAIL if blocked or standing else _worst(standings)
    doubt = pump_doubt or plugged.pump_doubt
    unknown = () if doubt is None else (doubt,)
    if (duties or unknown) and outcome is Outcome.PASS:
        outcome = Outcome.INCONCLUSIVE
    deciding = [
        Phrase("chain_stands", f"{each.chain} on {each.header or 'no header'}: {each.said}.")
        for each in standings
        if (each.outcome or Outcome.INCONCLUSIVE) is outcome and outcome is not Outcome.PASS
    ]
    unswept = [each for each in standings if each.said == UNSWEPT_PUMP]
    fine = _fine(len(standings), len(standings) - len(unswept))
    why = (*blocked, *standing, *deciding, *duties, *unknown) or (fine,)
    gone = (Phrase("sweep_withdrawn", said.replace("{", "(").replace("}", ")")) for said in swept.taken_back)
    told = (*_never_swept(unswept), *_ways_apart(plugged, swept), *told_of_sweeps(plugged, swept), *gone)
    if outcome is Outcome.PASS:
        told = (*told, *_not_known(plugged, swept, radiators))
    return HeadersVerdict(outcome=outcome, chains=standings, reasons=(*why, *told, *let_be, *kept))


def _fine(chains: int, swept: int) -> Phrase:
    if swept == chains:
        return Phrase("all_controlled", "Every chain behaves on its header as intended.")
    return Phrase("all_controlled", f"{swept} of {chains} chains were swept and behave as intended.")


def _not_known(plugged: Plugged, swept: FanHeadersState, radiators: int) -> Iterator[Phrase]:
    """Yield what a pass does not know: at which duty fans are left, and whether any blow through a radiator."""
    fans, left = [chain for chain in plugged.chains if not chain.pump], dict(swept.duties)
    if radiators and not fans:
        said = "A radiator is on the parts list and no chain of fans is written down: no air is known to move there."
        yield Phrase("no_fans", said)
    if fans and not any(chain.chain_id in left for chain in fans):
        said = "No duty of a fan is noted: the soak cannot tell whether they ran as they are left."
        yield Phrase("no_duty_noted", said)


def _never_swept(unswept: Sequence[ChainStanding]) -> tuple[Phrase, ...]:
    """Say which pumps were never swept, so that nobody takes their pass for one that was measured."""
    return tuple(
        Phrase(
            "pump_not_swept",
            f"{each.chain} on {each.header} was never swept: its header is set to full speed; no speed was read there.",
        )
        for each in unswept
    )


def _ways_apart(plugged: Plugged, swept: FanHeadersState) -> Iterator[Phrase]:
    """Yield which chains ran at other speeds on the way up than on the way down, or were mistyped."""
    for chain in sorted(plugged.chains, key=lambda chain: chain.name):
        sweep = swept.sweep_of(chain.chain_id)
        for found in () if sweep is None else sweep.taken.verdict.findings:
            if found.code == WAYS_DIFFER:
                yield Phrase(found.code, f"{chain.name}: {found.template}", found.amounts)


def _standing_pumps(plugged: Plugged, swept: FanHeadersState) -> tuple[Phrase, ...]:
    """Say which pumps stand, by the speed that was read where they were left."""
    left = dict(swept.duties)
    speeds = ((chain, left[chain.chain_id].rpm) for chain in plugged.chains if chain.pump and chain.chain_id in left)
    return tuple(
        Phrase("pump_left_standing", f"{chain.name} shows {rpm:g} rpm where it was left: it stands. Power off at once.")
        for chain, rpm in speeds
        if rpm is not None and rpm < SLOWEST_PUMP_RPM
    )


def _duties(plugged: Plugged, swept: FanHeadersState) -> tuple[tuple[Phrase, ...], tuple[Phrase, ...]]:
    """Return what is amiss with the duties that chains were left at, and what was let be with a reason."""
    left = dict(swept.duties)
    amiss: list[Phrase] = []
    kept: list[Phrase] = []
    for chain in plugged.chains:
        noted = left.get(chain.chain_id)
        against = None if noted is None else swept.against(chain, noted)
        if noted is None or against is None:
            continue
        found = against.phrase
        if not against.may_be:
            amiss.append(Phrase(found.code, f"{found.template} Then sweep it again, or correct the speed."))
        elif noted.reason and not chain.pump:
            kept.append(Phrase(f"{found.code}_let_be", f"{found.template} Let be: {noted.reason}"))
        else:
            way = "" if chain.pump else ", sweep it again, or leave it with override and the reason"
            amiss.append(Phrase(found.code, f"{found.template} Set another duty and leave it at that{way}."))
    return tuple(amiss), tuple(kept)


def _standing(plugged: Plugged, swept: FanHeadersState, chain: Chain) -> ChainStanding:
    header = _headers(plugged).get(plugged.seats().get(chain.chain_id, ""))
    label = header.name if header else ""
    sweep = swept.sweep_of(chain.chain_id)
    if header is None and chain.pump and not chain.needs_header:
        return ChainStanding(chain=chain.name, header="", outcome=Outcome.PASS, said="fed by the supply, no tach lead")
    if header is None:
        return ChainStanding(chain=chain.name, header="", outcome=None, said="not plugged in")
    if sweep is not None:
        verdict = sweep.taken.verdict
        return ChainStanding(chain=chain.name, header=label, outcome=verdict.outcome, said=verdict.said)
    if chain.pump and not chain.control_wanted and header.header_id in swept.doubted:
        said = "its last sweep here did not show a pump that runs at full speed, so sweep it again"
        return ChainStanding(chain=chain.name, header=label, outcome=None, said=said)
    if chain.pump and not chain.control_wanted:
        return ChainStanding(chain=chain.name, header=label, outcome=Outcome.PASS, said=UNSWEPT_PUMP)
    return ChainStanding(chain=chain.name, header=label, outcome=None, said="not swept since it was plugged or set")


def _headers(plugged: Plugged) -> dict[str, Header]:
    return {header.header_id: header for header in plugged.headers}


def _worst(standings: tuple[ChainStanding, ...]) -> Outcome:
    found = {each.outcome or Outcome.INCONCLUSIVE for each in standings}
    order = (Outcome.FAIL, Outcome.INVALID, Outcome.INCONCLUSIVE)
    return next((outcome for outcome in order if outcome in found), Outcome.PASS)
