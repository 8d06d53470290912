"""What an entry takes from verdicts before it, as data: the fold does it, and a test compares the two."""

from enum import StrEnum

from commission.base.frozen import Frozen
from commission.record.machine.change import Change
from commission.record.payload import Payload


class Reach(StrEnum):
    """Whose verdicts an entry takes, beside those that listen to the changes it makes."""

    NONE = ""
    OWN = "the stage that says so"
    EVERY = "every stage"


class Undoing(Frozen, kw_only=False):
    """One way in which an entry of a kind takes the worth of verdicts before it."""

    kind: type[Payload]
    """Which kind."""
    when: str = ""
    """When it does, in words; empty: always."""
    changes: tuple[Change, ...] = ()
    """The changes that it makes; each stage says in `stale_on` whether its verdicts outlive them."""
    reach: Reach = Reach.NONE
    """Whose verdicts fall in any case."""
