"""What a card and ``show`` say of the same: a figure of the card is a line of ``show``, word for word."""

from collections.abc import Iterable, Iterator

from commission.bench.card import Figure

WHEN = "closed"
"""Label of the only figure that both say in their own way: a time is short on a card, and has its offset in lines."""


def unsaid(figures: Iterable[Figure], lines: Iterable[str], of: str) -> Iterator[str]:
    """Yield each figure of a card that is no line of ``show``, and each line about a figure that differs from it."""
    lines = list(lines)
    for figure in figures:
        if figure.label != WHEN and figure.line(of) not in lines:
            yield figure.line(of)
