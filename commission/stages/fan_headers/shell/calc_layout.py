"""``commission calc layout``: which chain goes on which header."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from commission.base.errors import CommissionError
from commission.shell.console import USAGE, complain, say
from commission.shell.judged_files import sentence

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from commission.stages.fan_headers.rows.layout_json import LayoutTold

CAUTION = "plug only with the machine shut down, the supply switched off and its mains plug pulled"
"""What comes before any plug is moved; common practice, no source."""


@click.command(no_args_is_help=True)
@click.argument("file", metavar="FILE.toml")
@click.option("--json", "as_json", is_flag=True, help="Print one JSON object; currents in mA, cost in cm.")
@click.pass_context
def layout(context: click.Context, /, file: str, as_json: bool) -> None:
    """Tell which chain of fans or pump goes on which header.

    FILE lists the headers with their ratings by the board's manual, and the chains with the currents of their labels,
    in whole milliamperes. A lone - reads standard input. Steady currents may take 80 % of a rating, start currents
    all of it; a pump goes only where nothing can stop it, and alone. The answer is exact: the least cable, every
    layout that is as good, the next one, and the rule behind each seat that is impossible. "infeasible" is an answer
    as well: with the least that would have to change.

    \b
    The file:
      share_penalty = 50           # cost of each chain that joins another
      [[header]]
      name = "SYS1"
      rating_ma = 2000
      modes = ["pwm", "voltage"]   # or "fixed"
      full_speed_lock = false      # true where nothing can stop a pump
      [[chain]]
      name = "front"
      drive = "pwm"
      steady_ma = 600
      start_ma = 900               # without it: twice the steady current
      pump = false
      fans = 3
      [chain.cable_cm]             # headers in reach; without it: all
      SYS1 = 15

    \b
    Exit status: 0 answered, 2 the file cannot be read.

    \b
    Example:
      commission calc layout board.toml
    """
    from commission.bench.json_line import json_line
    from commission.stages.fan_headers.files.layout_toml import read_layout_file
    from commission.stages.fan_headers.judge.layout import best_layout
    from commission.stages.fan_headers.rows.layout_json import layout_told

    try:
        problem = read_layout_file(Path(file))
    except CommissionError as error:
        complain(f"{file}: {error}")
        context.exit(USAGE)
    told = layout_told(best_layout(problem), sentence)
    for line in [json_line(told)] if as_json else _lines(told):
        say(line)


def _lines(told: LayoutTold) -> Iterator[str]:
    from commission.stages.fan_headers.rows.board import load_row

    yield f"status: {told.status}"
    if told.assignment is not None and told.loads is not None:
        yield f"cost: {told.cost} cm of cable and penalties"
        yield f"caution: {CAUTION}"
        for chain, header in told.assignment.items():
            yield f"seat: {chain} on {header}"
        for header, load in told.loads.items():
            yield load_row(header, load).of("load").line()
    for other in told.optima[1:]:
        yield f"as good: {_seats(other.assignment)}"
    if told.optima_count > len(told.optima):
        yield f"as good: {told.optima_count - len(told.optima)} more"
    if told.runner_up is not None:
        yield f"next: cost {told.runner_up.cost}: {_seats(told.runner_up.assignment)}"
    for change in told.relaxation:
        yield f"would help: {change.what}"
    for refusal in told.refusals:
        yield f"impossible: {refusal.chain} on {refusal.header}, {refusal.rule}: {refusal.why}"
    for remark in told.remarks:
        yield f"remark: {remark}"


def _seats(assignment: Mapping[str, str]) -> str:
    return "; ".join(f"{chain} on {header}" for chain, header in assignment.items())
