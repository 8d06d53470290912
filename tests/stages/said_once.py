"""What a card and ``show`` say of the same: a figure of the card is a line of ``show``, word for word."""

from collections.abc import Iterable, Iterator

from commission.bench.card import Fact, Figure

WHEN = "ended"
"""Label of the only figure that both say in their own way: a time is short on a card, and has its offset in lines."""


def lines_of(facts: Iterable[Fact]) -> list[str]:
    """Return facts as ``show`` prints them."""
    return [fact if isinstance(fact, str) else fact.line() for fact in facts]


def unsaid(figures: Iterable[Figure], facts: Iterable[Fact], of: str) -> Iterator[str]:
    """Yield each figure of a card that is no line of ``show``, and each line about a figure that differs from it."""
    lines = lines_of(facts)
    for figure in figures:
        if figure.label != WHEN and said_of(figure, of) not in lines:
            yield said_of(figure, of)


def said_of(figure: Figure, of: str) -> str:
    """Return a figure as a line under the name of what it is a figure of."""
    return (figure.of(of) if of else figure).line()
