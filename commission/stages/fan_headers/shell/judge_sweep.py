"""``commission judge sweep``: whether a header controls its chain, from speeds at one duty after the other."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from commission.base.board_range import MOST_SWEEP_RPM
from commission.base.errors import InputError
from commission.base.frozen import replace
from commission.shell.columns_option import asked_columns, columns_option
from commission.shell.judged_files import judge_files, not_judged, sentence
from commission.shell.quantity_type import TextType

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from commission.base.verdict import Outcome
    from commission.stages.fan_headers.model.sweep import SweepSetup, SweepVerdict


class SpeedType(TextType[float]):
    """A speed in turns a minute, with or without ``rpm`` behind it."""

    name = "RPM"

    def read(self, text: str) -> float:
        """Return the speed in turns a minute."""
        from commission.units.number import readable, split_number

        typed, unit = split_number(readable(text))
        if unit.casefold() not in ("", "rpm"):
            raise InputError(f'"{text}" is no speed; type it in rpm, such as 1500')
        if typed.grouped is not None:
            raise InputError(f'"{text}" may mean {typed.value:g} or {typed.grouped:g}; type it without the comma')
        if not 0 < typed.value <= MOST_SWEEP_RPM:
            raise InputError(f'"{text}" is outside 0 to {MOST_SWEEP_RPM:g} rpm; check the number')
        return typed.value


@click.command("sweep", no_args_is_help=True)
@click.argument("files", nargs=-1, required=True, metavar="FILE...")
@click.option("--nameplate", "nameplate_rpm", type=SpeedType(), help="Highest speed that the maker states.")
@click.option(
    "--pump",
    is_flag=True,
    help="It is a pump that must run at full speed: a flat curve is right, one that slows it fails.",
)
@columns_option
@click.option("--json", "as_json", is_flag=True, help="Print one JSON object a file, each on its own line.")
@click.pass_context
def judge_sweep(
    context: click.Context, /, files: tuple[str, ...], nameplate_rpm: float | None, pump: bool, as_json: bool
) -> None:
    """Judge sweeps: whether a header controls its fans, from speeds at one duty after the other.

    FILE is a table in UTF-8 with a header row: duty [%], speed [rpm], and where known direction (down or up) and
    sample, in the order in which they were read. A speed that could not be read stays empty. A lone - reads standard
    input. Lines such as "# wires: 4" tell what is known of the fan: nameplate, wires, mode (pwm, voltage, fixed), feed
    (header, hub, supply), fans, pump, full speed wanted, turning (yes, no), fault, display step. Options win over them.

    Start at 100 %, go down to 30 % in five levels or more, and up again; read each several times. Sweep only once the
    loop is filled and bled, and a pump never below its maker's minimum.

    \b
    Exit status with one file: 0 pass, 1 fail, 3 inconclusive, 4 invalid,
                               2 it could not be read.
    With several files:        0 all could be judged, 2 at least one could not.

    \b
    Example:
      commission judge sweep front.csv --nameplate 1500
      commission judge sweep *.csv --json
    """

    def judge_one(file: str) -> tuple[Outcome, Iterable[str]]:
        verdict, setup, notes = judged_sweep_file(file, nameplate_rpm, pump=pump, columns=named)
        if not as_json:
            return verdict.outcome, _lines(file, verdict, setup, notes)
        from commission.bench.json_line import json_line
        from commission.stages.fan_headers.rows.sweep_json import judged_sweep

        return verdict.outcome, [json_line(judged_sweep(file, verdict, sentence, notes))]

    named = asked_columns()
    judge_files(context, files, judge_one, as_json=as_json)


def judged_sweep_file(
    file: str, nameplate_rpm: float | None, *, pump: bool, columns: str = ""
) -> tuple[SweepVerdict, SweepSetup, list[str]]:
    """Read one file and judge it; return also what is known of the fan, and what the options changed.

    Raises
    ------
    FileError
        If it cannot be read.
    """
    from commission.stages.fan_headers.files.sweep_csv import read_sweep
    from commission.stages.fan_headers.judge.sweep import evaluate_fan_headers

    read = read_sweep(Path(file), pump=pump, columns=columns)
    setup, notes = read.setup, not_judged(read.comments)
    if nameplate_rpm is not None:
        if setup.nameplate_rpm not in (None, nameplate_rpm):
            notes.append(f"the nameplate is {nameplate_rpm:g} rpm as asked; the file says {setup.nameplate_rpm:g} rpm")
        setup = replace(setup, nameplate_rpm=nameplate_rpm)
    return evaluate_fan_headers(read.sweep, setup), setup, notes


def _lines(file: str, verdict: SweepVerdict, setup: SweepSetup, notes: Iterable[str]) -> Iterator[str]:
    from commission.stages.fan_headers.rows.sweep import figures_of
    from commission.stages.fan_headers.rows.sweep_json import stall_of

    yield f"verdict: {verdict.outcome}"
    yield f"file: {file}"
    stall = stall_of(verdict)
    yield f"shows: {verdict.word}{'' if stall is None else f', {stall}'}"
    for kind, phrases in (("reason", verdict.reasons), ("remark", verdict.findings), ("cause", verdict.causes)):
        for phrase in phrases:
            yield f"{kind}: {sentence(phrase)}"
    if verdict.causes:
        yield "caution: plug and unplug only with the machine shut down and its mains plug pulled"
    for figure in figures_of(verdict, setup.step_rpm):
        yield figure.line()
    for note in notes:
        yield f"remark: {note}"
