"""A table as plain values, for paper and page; what draws it knows no stage."""

from commission.base.frozen import Frozen


class Listing(Frozen):
    """A table; each row has as many cells as there are columns."""

    caption: str
    """What it lists."""
    columns: tuple[str, ...]
    """Heads of the columns."""
    rows: tuple[tuple[str, ...], ...]
    """Its rows."""
