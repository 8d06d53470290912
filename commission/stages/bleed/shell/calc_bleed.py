"""``commission calc bleed``: the air that a loop still hides."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from commission.base.quantity import Quantity
from commission.bench.json_line import json_line
from commission.shell.answer import in_words
from commission.shell.console import say
from commission.shell.quantity_type import AmountType, QuantityType
from commission.shell.renamed import renamed

if TYPE_CHECKING:
    from collections.abc import Iterator

    from commission.base.quantity import Measured
    from commission.stages.bleed.model import AirTail
    from commission.stages.bleed.rows.calc_json import BleedAnswer


@click.command(no_args_is_help=True)
@click.argument("amounts", nargs=-1, required=True, metavar="AMOUNT...", type=AmountType(Quantity.VOLUME))
@click.option(
    "--error",
    "reading",
    type=QuantityType(Quantity.VOLUME),
    required=True,
    help="Largest error of each amount.",
)
@renamed("--reading", "--error")
@click.option("--json", "as_json", is_flag=True, help="Print one JSON object in SI units.")
def bleed(amounts: tuple[Measured, ...], reading: float, as_json: bool) -> None:
    """Tell the air that is still to come out.

    AMOUNT is what was topped up after each cycle of equal effort in one position of the case, in order. Tilting starts
    a new row. "too few" and "not converging" are answers as well.

    \b
    Example:
      commission calc bleed "120 mL" "42 mL" "15 mL" "5.2 mL" --error "2 mL"
    """
    from commission.stages.bleed.judge.tail import remaining_air
    from commission.stages.bleed.rows.calc_json import BleedAnswer, Remaining

    with in_words():
        tail = remaining_air([one.si for one in amounts], reading)
    remaining = None
    if tail.low_m3 is not None and tail.best_m3 is not None and tail.high_m3 is not None:
        remaining = Remaining(low=tail.low_m3, best=tail.best_m3, high=tail.high_m3)
    answer = BleedAnswer(remaining_m3=remaining, state=tail.state, ratio=tail.ratio, used=tail.used)
    for line in [json_line(answer)] if as_json else _bleed_lines(answer, tail):
        say(line)


def _bleed_lines(answer: BleedAnswer, tail: AirTail) -> Iterator[str]:
    from commission.stages.bleed.rows.figures import tail_row

    yield f"state: {answer.state}"
    if answer.remaining_m3 is not None:
        yield tail_row(tail).line()
    yield f"readings used: {answer.used}"
