"""What is plugged where: headers and chains of one build, as the record keeps them of the machine."""

from commission.base.frozen import Frozen
from commission.base.quantity import Phrase
from commission.record.machine.seats import Chain, Header, Move, seats

NO_PUMP = Phrase(
    "no_pump",
    "No pump is written down, so nothing guards it. Write it down with the fan headers: its header, or supply where "
    "that feeds it.",
)
"""Says that nobody knows where the pump is plugged, so that it may hang where it can be stopped."""


class Plugged(Frozen):
    """Headers, chains, and every move of a chain."""

    headers: tuple[Header, ...] = ()
    """Headers that are there, in the order written down."""
    chains: tuple[Chain, ...] = ()
    """Chains that are there, in the order written down."""
    gone_headers: tuple[Header, ...] = ()
    """Headers that are no longer there: the history still names them."""
    gone_chains: tuple[Chain, ...] = ()
    """Chains that were taken out."""
    moves: tuple[Move, ...] = ()
    """Every move of every chain, in the order typed."""

    def seat_said(self, chain_id: str, header_id: str) -> str:
        """Return a chain and its header in words, such as ``front on H1``, though they are gone by now."""
        chain, header = self.chain(chain_id), self.header(header_id)
        return f"{chain.name if chain else 'a chain'} on {header.name if header else 'a header'}"

    @property
    def pump_doubt(self) -> Phrase | None:
        """What is not known of the pump; None where one is written down, and no chain of fans is called a pump."""
        called = next((chain.name for chain in self.chains if chain.called_a_pump and not chain.pump), "")
        if called:
            said = f"{called} is called a pump and written down as fans, so no rule of a pump guards it: remove it and "
            return Phrase("called_a_pump", f"{said}write it down as a pump, or under another name.")
        return None if any(chain.pump for chain in self.chains) else NO_PUMP

    @property
    def pumps(self) -> int:
        """How many pumps are written down."""
        return sum(len(chain.devices) for chain in self.chains if chain.pump)

    @property
    def pump_plate_rpm(self) -> float | None:
        """Lowest nameplate speed of the pumps [rpm]: nobody says whose speed is shown; None where none is known."""
        plates = (device.nameplate_rpm for chain in self.chains if chain.pump for device in chain.devices)
        return min((rpm for rpm in plates if rpm), default=None)

    def seats(self, at_ms: int | None = None) -> dict[str, str]:
        """Return which header each chain sat on, by their ids; now, or at a moment [ms since 1970 UTC]."""
        return seats(self.moves, at_ms=at_ms)

    def header(self, header_id: str | None) -> Header | None:
        """Return a header, there or gone; None where there never was one."""
        return next((h for h in (*self.headers, *self.gone_headers) if h.header_id == header_id), None)

    def chain(self, chain_id: str) -> Chain | None:
        """Return a chain, there or taken out; None where there never was one."""
        return next((c for c in (*self.chains, *self.gone_chains) if c.chain_id == chain_id), None)

    def on(self, header_id: str) -> tuple[Chain, ...]:
        """Return the chains that sit on a header now."""
        seated = self.seats()
        return tuple(chain for chain in self.chains if seated.get(chain.chain_id) == header_id)

    def overridden_on(self, header_id: str) -> str:
        """Return the reason for which the load of a header was let be as it is now; empty where there is none."""
        last = {move.chain_id: move for move in sorted(self.moves, key=lambda move: (move.at_ms, move.seq))}
        here = [last[chain.chain_id] for chain in self.on(header_id)]
        return next((move.overridden for move in sorted(here, key=lambda m: -m.seq) if move.overridden), "")
