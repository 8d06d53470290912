"""``commission search``: the leak search after a hold that leaked."""

from commission.shell.recording import recording, records


@records("BUILD", "LINE", later="at")
def search(build: str, line: str, *, as_json: bool) -> None:
    """Search for a leak by parting the loop off, piece by piece.

    \b
    LINE is what comes next:
      "pump, cpu block, top radiator"   suspects from the gauge on
      "500 mbar"                        gauge, parted off and pumped up
      "behind pump 500 mbar"            the same at a place of your own
      "488 mbar", "499 mbar tight"      gauge at the end of the try
      "0 mbar"                          vented, before the next clamp

    \b
    Example:
      commission search "Desk loop" "pump, cpu block, top radiator"
    """
    from commission.procedure.model import When
    from commission.stages.pressure_hold.at_hand import HoldAtHand
    from commission.stages.pressure_hold.card.search import next_of
    from commission.stages.pressure_hold.rows.search import search_rows
    from commission.stages.pressure_hold.typed.search import search_deed

    with recording(build, as_json=as_json) as job:
        hand = HoldAtHand(job.book, job.build_id)
        job.do(search_deed(hand, line))
        hand.refresh()
        search, asked = next_of(hand)
        if search is not None:
            for row in search_rows(search):
                job.say(f"{row.label}: {row.text}")
        for caution in hand.work.cautions(hand.state, When.SEARCH):
            job.remark(caution.text)
        job.say(f"next: {asked}")
