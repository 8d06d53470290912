"""A hold's verdict as plain lines, one fact a line, for eyes, screen readers and scripts."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.stages.pressure_hold.rows.verdict import figures_of, reasons_of, rules_of, usual_units

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from commission.stages.pressure_hold.entries import HoldPlan
    from commission.stages.pressure_hold.model import HoldVerdict


def verdict_lines(
    verdict: HoldVerdict, plan: HoldPlan, *, about: Iterable[str] = (), assumed: Iterable[str] = ()
) -> Iterator[str]:
    """Yield the lines of a verdict: the word first, then what it is about, the reasons, the figures.

    Parameters
    ----------
    plan
        What it was judged by: pressures are told as its gauge shows them.
    about
        Lines that follow the word, such as the file's name.
    assumed
        What had to be assumed, each as a sentence.
    """
    usual = usual_units(plan)
    yield f"verdict: {verdict.outcome}"
    yield from about
    for reason in reasons_of(verdict, usual):
        yield f"reason: {reason}"
    for figure in figures_of(verdict, plan.gauge):
        yield figure.line()
    for sentence in assumed:
        yield f"assumed: {sentence}"
    yield from rules_of(verdict, usual)
