"""``commission open``, ``like``, ``operator`` and ``note``: what belongs to no stage."""

from __future__ import annotations

import click

from commission.shell.recording import recording, records


@records("NAME", name="open")
@click.option("--like", metavar="BUILD", help="Copy parts list and plan of another build.")
def open_build(name: str, like: str | None, *, as_json: bool) -> None:
    """Open a new build, under the procedure of this program.

    \b
    Example:
      commission open "Desk loop"
      commission open "Second desk loop" --like "Desk loop"
    """
    from commission.bench.deed import Deed
    from commission.bench.like import like_deed, other_build
    from commission.record.logbook import checked_name

    with recording(None, as_json=as_json) as job:
        other = None if like is None else other_build(job.book, "", like)
        if other is not None:
            job.book.refuse_nothing_like(other)
        named = checked_name(name)

        def do() -> str:
            job.build_id = job.book.open_build(named)
            return named

        job.do(Deed(told=f"a new build: {named}", do=do))
        if other is not None:
            job.do(like_deed(job.book, job.build_id, other))


@records("BUILD")
@click.argument("other", metavar="OTHER")
def like(build: str, other: str, *, as_json: bool) -> None:
    """Copy parts list and plan of the build OTHER into BUILD, which has neither yet.

    A volume that was measured on air is not copied: it was another loop's. Each part and the plan become entries of
    BUILD, and can be changed there.

    \b
    Example:
      commission like "Second desk loop" "Desk loop"
    """
    from commission.bench.like import like_deed, other_build

    with recording(build, as_json=as_json) as job:
        job.do(like_deed(job.book, job.build_id, other_build(job.book, job.build_id, other)))


@records("NAME")
def operator(name: str, *, as_json: bool) -> None:
    """Name whoever works from now on; the name stands beside every entry.

    \b
    Example:
      commission operator "Ilse Brandt"
    """
    from commission.bench.operator import operator_deed

    with recording(None, as_json=as_json) as job:
        job.do(operator_deed(job.book, name))


@records("BUILD")
@click.argument("text", metavar="TEXT")
@click.option("--stage", default="", metavar="NAME", help="The stage that it is about; usual: the one that runs.")
def note(build: str, text: str, *, stage: str, as_json: bool) -> None:
    """Write down something worth remembering of a build; "commission show" tells it.

    \b
    Example:
      commission note "Desk loop" "fittings turned home once more"
      commission note "Desk loop" "gurgles when tilted" --stage bleed
    """
    from commission.bench.ask import some_text
    from commission.bench.deed import said
    from commission.bench.needs import stage_called, stage_running

    with recording(build, as_json=as_json) as job:
        book, build_id = job.book, job.build_id
        worth = some_text("what is worth remembering")(text)
        about = stage_called(book, build_id, stage) if stage else stage_running(book, build_id)
        within = f" in {book.procedure(book.build(build_id)).stage(about).title.lower()}" if about else ""
        job.do(said(f"note{within}: {worth}", lambda: book.add_note(build_id, worth, stage=about)))
