"""``commission judge rails``: whether the voltages of a supply keep to the windows of its design guide."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from commission.base.errors import InputError
from commission.shell.columns_option import asked_columns, columns_option
from commission.shell.judged_files import judge_files, not_judged, sentence
from commission.stages.first_power.model.rails import Revision

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from commission.base.verdict import Outcome
    from commission.stages.first_power.model.rails import RailsVerdict


@click.command("rails", no_args_is_help=True)
@click.argument("files", nargs=-1, required=True, metavar="FILE...")
@click.option(
    "--revision",
    type=click.Choice([str(each) for each in Revision], case_sensitive=False),
    help="Design guide that the supply claims to follow; wins over the file's.",
)
@columns_option
@click.option("--json", "as_json", is_flag=True, help="Print one JSON object a file, each on its own line.")
@click.pass_context
def judge_rails(context: click.Context, /, files: tuple[str, ...], revision: str | None, as_json: bool) -> None:
    """Judge the voltages of a power supply, read at its plugs.

    FILE is a table in UTF-8 with a header row: plug, rail (+12 V, +5 V, +3.3 V, +5VSB, -12 V), voltage [V], and where
    known connector (board, processor, graphics, other) and load (yes, no). A lone - reads standard input. Lines such
    as "# revision: ATX2" and "# meter error: 0.02 V" tell the rest. Each voltage is decided on as it was written,
    never rounded. The wider windows of ATX 3.x are second-hand, and are marked.

    Measure at the plugs only, never inside the supply: its mains side is for a qualified electrician.

    \b
    Exit status with one file: 0 pass, 1 fail, 3 inconclusive,
                               2 it could not be read.
    With several files:        0 all could be judged, 2 at least one could not.

    \b
    Example:
      commission judge rails supply.csv --revision ATX2
    """
    asked = None if revision is None else Revision(revision.upper())

    def judge_one(file: str) -> tuple[Outcome, Iterable[str]]:
        verdict, error_v, notes = judged_rails_file(file, asked, named)
        if not as_json:
            return verdict.outcome, _lines(file, verdict, error_v, notes)
        from commission.bench.json_line import json_line
        from commission.stages.first_power.rows.rails_json import judged_rails

        told = judged_rails(file, verdict, sentence, meter_error_v=error_v, notes=notes)
        return verdict.outcome, [json_line(told)]

    named = asked_columns()
    judge_files(context, files, judge_one, as_json=as_json)


def judged_rails_file(file: str, asked: Revision | None, columns: str = "") -> tuple[RailsVerdict, float, list[str]]:
    """Read one file and judge it; return also the meter's error, and what the option changed.

    Raises
    ------
    FileError
        If it cannot be read.
    InputError
        If nothing says which guide the supply follows.
    """
    from commission.stages.first_power.files.rails_csv import read_rails
    from commission.stages.first_power.judge.rails import evaluate_rails
    from commission.stages.first_power.work.first_power import WANTED_RAILS

    read = read_rails(Path(file), columns)
    revision = asked or read.revision
    if revision is None:
        raise InputError(
            'nothing says which design guide the supply follows; add --revision ATX2 or ATX3, or a line "# revision: '
            'ATX2"'
        )
    notes = not_judged(read.comments)
    if read.revision not in (None, revision):
        notes.append(f"judged by {revision} as asked; the file says {read.revision}")
    missing = [rail for rail in WANTED_RAILS if rail not in {reading.rail for reading in read.readings}]
    if missing:
        notes.append(f"not read in this file: {', '.join(missing)}; a whole supply is judged with them")
    return evaluate_rails(read.readings, revision, meter_error_v=read.meter_error_v), read.meter_error_v, notes


def _lines(file: str, verdict: RailsVerdict, meter_error_v: float, notes: Iterable[str]) -> Iterator[str]:
    from commission.stages.first_power.rows.rails import rail_row

    yield f"verdict: {verdict.outcome}"
    yield f"file: {file}"
    yield f"revision: {verdict.revision}"
    if meter_error_v:
        yield f"meter error: {meter_error_v:g} V"
    for reason in verdict.reasons:
        yield f"reason: {sentence(reason)}"
    for finding in verdict.findings:
        yield f"remark: {sentence(finding)}"
    for row in verdict.rows:
        yield rail_row(row).of("rail").line()
    for source in dict.fromkeys(row.window.source for row in verdict.rows):
        yield f"windows: {source}"
    for note in notes:
        yield f"remark: {note}"
