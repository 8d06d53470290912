"""The pressure hold, as bench, screens and commands see it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.bench.face import Command, Face, Span, Start, Starter

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable

    from commission.bench.ask import Flow
    from commission.bench.card import Fact
    from commission.bench.chart import Chart
    from commission.bench.face import Running
    from commission.bench.listing import Listing
    from commission.record.face import RecordFace
    from commission.record.fold import BuildState
    from commission.record.ladder import StageState
    from commission.record.logbook import Logbook

_SHELL = "commission.stages.pressure_hold.shell"

_DECIDES = (
    "It passes if the leak rate is within the limit at the most. It fails if it is beyond the limit even at the "
    "least. Between the two it is inconclusive, and where a doubt about the readings stands against a pass. Readings "
    "that cannot be right, such as a rise, make it invalid. How sure most and least are stands beside the figure."
)


def _record() -> RecordFace:
    from commission.stages.pressure_hold.record_face import RECORD

    return RECORD


def _beside(flow: Flow) -> object:
    from commission.stages.pressure_hold.plot.screen import HoldBeside

    return HoldBeside(flow)


def _flow(book: Logbook, build_id: str) -> Flow:
    from commission.stages.pressure_hold.card.hold import HoldFlow

    return HoldFlow(book, build_id)


def _rows(book: Logbook, state: BuildState) -> Iterable[Fact]:
    from commission.stages.pressure_hold.rows.show import hold_lines

    return hold_lines(book, state)


def _charts(book: Logbook, state: BuildState) -> Iterable[Chart]:
    from commission.stages.pressure_hold.rows.charts import hold_charts

    return hold_charts(book, state)


def _listings(book: Logbook, state: BuildState) -> Iterable[Listing]:
    from commission.stages.pressure_hold.rows.listings import hold_listings

    return hold_listings(book, state)


def _running(book: Logbook, state: BuildState) -> Iterable[Running]:
    from commission.stages.pressure_hold.rows.running import running

    return running(book, state)


def _at_once(state: BuildState) -> str:
    from commission.stages.pressure_hold.state.attempt import hold_of, search_under_pressure

    if search_under_pressure(state):
        return "venting: the leak search is under pressure"
    return "readings, to its end" if hold_of(state).running else ""


def _needs(book: Logbook, state: BuildState, turn: StageState | None) -> str:
    from commission.stages.pressure_hold.rows.running import needs

    return needs(book, state, turn)


def _takes(_book: Logbook, state: BuildState) -> float:
    from commission.stages.pressure_hold.state.attempt import hold_of

    return hold_of(state).end_s or 0.0


def _quick(book: Logbook, text: str) -> Start:
    from commission.stages.pressure_hold.card.quick import quick_start

    return quick_start(book, text)


def _sample(book: Logbook, behind: Callable[[float], None]) -> None:
    from commission.stages.pressure_hold.work.sample_hold import start_planned

    start_planned(book, behind)


FACE = Face(
    id="pressure_hold",
    record=_record,
    flow=_flow,
    beside=_beside,
    rows=_rows,
    charts=_charts,
    listings=_listings,
    decides=_DECIDES,
    shows=("hold # leak rate", "leak rate"),
    spans=(Span(begun=("hold started",), ended=("hold closed",)),),
    running=_running,
    at_once=_at_once,
    needs=_needs,
    takes=_takes,
    sample=_sample,
    heavy=("commission.stages.pressure_hold.judge.verdict",),
    renamed={"close": "end-hold", "let-down": "vented", "finding": "hold-defect", "cure": "repaired"},
    starters={"quick": Starter(example="quick North 1.2 L digital 1 mbar 0.4 bar max 0.8 bar", start=_quick)},
    commands={
        "judge hold": Command(
            f"{_SHELL}.judge:judge_hold",
            "Judge pressure holds: whether the loop leaks less than the limit.",
        ),
        "quick": Command(f"{_SHELL}.quick:quick", "Open a build and plan its hold in one line; say what is assumed."),
        "plan": Command(f"{_SHELL}.plan:plan", "Plan a hold, and tell what it can decide."),
        "bench-sheet": Command(f"{_SHELL}.bench_sheet:bench_sheet", "Print a planned hold as one page for paper."),
        "feed": Command(f"{_SHELL}.feed:feed", "Store readings from a pipe in a running hold."),
        "end-hold": Command(f"{_SHELL}.close:close", "End a running hold and judge it."),
        "vented": Command(f"{_SHELL}.let_down:vented", "Record that the pressure is vented."),
        "search": Command(f"{_SHELL}.search:search", "Search for a leak by parting the loop off."),
        "hold-defect": Command(f"{_SHELL}.finding:hold_defect", "Record a defect that was found after a hold."),
    },
)
"""What the rest of the house sees of it."""
