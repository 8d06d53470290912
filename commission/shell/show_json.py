"""A build as plain data for programs: the facts that ``show`` prints, each with the number behind it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.base.frozen import Frozen
from commission.bench.card import Raw
from commission.bench.json_line import json_line

if TYPE_CHECKING:
    from collections.abc import Iterable

    from commission.bench.card import Fact


class ShownFact(Frozen):
    """One fact of a build."""

    name: str
    """What it speaks of, such as ``fill added``; more than one fact may have the same, such as ``note``."""
    text: str
    """What is said of it, word for word as in the plain lines."""
    raw: Raw | None
    """The number behind it; null where it is words."""


class ShownBuild(Frozen):
    """Everything that the logbook knows of a build."""

    facts: tuple[ShownFact, ...]
    """Its facts, in the order of the plain lines."""


def show_line(facts: Iterable[Fact]) -> str:
    """Return the facts of a build as one JSON object on one line, in ASCII."""
    return json_line(ShownBuild(facts=tuple(map(_fact, facts))))


def _fact(fact: Fact) -> ShownFact:
    if isinstance(fact, str):
        name, _, text = fact.partition(": ")
        return ShownFact(name=name, text=text, raw=None)
    return ShownFact(name=fact.label, text=fact.text, raw=fact.raw)
