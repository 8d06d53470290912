"""All chains together: which of them is proven to be controlled by the header that it sits on."""

from commission.base.frozen import Frozen
from commission.base.quantity import Phrase
from commission.base.verdict import Outcome


class ChainStanding(Frozen):
    """Where one chain stands."""

    chain: str
    """Name of the chain."""
    header: str
    """Label of the header that it sits on; empty where it sits on none."""
    outcome: Outcome | None
    """Outcome of its last sweep there; None where there is none that still counts."""
    said: str
    """The word of that sweep, or what is missing."""


class HeadersVerdict(Frozen):
    """What the sweeps of a build prove together."""

    outcome: Outcome
    """Pass, fail, inconclusive or invalid."""
    chains: tuple[ChainStanding, ...]
    """Every chain, by name."""
    reasons: tuple[Phrase, ...]
    """Why, in plain words; the one that decided first."""
