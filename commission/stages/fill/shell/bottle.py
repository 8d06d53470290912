"""``commission bottle``: containers of coolant and water, shared by all builds."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

import click

from commission.base.errors import InputError
from commission.base.quantity import Quantity
from commission.shell.console import say
from commission.shell.options import logbook_option, opened_logbook
from commission.shell.quantity_type import QuantityType, UncertainType
from commission.shell.recording import json_option, recording
from commission.stages.fill.model.coolant import Basis, Bottle
from commission.stages.fill.rows.bottle import bottle_row
from commission.stages.fill.shell.coolant_types import BaseType, share_options
from commission.stages.fill.typed.life import read_life
from commission.stages.fill.work.fills import Fills

if TYPE_CHECKING:
    from typing import Any

    from commission.shell.quantity_type import Uncertain
    from commission.stages.fill.model.coolant import Base

AT_20_C_K = 293.15
"""Temperature of a data sheet that states none [K]; common practice, no source."""
DENSITY_U_KG_M3 = 2.0
"""Standard uncertainty of a data sheet's density [kg/m3]; our choice: the last digit that sheets print."""


@click.group()
def bottle() -> None:
    """Keep bottles of coolant and water: what they hold, and how much is left.

    \b
    Example:
      commission bottle add "red can" --base water --size "1 L"
      commission bottle list
    """


@bottle.command("add", no_args_is_help=True)
@click.argument("name", metavar="NAME")
@click.option("--base", type=BaseType(), required=True, help="water, a glycol, ready-mix or unknown.")
@click.option("--size", type=QuantityType(Quantity.VOLUME), required=True, help="What it holds when full.")
@share_options
@click.option("--density", type=UncertainType(Quantity.DENSITY), help="By its data sheet, or weighed.")
@click.option("--density-at", type=QuantityType(Quantity.TEMPERATURE), help="Where that holds; usual: 20 degC.")
@click.option("--freezing", type=QuantityType(Quantity.TEMPERATURE), help="Freezing point by its data sheet.")
@click.option("--product", default="", help="Name on the label, the same for bottles of a kind.")
@click.option("--lot", default="", help="Lot or batch on the label.")
@click.option("--lasts", default="none", help="How long it may stay in a loop, such as 24 months.")
@click.option("--opened", default="", help="Date it was opened, such as 2026-03-31.")
@json_option
@logbook_option
def add(
    name: str,
    base: Base,
    size: float,
    mass_fraction: float | None,
    volume_fraction: float | None,
    *,
    as_json: bool,
    **label: Any,
) -> None:
    """Describe a bottle as its label does.

    \b
    Example:
      commission bottle add "red can" --base propylene-glycol \\
        --volume-fraction "33 %" --size "1 L" --lot A12
    """
    if mass_fraction is not None and volume_fraction is not None:
        raise InputError("the share was typed by mass and by volume; type the one on the label")
    basis = Basis.MASS if mass_fraction is not None else Basis.VOLUME if volume_fraction is not None else None
    density: Uncertain | None = label["density"]
    if density is None and label["density_at"] is not None:
        raise InputError("a temperature was typed without a density; type both")
    with recording(None, as_json=as_json) as job:
        book = job.book
        described = Bottle(
            bottle_id=book.new_id(),
            name=" ".join(name.split()),
            base=base,
            size_m3=size,
            fraction=volume_fraction if mass_fraction is None else mass_fraction,
            basis=basis,
            density_kg_m3=density.si if density else None,
            density_k=label["density_at"] or AT_20_C_K,
            u_density_kg_m3=DENSITY_U_KG_M3 if density is None or density.u is None else density.u,
            freezing_k=label["freezing"],
            lasts_s=read_life(label["lasts"])[0],
            product=label["product"].strip(),
            lot=label["lot"].strip(),
            opened_on=_date(label["opened"].strip()),
        )
        if not described.name:
            raise InputError("a name is wanted; type what you call the bottle")
        book.work(Fills).add_bottle(described)
        job.say(bottle_row(book, described).of("bottle").line())


@bottle.command("list")
@logbook_option
def list_bottles() -> None:
    """List the bottles in use, each with what is left in it by the record.

    \b
    Example:
      commission bottle list
    """
    with opened_logbook(read_only=True) as opened:
        bottles = opened.book.work(Fills).bottles
        if not bottles:
            say("bottles: none yet")
        for one in bottles:
            say(bottle_row(opened.book, one).of("bottle").line())


@bottle.command("retire", no_args_is_help=True)
@click.argument("name", metavar="NAME")
@click.option("--reason", required=True, help="Why, such as empty.")
@json_option
@logbook_option
def retire(name: str, reason: str, *, as_json: bool) -> None:
    """Take a bottle out of use.

    \b
    Example:
      commission bottle retire "red can" --reason empty
    """
    with recording(None, as_json=as_json) as job:
        fills = job.book.work(Fills)
        if not reason.strip():
            raise InputError("a reason is wanted; type why, such as empty")
        fills.retire_bottle(fills.find_bottle(name).bottle_id, reason.strip())


def _date(text: str) -> str:
    if text and not re.fullmatch(r"[0-9]{4}-(0[1-9]|1[0-2])-(0[1-9]|[12][0-9]|3[01])", text):
        raise InputError(f'"{text}" is no date; type it as year-month-day, such as 2026-03-31')
    return text
