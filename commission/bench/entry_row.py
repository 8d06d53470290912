"""One entry of the record as a row."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class EntryRow:
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
