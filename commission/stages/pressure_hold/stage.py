"""The pressure hold, as bench, screens and commands see it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.bench.face import ByName, Command, Face, Span, Starter

if TYPE_CHECKING:
    from commission.record.face import RecordFace
    from commission.record.fold import BuildState
    from commission.record.logbook import Logbook

_AT = "commission.stages.pressure_hold"
_SHELL = f"{_AT}.shell"

_DECIDES = (
    "It passes if the leak rate is within the limit at the most. It fails if it is beyond the limit even at the "
    "least. Between the two it is inconclusive, and where a doubt about the readings stands against a pass. Readings "
    "that cannot be right, such as a rise, make it invalid. How sure most and least are stands beside the figure."
)


def _record() -> RecordFace:
    from commission.stages.pressure_hold.record_face import RECORD

    return RECORD


def _at_once(state: BuildState) -> str:
    from commission.stages.pressure_hold.state.attempt import hold_of, search_under_pressure

    if search_under_pressure(state):
        return "venting: the leak search is under pressure"
    return "readings, to its end" if hold_of(state).running else ""


def _takes(_book: Logbook, state: BuildState) -> float:
    from commission.stages.pressure_hold.state.attempt import hold_of

    return hold_of(state).end_s or 0.0


FACE = Face(
    id="pressure_hold",
    record=_record,
    flow=ByName(f"{_AT}.card.hold:HoldFlow"),
    beside=ByName(f"{_AT}.plot.screen:HoldBeside"),
    rows=ByName(f"{_AT}.rows.show:hold_lines"),
    charts=ByName(f"{_AT}.rows.charts:hold_charts"),
    listings=ByName(f"{_AT}.rows.listings:hold_listings"),
    decides=_DECIDES,
    shows=("hold # leak rate", "leak rate"),
    spans=(Span(begun=("hold started",), ended=("hold closed",)),),
    running=ByName(f"{_AT}.rows.running:running"),
    at_once=_at_once,
    needs=ByName(f"{_AT}.rows.running:needs"),
    takes=_takes,
    sample=ByName(f"{_AT}.work.sample_hold:start_planned"),
    heavy=("commission.stages.pressure_hold.judge.verdict",),
    renamed={"close": "end-hold", "let-down": "vented", "finding": "hold-defect", "cure": "repaired"},
    starters={
        "quick": Starter(
            example="quick North 1.2 L digital 1 mbar 0.4 bar max 0.8 bar",
            start=ByName(f"{_AT}.card.quick:quick_start"),
        )
    },
    commands={
        "judge hold": Command(
            f"{_SHELL}.judge:judge_hold",
            "Judge pressure holds: whether the loop leaks less than the limit.",
        ),
        "quick": Command(f"{_SHELL}.quick:quick", "Open a build and plan its hold in one line; say what is assumed."),
        "plan": Command(f"{_SHELL}.plan:plan", "Plan a hold, and tell what it can decide."),
        "bench-sheet": Command(f"{_SHELL}.bench_sheet:bench_sheet", "Print a planned hold as one page for paper."),
        "feed": Command(f"{_SHELL}.feed:feed", "Store readings from a pipe in a running hold."),
        "withdraw-row": Command(f"{_SHELL}.withdraw_row:withdraw_row", "Withdraw a wrong row of a running hold."),
        "end-hold": Command(f"{_SHELL}.close:close", "End a running hold and judge it."),
        "vented": Command(f"{_SHELL}.let_down:vented", "Record that the pressure is vented."),
        "search": Command(f"{_SHELL}.search:search", "Search for a leak by parting the loop off."),
        "hold-defect": Command(f"{_SHELL}.finding:hold_defect", "Record a defect that was found after a hold."),
    },
)
"""What the rest of the house sees of it."""
