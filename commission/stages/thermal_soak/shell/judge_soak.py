"""``commission judge soak``: where a machine settles under load, from a table of readings."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from commission.shell.columns_option import asked_columns, columns_option
from commission.shell.judged_files import judge_files, not_judged, sentence

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from commission.base.verdict import Outcome
    from commission.stages.thermal_soak.model import SoakVerdict


@click.command("soak", no_args_is_help=True)
@click.argument("files", nargs=-1, required=True, metavar="FILE...")
@click.option("--coolant", help='What the coolant is, such as "water" or "propylene glycol 30 %"; wins over the file.')
@columns_option
@click.option("--json", "as_json", is_flag=True, help="Print one JSON object a file, each on its own line.")
@click.pass_context
def judge_soak(context: click.Context, /, files: tuple[str, ...], coolant: str | None, as_json: bool) -> None:
    """Judge thermal soaks: where coolant and components settle under a steady load.

    FILE is a table in UTF-8 with a header row: elapsed [s], air [degC], and where known warm [degC] and cool [degC]
    (coolant on its way to and from the radiators, at least one), flow [L/h], load [W], component NAME [degC] and
    duty NAME [%]. What was not read stays empty. A lone - reads standard input. A line such as
    "# coolant: propylene glycol 30 %, step 0.1 K" tells coolant and display; without one it is water and 0.1 K.

    Whether the joints were looked at while hot no file tells: a pass here is one of the temperatures alone.

    \b
    Exit status with one file: 0 pass, 1 fail, 3 inconclusive, 4 invalid,
                               2 it could not be read.
    With several files:        0 all could be judged, 2 at least one could not.

    \b
    Example:
      commission judge soak evening.csv
      commission judge soak *.csv --json
    """

    def judge_one(file: str) -> tuple[Outcome, Iterable[str]]:
        verdict, notes = judged_soak_file(file, coolant, named)
        if not as_json:
            return verdict.outcome, _lines(file, named, verdict, notes)
        from commission.bench.json_line import json_line
        from commission.stages.thermal_soak.rows.soak_json import judged_soak

        return verdict.outcome, [json_line(judged_soak(file, verdict, sentence))]

    named = asked_columns()
    judge_files(context, files, judge_one, as_json=as_json)


def judged_soak_file(file: str, coolant: str | None, columns: str = "") -> tuple[SoakVerdict, list[str]]:
    """Read one file, judge it by the procedure that ships, and return what else is to be said.

    Raises
    ------
    CommissionError
        If it cannot be read, or holds what cannot be.
    """
    from commission.procedure.load import load_procedure
    from commission.procedure.stage_ids import THERMAL_SOAK
    from commission.shell.groups import job_here
    from commission.stages.thermal_soak.files.soak_csv import read_soak
    from commission.stages.thermal_soak.judge.verdict import evaluate_thermal_soak
    from commission.stages.thermal_soak.typed.plan import read_plan
    from commission.stages.thermal_soak.work.soaks import rule_of

    read = read_soak(Path(file), columns)
    plan = read_plan(coolant if coolant is not None else read.coolant)
    rule = rule_of(load_procedure(job_here().procedure()).stage(THERMAL_SOAK))
    return evaluate_thermal_soak(read.readings, plan, rule), not_judged(read.comments)


def _lines(file: str, columns: str, verdict: SoakVerdict, notes: Iterable[str]) -> Iterator[str]:
    from commission.shell.console import in_its_signs
    from commission.stages.thermal_soak.rows.figures import figures_of

    yield f"verdict: {verdict.outcome}"
    yield f"file: {file}"
    if columns:
        yield f"columns: {columns}"
    for phrase in verdict.reasons:
        yield f"reason: {sentence(phrase)}"
    for figure in figures_of(verdict):
        yield in_its_signs(figure.line())
    for note in notes:
        yield f"remark: {note}"
