"""A card as plain lines, each a fact of its own: what is read out, or felt, one after the other."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.base.frozen import Frozen
from commission.bench.card import CautionMark, goal_text, verdict_word, warning_text

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from commission.bench.card import CardContent, CautionLine, Table
    from commission.bench.mishap.cards import Card
    from commission.procedure.model import Help


class Told(Frozen):
    """What is told of a place."""

    lines: tuple[str, ...] = ()
    """What is told whenever it is new."""
    figures: tuple[str, ...] = ()
    """What is known, told where another thing is asked, and by ``details``."""
    more: tuple[str, ...] = ()
    """What is told by ``details`` alone."""


def told_of(card: CardContent) -> Told:
    """Return a card as lines."""
    figures = table_lines(card.table) if card.table is not None else [figure.line() for figure in card.figures]
    whole = [figure.line() for figure in card.figures] if card.table is not None else []
    return Told(
        lines=(*_result(card), *map(warning_text, card.notices), *_cautions(card), *_shown(card)),
        figures=(*figures, *card.listed),
        more=(*whole, *(f"remark: {text}" for text in (*card.remarks, *card.reasons))),
    )


def _result(card: CardContent) -> Iterator[str]:
    if card.verdict is not None:
        yield f"result: {verdict_word(card.verdict)}. {card.verdict.text}".rstrip()
    else:
        if card.proves:
            yield goal_text(card.proves)
        if card.rests_on:
            yield f"not passed: {card.rests_on}"
    if card.missing:
        yield f"still missing: {card.missing}"
    if card.assumed:
        yield card.assumed


def _cautions(card: CardContent) -> Iterator[str]:
    """Yield the caution that is asked now, with its number; the others come up in their turn."""
    if not card.cautions_open:
        return
    for number, caution in enumerate(card.cautions, 1):
        if caution.mark is CautionMark.NOW:
            yield f"CAUTION {number} of {len(card.cautions)}: {caution.text}"


def _shown(card: CardContent) -> Iterator[str]:
    """Yield the cautions of the moment, which are not asked, and what is warned of now."""
    yield from (warning_text(text) if text.startswith("Warning: ") else f"CAUTION: {text}" for text in card.safety)


def caution_texts(cautions: Sequence[CautionLine]) -> Iterator[str]:
    """Yield all cautions of a card that are shown in full, each with its mark."""
    for caution in cautions:
        if caution.text:
            yield f"caution, {caution.mark}: {caution.text}"


def table_lines(table: Table) -> list[str]:
    """Return a table as a line for each row, in which each cell stands behind its head.

    >>> from commission.bench.card import Table
    >>> table_lines(Table(heads=("header", "chain", ""), rows=(("H1", "front", "PWM"),)))
    ['header H1, chain front, PWM']
    """
    return [
        ", ".join(f"{head} {cell}".strip() for head, cell in zip(table.heads, row, strict=False) if cell)
        for row in table.rows
    ]


def mishap_told(card: Card | None, cases: dict[str, str], hurt: str) -> Told:
    """Return the card of what went wrong as lines, its first actions numbered."""
    lines = [hurt]
    if card is not None:
        lines += [f"IT WENT WRONG: {card.title}", *(f"{n}. {text}" for n, text in enumerate(card.actions, 1))]
        lines += [f"after that: {text}" for text in card.then]
    return Told(lines=(*lines, *(f"{word}: {means}" for word, means in cases.items())))


def help_lines(help_: Help) -> tuple[str, ...]:
    """Return a help as lines."""
    parts = (
        ("What it is for", help_.purpose),
        ("What is good", help_.good),
        ("What to do when it is not", help_.bad),
    )
    return tuple(f"{title}: {' '.join(text.split())}" for title, text in parts if text)
