"""The duties that chains were left at, for whoever reads a duty later and need not know how it was set."""

from commission.base.frozen import Frozen, replace


class LeftAt(Frozen):
    """What each chain was left at last, by its id."""

    duties: tuple[tuple[str, float], ...] = ()
    """Id of the chain, and the duty as a share of full [1]."""

    def with_duty(self, chain_id: str, duty: float) -> "LeftAt":
        """Return the same with the duty of a chain [1]."""
        others = tuple(pair for pair in self.duties if pair[0] != chain_id)
        return replace(self, duties=(*others, (chain_id, duty)))
