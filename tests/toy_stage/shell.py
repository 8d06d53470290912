"""``judge filters`` and ``filter``: gaps judged without a logbook, and one put into it."""

import click

from commission.base.quantity import Quantity
from commission.procedure.load import load_procedure
from commission.procedure.model import When
from commission.shell.console import say
from commission.shell.groups import job_here
from commission.shell.options import logbook_option, opened_logbook, refuse_read_only
from commission.shell.quantity_type import QuantityType
from commission.shell.verdict_status import STATUS
from tests.toy_stage.judge import evaluate_filters
from tests.toy_stage.model import STAGE
from tests.toy_stage.typed import read_filter
from tests.toy_stage.work import LIMIT, Filters


@click.command("filters", no_args_is_help=True)
@click.argument("gaps", nargs=-1, required=True, type=QuantityType(Quantity.LENGTH, above_zero=False))
@click.pass_context
def judge_filters(context: click.Context, gaps: tuple[float, ...]) -> None:
    """Judge the widest gaps at dust filters."""
    verdict = evaluate_filters(gaps, load_procedure(job_here().procedure()).stage(STAGE).limit(LIMIT))
    say(f"verdict: {verdict.outcome}")
    context.exit(STATUS[verdict.outcome])


@click.command("filter", no_args_is_help=True)
@click.argument("build")
@click.argument("line")
@logbook_option
def seat(build: str, line: str) -> None:
    """Record a dust filter with the widest gap at its frame."""
    with opened_logbook() as opened:
        refuse_read_only(opened.book)
        filters = opened.book.work(Filters)
        build_id = opened.book.find_build(build)
        filters.unlocked(build_id)
        filters.print_cautions(build_id, When.BEFORE_PLUGGING)
        say(f"stored: entry {filters.seat(build_id, *read_filter(line)).seq}")
