"""One entry of the record as a row."""

from commission.base.frozen import Frozen


class EntryRow(Frozen):
    """One entry of the record."""

    seq: int
    """Its number."""
    when: str
    """When it was entered, ready to read."""
    who: str
    """Who entered it."""
    kind: str
    """What kind of entry it is."""
    what: str
    """What it says."""
    withdrawn: bool = False
    """Whether it was withdrawn and no longer counts."""
