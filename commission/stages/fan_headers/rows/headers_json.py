"""What sits on which header, now or on an earlier day, as plain data for programs: one JSON object on one line."""

from __future__ import annotations

from datetime import datetime
from typing import TYPE_CHECKING

from commission.base.frozen import Frozen
from commission.base.verdict import Outcome
from commission.bench.moment import rfc3339
from commission.record.done_at import done_ms
from commission.record.machine.seats import Drive
from commission.stages.fan_headers.entries import ChainRemoved, HeaderAdded, HeaderRemoved
from commission.stages.fan_headers.state import FanHeadersState

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Sequence

    from commission.base.quantity import Phrase
    from commission.record.build_state import BuildState
    from commission.record.logged import Logged
    from commission.record.machine.seat_check import SeatCheck
    from commission.record.machine.seats import Chain, Header
    from commission.stages.fan_headers.state import TakenSweep


class SweepTold(Frozen):
    """The last sweep of a chain."""

    outcome: Outcome
    """What it is worth: pass, fail, inconclusive or invalid."""
    said: str
    """What it showed, with the duty below which the chain stalls where it does."""
    header: str
    """The header that the chain sat on then."""
    taken: str
    """When it was taken, RFC 3339."""
    stale: bool
    """Whether something was plugged or set another way after it, so that it no longer speaks of what is."""


class ChainTold(Frozen):
    """A chain where it sits."""

    name: str
    """What the builder calls it."""
    devices: int
    """How many fans, or one pump."""
    pump: bool
    """Whether it is a pump."""
    drive: Drive
    """How its speed is meant to be set."""
    since: str | None
    """Since when it sits there, RFC 3339; null where it was never moved."""
    why: str
    """Why it was put there, in the builder's words."""
    gone_since: str | None
    """When it was taken out after the day asked for, RFC 3339; null where it is still there."""
    sweep: SweepTold | None
    """Its last sweep by then; null where there was none."""


class HeaderTold(Frozen):
    """A header and what sits on it."""

    name: str
    """Its label as printed."""
    pins: int
    """Pins of the plug."""
    rating_ma: int
    """Largest current by the board's manual [mA]."""
    rating_assumed: bool
    """Whether the rating is a guess and not from the manual."""
    modes: tuple[Drive, ...]
    """Ways of driving that it can be set to."""
    set_to: Drive | None
    """How it is set; null where that is automatic or not known."""
    full_speed_lock: bool
    """Whether it is locked at full speed."""
    place: str
    """Where it sits, in the builder's words."""
    gone_since: str | None
    """When it was written off after the day asked for, RFC 3339; null where it is still there."""
    chains: tuple[ChainTold, ...]
    """What sits on it; empty where nothing does."""
    steady_ma: int
    """Currents from the header at full speed [mA]."""
    start_ma: int
    """Currents from the header when all start together, by the usual factor where a label gives none [mA]."""
    against: tuple[str, ...]
    """What stands against it, such as too much current; empty where nothing does."""
    let_be: str
    """The reason for which the share of its rating, or a guessed start current, was let be; empty where none was."""


class SeatsTold(Frozen):
    """What sits on which header of a build."""

    build: str
    """The build."""
    at: str | None
    """The moment that was asked for, RFC 3339; null where that is now."""
    first_move: str | None
    """When the first chain was plugged in, RFC 3339; null where none ever was."""
    headers: tuple[HeaderTold, ...]
    """Every header, those with nothing on them too."""
    loose: tuple[ChainTold, ...]
    """Chains that sit on no header."""
    remarks: tuple[str, ...]
    """What else must be known to read this."""


def plain_time(rfc3339: str) -> str:
    """Return a moment as plain lines show it.

    >>> plain_time("2026-03-14T09:00:00+01:00")
    '2026-03-14 09:00 +0100'
    """
    try:
        return datetime.fromisoformat(rfc3339).strftime("%Y-%m-%d %H:%M %z")
    except ValueError:
        return rfc3339


class SeatsTeller:
    """Puts together what sat where.

    Parameters
    ----------
    entries
        All entries of the build, in order.
    then, now
        What was known at the moment asked for, and what is known now.
    check
        Returns the load on a header, and what stands against it.
    said
        Returns a phrase as a sentence.
    """

    def __init__(
        self,
        entries: Sequence[Logged],
        then: BuildState,
        now: BuildState,
        check: Callable[[Sequence[Chain], Header], SeatCheck],
        said: Callable[[Phrase], str],
    ) -> None:
        self.then, self.now = then.plugged, now.plugged
        self.sweeps = then.of(FanHeadersState).sweeps
        self._check, self._said = check, said
        self._entries = {entry.seq: entry for entry in entries}
        self._last_move = {move.chain_id: move for move in sorted(self.then.moves, key=lambda m: (m.at_ms, m.seq))}
        kept = [entry for entry in entries if entry.seq in {move.seq for move in self.now.moves}]
        self._first = min(kept, key=done_ms, default=None)
        self._gone = dict(self._removals(entries))

    def told(self, build: str, at: tuple[int, int] | None) -> SeatsTold:
        """Return everything; ``at`` is the moment asked for [ms since 1970 UTC] with the local offset [min]."""
        seated = self.then.seats()
        headers = self._headers(seated)
        on_none = [chain for chain in self.then.chains if chain.chain_id not in seated]
        return SeatsTold(
            build=build,
            at=None if at is None else rfc3339(*at),
            first_move=None if self._first is None else self._when(done_ms(self._first), self._first.seq),
            headers=tuple(self._header(header, seated) for header in headers),
            loose=tuple(map(self._chain, on_none)),
            remarks=tuple(self._remarks(headers)),
        )

    def _headers(self, seated: dict[str, str]) -> list[Header]:
        return [*self.then.headers, *self._noted_later(seated.values())]

    def seated(self) -> Iterable[tuple[Header, tuple[Chain, ...]]]:
        """Yield each header with the chains on it."""
        seated = self.then.seats()
        for header in self._headers(seated):
            yield header, self._on(header, seated)

    def _on(self, header: Header, seated: dict[str, str]) -> tuple[Chain, ...]:
        here = (chain_id for chain_id, header_id in seated.items() if header_id == header.header_id)
        return tuple(chain for chain_id in here if (chain := self._known(chain_id)) is not None)

    def _noted_later(self, seated: Iterable[str]) -> list[Header]:
        """Return headers that something sat on already, and that were written down only later."""
        known = {header.header_id for header in self.then.headers}
        found = (self.now.header(header_id) for header_id in dict.fromkeys(seated) if header_id not in known)
        return [header for header in found if header is not None]

    def _remarks(self, told: Sequence[Header]) -> list[str]:
        remarks = []
        if self._first is not None and not self.then.moves:
            first = plain_time(self._when(done_ms(self._first), self._first.seq))
            remarks.append(f"Nothing was plugged in yet as logged: the first move is that of {first}.")
        known = {header.header_id for header in (*told, *self.then.gone_headers)}
        later = [
            entry.payload.header.name
            for entry in self._entries.values()
            if isinstance(entry.payload, HeaderAdded)
            and entry.payload.header.header_id not in known
            and self.now.header(entry.payload.header.header_id) is not None
        ]
        if later:
            remarks.append(f"Written down only later: {', '.join(later)}.")
        return remarks

    def _header(self, header: Header, seated: dict[str, str]) -> HeaderTold:
        chains = self._on(header, seated)
        check = self._check(chains, header) if chains else None
        return HeaderTold(
            name=header.name,
            pins=header.pins,
            rating_ma=header.rating_ma,
            rating_assumed=header.rating_assumed,
            modes=header.modes,
            set_to=header.set_to,
            full_speed_lock=header.full_speed_lock,
            place=header.place,
            gone_since=self._gone.get(header.header_id),
            chains=tuple(map(self._chain, chains)),
            steady_ma=check.steady_ma if check else 0,
            start_ma=check.start_ma if check else 0,
            against=tuple(map(self._said, (*check.blocked, *check.may_override))) if check else (),
            let_be=self.then.overridden_on(header.header_id) if check and check.may_override else "",
        )

    def _known(self, chain_id: str) -> Chain | None:
        return self.then.chain(chain_id) or self.now.chain(chain_id)

    def _chain(self, chain: Chain) -> ChainTold:
        move = self._last_move.get(chain.chain_id)
        sweeps = [sweep for sweep in self.sweeps if sweep.taken.chain_id == chain.chain_id]
        return ChainTold(
            name=chain.name,
            devices=len(chain.devices),
            pump=chain.pump,
            drive=chain.drive,
            since=None if move is None else self._when(move.at_ms, move.seq),
            why="" if move is None else move.why,
            gone_since=self._gone.get(chain.chain_id),
            sweep=self._sweep(sweeps[-1]) if sweeps else None,
        )

    def _sweep(self, sweep: TakenSweep) -> SweepTold:
        header = self.then.header(sweep.taken.header_id) or self.now.header(sweep.taken.header_id)
        return SweepTold(
            outcome=sweep.taken.verdict.outcome,
            said=sweep.taken.verdict.said,
            header=header.name if header is not None else "",
            taken=self._when(sweep.at_ms, sweep.seq),
            stale=sweep.stale_by is not None,
        )

    def _removals(self, entries: Iterable[Logged]) -> Iterable[tuple[str, str]]:
        """Yield what is there no more today, with the moment when it went."""
        gone = {h.header_id for h in self.now.gone_headers} - {h.header_id for h in self.now.headers}
        gone |= {c.chain_id for c in self.now.gone_chains} - {c.chain_id for c in self.now.chains}
        for entry in entries:
            match entry.payload:
                case HeaderRemoved(header_id=id_) | ChainRemoved(chain_id=id_) if id_ in gone:
                    yield id_, self._when(done_ms(entry), entry.seq)
                case _:
                    pass

    def _when(self, at_ms: int, seq: int) -> str:
        return rfc3339(at_ms, self._entries[seq].mark.offset_min)
