"""Facts of the stages on their way into the report: word for word, with the numbers behind them."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.base.text import clean
from commission.report.model import Told

if TYPE_CHECKING:
    from collections.abc import Iterable

    from commission.bench.card import Fact


def told_of(facts: Iterable[Fact]) -> tuple[Told, ...]:
    """Return facts as the report has them."""
    return tuple(map(_told, facts))


def _told(fact: Fact) -> Told:
    if isinstance(fact, str):
        name, _, text = fact.partition(": ")
        return Told(name=clean(name), text=clean(text))
    return Told(name=clean(fact.label), text=clean(fact.text), raw=fact.raw)
