"""A report as plain values: everything that a writer needs, ready to read, with the numbers behind it."""

from commission.base.frozen import Frozen
from commission.bench.card import Raw
from commission.bench.chart import Chart
from commission.bench.listing import Listing

DRAFT = "DRAFT, not recorded: no entry of the record knows of it"
"""Said at the top of a draft."""


class Told(Frozen):
    """One fact."""

    name: str
    """What it speaks of."""
    text: str
    """What is said of it."""
    raw: Raw | None = None
    """The number behind it; null where it is words."""


class Section(Frozen):
    """A part of the report; what is empty is left out."""

    title: str
    """Its heading."""
    state: str = ""
    """Where the stage stands that it is of, in one word in capitals; empty where it is of none."""
    words: tuple[str, ...] = ()
    """Sentences before all else."""
    facts: tuple[Told, ...] = ()
    """Its facts."""
    charts: tuple[Chart, ...] = ()
    """Its pictures."""
    tables: tuple[Listing, ...] = ()
    """Its tables."""


class Report(Frozen):
    """A whole report."""

    number: str
    """Its number: the end of the build's id, and the last entry that it tells of."""
    draft: bool
    """Whether it is none that the record knows of."""
    build: str
    """What the builder calls the build."""
    ready: bool
    """Whether every stage passed and no defect is open."""
    stands: str
    """Where the build stands, in one sentence; of one that is not ready, what is to be done first."""
    replaces: str
    """Number of the report that it replaces, and why; empty where there is none."""
    stages: Listing
    """Where all stages stand."""
    sections: tuple[Section, ...]
    """The rest, in order."""
    last: str
    """Number and digest of the last entry that it tells of."""
    told: str = ""
    """When that entry was made, as the clock showed it."""
    told_ms: int = 0
    """The same [ms since 1970 UTC]."""
