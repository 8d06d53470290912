"""``commission handover``: the spare parts, the coolant's life, and to whom a machine goes."""

from __future__ import annotations

import click

from commission.shell.recording import recording, records


@records("BUILD")
@click.option("--spares", metavar="LIST", help='What goes along: "two seals; bottle NAME", or none.')
@click.option("--coolant-lasts", metavar="TIME", help="By the bottle, such as 24 months, or none.")
@click.option("--no-look", is_flag=True, help="Say that it goes without the look that is due.")
@click.option("--to", "owner", metavar="NAME", help='To whom: a name, or "own use"; or "Mara Lind on 2026-03-14".')
def handover(
    build: str, *, spares: str | None, coolant_lasts: str | None, owner: str | None, no_look: bool, as_json: bool
) -> None:
    """Record what goes along with a machine and to whom it is handed over.

    It is refused while a defect is open or a stage has no pass that counts; what to do next is told. The owner's
    cautions are printed before: read them with whoever gets it.

    \b
    Example:
      commission handover "Desk loop" --spares "two seals; bottle NAME"
      commission handover "Desk loop" --coolant-lasts "24 months" --to "Mara Lind"
    """
    from commission.bench.doubt import refuse_unsaid
    from commission.procedure.model import When
    from commission.stages.handover.card.deeds import at_hand, handed_deed, life_deed, look_missing, spares_deed

    if spares is None and coolant_lasts is None and owner is None:
        raise click.UsageError("say --spares, --coolant-lasts or --to")
    about = refuse_unsaid(no_look, "--no-look")
    with recording(build, as_json=as_json) as job:
        hand = at_hand(job.book, job.build_id)
        first = [] if spares is None else [spares_deed(hand, spares)]
        first += [] if coolant_lasts is None else [life_deed(hand, coolant_lasts)]
        if owner is not None:
            about(handed_deed(hand, owner), look_missing(hand))  # all is read before any of it is stored
        for one in first:
            job.do(one)
        if owner is not None:
            hand.refresh()
            deed = about(handed_deed(hand, owner), look_missing(hand))
            job.print_cautions(hand, When.FOR_THE_OWNER, When.HANDING_OVER)
            job.do(deed)
