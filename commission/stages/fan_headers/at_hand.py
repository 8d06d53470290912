"""What every part of the fan headers shares: the record, what is looked at, and what may sit where."""

from collections.abc import Mapping
from enum import StrEnum
from functools import cached_property
from typing import TYPE_CHECKING

from commission.base.errors import CommissionError, InputError, NotAllowed
from commission.base.pump_supply import PumpSupply
from commission.base.verdict import Outcome
from commission.bench.ask import listed, one_of
from commission.bench.at_hand import StageAtHand
from commission.procedure.stage_ids import FAN_HEADERS
from commission.record.logbook import Logbook
from commission.record.machine.proof import Proof
from commission.record.machine.seats import Chain, Feed, Header
from commission.stages.fan_headers.entries import LayoutChosen
from commission.stages.fan_headers.model.all_chains import HeadersVerdict
from commission.stages.fan_headers.state import FanHeadersState
from commission.stages.fan_headers.work.fan_headers import FanHeaders

if TYPE_CHECKING:
    from commission.record.machine.plugged import Plugged
    from commission.record.machine.seat_check import SeatCheck
    from commission.stages.fan_headers.model.layout import LayoutAnswer
    from commission.stages.fan_headers.model.sweep import SweepVerdict
    from commission.stages.fan_headers.state import TakenSweep

MOST_AT_ONCE = 8
"""Chains up to which the best layout is found unasked: it takes a fifth of a second then, and threefold with each."""


class View(StrEnum):
    """What the card shows beneath the line."""

    BOARD = "board"
    RESULT = "result"
    LAYOUT = "layout"
    THEN = "then"
    MOVES = "moves"
    DUTIES = "duties"


PUMP_ON_THE_BRIDGE = (
    "Warning: by this log the pump runs on the bridged supply: plug out before you move a plug. Only 24-pin and pump "
    "cable stay on it."
)
"""Shown while this build is filled or bled on the computer's supply."""


class HeadersAtHand(StageAtHand[FanHeaders]):
    """Headers, chains and sweeps as last read, and what is looked at."""

    def __init__(self, book: Logbook, build_id: str) -> None:
        self.view = View.BOARD
        self.shown = ""
        """Id of the chain whose sweep is looked at."""
        self.then_ms = 0
        """The moment that is looked back to [ms since 1970 UTC]."""
        self.start_override = False
        """Whether a layout may exceed a rating at start."""
        super().__init__(book, build_id, book.work(FanHeaders))

    def forget(self) -> None:
        """Forget what was computed from the record as it was."""
        self._answer: tuple[bool, LayoutAnswer | None] | None = None
        self._judged: dict[int, SweepVerdict] = {}

    # --- the record ------------------------------------------------------------------------------------------

    @property
    def on_the_bridge(self) -> bool:
        """Whether the loop is filled or bled on the computer's supply by the record: others hang on it then."""
        wet = any(self.state.run(self.state.stage_of(proof)).running for proof in (Proof.FILLED, Proof.BLED))
        return wet and self.state.pump_supply is PumpSupply.BRIDGED

    @property
    def plugged(self) -> "Plugged":
        """Headers, chains, and what sits where, as the record tells it."""
        return self.state.plugged

    @property
    def swept(self) -> FanHeadersState:
        """Sweeps, layout and duties as the record tells them."""
        return self.state.of(FanHeadersState)

    @cached_property
    def verdict(self) -> HeadersVerdict:
        """The verdict on all chains as they stand."""
        return self.work.verdict(self.state)

    @cached_property
    def so_far(self) -> "SweepVerdict":
        """The verdict on the running sweep as it stands."""
        return self.work.sweeps.sweep_verdict(self.state)

    def judged(self, sweep: "TakenSweep") -> "SweepVerdict":
        """Return the verdict on a sweep with its picture, which the record does not keep."""
        if sweep.seq not in self._judged:
            from commission.stages.fan_headers.judge.sweep import evaluate_fan_headers

            self._judged[sweep.seq] = evaluate_fan_headers(sweep.taken.sweep, sweep.taken.setup)
        return self._judged[sweep.seq]

    def last_sweep(self, chain_id: str) -> "TakenSweep | None":
        """Return the last sweep of a chain, whether it still counts or not."""
        return next((one for one in reversed(self.swept.sweeps) if one.taken.chain_id == chain_id), None)

    @property
    def closed(self) -> Outcome | None:
        """What the stage was closed with, where that still speaks of what is."""
        run = self.state.judged_run(FAN_HEADERS)
        if run is None or run.stale_by is not None or self.state.run(FAN_HEADERS).running:
            return None
        return run.outcome

    def refuse_locked(self) -> None:
        """Refuse what waits for the rungs of the first power-on.

        Raises
        ------
        NotAllowed
            If the stage is locked.
        """
        if self.locked:
            raise NotAllowed(f"{self.stage.title} is locked: it {self.rung.why}; bring that to a pass first")

    # --- names -----------------------------------------------------------------------------------------------

    def header_of(self, chain: Chain) -> Header | None:
        """Return the header that a chain sits on."""
        seat = self.plugged.seats().get(chain.chain_id)
        return next((header for header in self.plugged.headers if header.header_id == seat), None)

    def chain_named(self, text: str) -> tuple[Chain, str]:
        """Return the chain that a line begins with, and the rest of the line.

        Raises
        ------
        InputError
            If there is none of that name.
        """
        if not self.plugged.chains:
            raise InputError("no chain is written down yet; type such as: chain front 3 fans 4-wire 0.2 A")
        key, rest = leading(text, {one.chain_id: one.name for one in self.plugged.chains}, "chain")
        return next(one for one in self.plugged.chains if one.chain_id == key), rest

    def header_named(self, text: str) -> tuple[Header, str]:
        """Return the header that a line begins with, and the rest of the line.

        Raises
        ------
        InputError
            If there is none of that name.
        """
        if not self.plugged.headers:
            raise InputError("no header is written down yet; type such as: header CPU 4-pin 2 A pwm")
        key, rest = leading(text, {one.header_id: one.name for one in self.plugged.headers}, "header")
        return next(one for one in self.plugged.headers if one.header_id == key), rest

    # --- seats and layouts -----------------------------------------------------------------------------------

    def seat_check(self, chain: Chain, header: Header) -> "SeatCheck":
        """Return what stands against a chain on a header, beside what sits there."""
        return self.work.seats.check(self.state, chain.chain_id, header.header_id)

    def load_of(self, header: Header) -> "SeatCheck | None":
        """Return what a header carries now; None where nothing sits on it."""
        on_it = self.plugged.on(header.header_id)
        return self.seat_check(on_it[0], header) if on_it else None

    @property
    def answer_layout(self) -> "LayoutAnswer | None":
        """The best layouts as the record stands; None where the question cannot be asked."""
        if self._answer is None or self._answer[0] is not self.start_override:
            try:
                found = self.work.best_layout(self.state, start_override=self.start_override)
            except CommissionError:
                found = None
            self._answer = (self.start_override, found)
        return self._answer[1]

    @property
    def advised(self) -> "LayoutAnswer | None":
        """The best layouts, where finding them unasked holds nobody up."""
        few = 0 < len(self.plugged.chains) <= MOST_AT_ONCE
        return self.answer_layout if few and self.plugged.headers else None

    def chosen_seat(self, chain: Chain) -> Header | None:
        """Return the header that the layout taken last wants a chain on; None where it was plugged again since."""
        if self.swept.layout is None:
            return None
        chosen = [one for one in self.book.entries(self.build_id) if isinstance(one.payload, LayoutChosen)]
        since = max((one.seq for one in chosen if one.seq not in self.state.withdrawn), default=0)
        if any(move.seq > since and move.header_id and move.chain_id == chain.chain_id for move in self.plugged.moves):
            return None
        wanted = next((seat.header for seat in self.swept.layout.seats if seat.chain == chain.name), "")
        return next((header for header in self.plugged.headers if header.name == wanted), None)

    def best_seat(self, chain: Chain) -> Header | None:
        """Return the header that the best layout puts a chain on; None where there is none."""
        answer = self.advised
        best = answer.best if answer is not None else None
        wanted = next((seat.header for seat in best.seats if seat.chain == chain.name), "") if best else ""
        return next((header for header in self.plugged.headers if header.name == wanted), None)


def leading(text: str, names: Mapping[str, str], what: str) -> tuple[str, str]:
    """Part a known name, which may have blanks in it, from what follows it.

    Raises
    ------
    InputError
        If the text begins with none of them.

    Examples
    --------
    >>> leading("sys 1 # nearer", {"a": "SYS", "b": "SYS 1"}, "header")
    ('b', '# nearer')
    """
    words = text.split()
    if not words:
        raise InputError(f"type the {what}: {listed(list(names.values()))}")
    folded = [word.casefold() for word in words]
    fits = {
        key: len(known) for key, name in names.items() if (known := name.casefold().split()) == folded[: len(known)]
    }
    if fits:
        key = max(fits, key=lambda found: fits[found])
        return key, " ".join(words[fits[key] :])
    return one_of(words[0], names, what), " ".join(words[1:])


def load_text(check: "SeatCheck", header: Header, chains: tuple[Chain, ...], percent: float, factor: float) -> str:
    """Return what chains draw from a header against what it may give, in whole milliamperes."""
    most = header.rating_ma * round(percent) // 100
    guessed = any(not chain.start_known and chain.feed is Feed.HEADER for chain in chains)
    default = f" by factor {factor:g}" if guessed else ""
    return f"steady {check.steady_ma} of {most}, start {check.start_ma}{default} of {header.rating_ma} mA"
