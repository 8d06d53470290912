"""What an entry of the log carries: the record knows a payload by its word alone, each stage knows its own kinds."""

from typing import ClassVar, Protocol

from commission.base.quantity import Phrase
from commission.base.verdict import Outcome


class Payload(Protocol):
    """What was done, as a past fact; a frozen value fits by its shape."""

    KIND: ClassVar[str]
    """The word that stands in the log for this kind; it never changes. Where people say another, ``SHOWN`` has that."""


def kind_shown(payload: Payload | type[Payload]) -> str:
    """Return what a kind of entry is called where it is shown.

    >>> from commission.record.entries import FindingCured, NoteAdded
    >>> kind_shown(FindingCured(finding_id="f", cure="new seal")), kind_shown(NoteAdded(text="dust"))
    ('defect repaired', 'note added')
    """
    shown: str = getattr(payload, "SHOWN", payload.KIND)
    return shown


class Verdict(Protocol):
    """What an attempt proved, as far as the record looks at it."""

    @property
    def outcome(self) -> Outcome:
        """The word of the verdict."""

    @property
    def reasons(self) -> tuple[Phrase, ...]:
        """Why, the deciding one first."""


class Ending(Payload, Protocol):
    """A payload that ends an attempt and judges it."""

    @property
    def verdict(self) -> Verdict:
        """What the attempt proved."""


class SeriesBegun(Payload, Protocol):
    """A payload that begins a series of streamed readings."""

    @property
    def attempt(self) -> int:
        """Which attempt, from 1."""

    @property
    def series(self) -> str:
        """Name of the series."""


class SeriesClosed(Payload, Protocol):
    """A payload that seals all readings of the series that its attempt began."""

    @property
    def attempt(self) -> int:
        """Which attempt, from 1."""

    @property
    def samples(self) -> int:
        """How many readings there are."""

    @property
    def digest(self) -> str:
        """Their SHA-256 digest in hexadecimal; empty where there are none."""
