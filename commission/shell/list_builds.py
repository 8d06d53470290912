"""``commission list``: the builds and where each stands, a page at a time."""

from __future__ import annotations

import click

from commission.base.errors import InputError
from commission.bench.build_facts import rung_text
from commission.bench.json_line import json_line
from commission.bench.moment import moment
from commission.record.unknown import unknown_text
from commission.shell.builds_json import BuildsTold, build_told
from commission.shell.console import say
from commission.shell.options import logbook_option, read_logbook

PAGE = 20
"""Builds on a page; our choice: they fit on a screen of 80 x 24, and each is folded."""


@click.command("list")
@click.option(
    "--page", type=click.IntRange(min=1), default=1, help=f"Which page of {PAGE} builds; the first if not given."
)
@click.option("--all", "everything", is_flag=True, help="List all builds, without pages.")
@click.option("--json", "as_json", is_flag=True, help="Print one JSON object.")
@logbook_option
def list_builds(page: int, everything: bool, *, as_json: bool) -> None:
    """List the builds, the one opened last first, each with where it stands.

    \b
    Example:
      commission list
      commission list --page 2
      commission list --all --json
    """
    with read_logbook() as opened:
        book = opened.book
        count = book.count_builds()
        if not count and not as_json:
            say("builds: none yet")
            return
        pages = max(1, -(-count // PAGE))
        if not everything and page > pages:
            raise InputError(f"there is no page {page}; the last is page {pages}: commission list --page {pages}")
        skip = 0 if everything else PAGE * (page - 1)
        rows = book.some_builds(count if everything else PAGE, skip)
        if as_json:
            told = tuple(build_told(book, row) for row in rows)
            pages = 1 if everything else pages
            say(json_line(BuildsTold(builds=told, count=count, page=page, pages=pages)))
            return
        for row in rows:
            state = book.build(row.build_id)
            facts = ["put away"] if state.put_away else []
            facts += ["judged by a procedure of its own"] if book.own_procedure(state) else []
            facts += [rung_text(rung) for rung in book.ladder(state)]
            facts += [f"unknown: {unknown_text(entry)}" for entry in state.unknown[:1]]
            say(f"build: {row.name}; opened: {moment(row.opened_ms, row.offset_min)}; {'; '.join(facts)}")
        if not everything and page < pages:
            say(f"page: {page} of {pages}, {count} builds; next: commission list --page {page + 1}")
