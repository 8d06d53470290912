"""The fan headers, one thing to do at a time: sheet, plugging, layout, sweeps, duties, verdict."""

from typing import TYPE_CHECKING

from commission.base.errors import InputError, NotAllowed
from commission.base.frozen import replace
from commission.base.text import clip
from commission.base.verdict import Outcome
from commission.bench.ask import Flow, Question, asked_once, asked_word, command, one_word, some_text
from commission.bench.attempts import attempt_title, stale_since
from commission.bench.card import CardContent, VerdictLine
from commission.bench.deed import Deed
from commission.bench.named_file import named_file
from commission.bench.words_here import NOTE, refuse_renamed
from commission.procedure.model import When
from commission.procedure.stage_ids import FAN_HEADERS
from commission.record.ladder import StageWord
from commission.record.locks import refuse_override
from commission.stages.fan_headers.at_hand import PUMP_ON_THE_BRIDGE, HeadersAtHand, View
from commission.stages.fan_headers.card.board import board_card, moves_card, then_card
from commission.stages.fan_headers.card.duty import duties_card
from commission.stages.fan_headers.card.layout import ask_layout, layout_card
from commission.stages.fan_headers.card.next import next_of
from commission.stages.fan_headers.card.sheet_file import sheet_file_deed
from commission.stages.fan_headers.card.sweep_result import result_card
from commission.stages.fan_headers.card.sweep_running import Sweeping
from commission.stages.fan_headers.typed.duty import leave_deed
from commission.stages.fan_headers.typed.layout import layout_deed
from commission.stages.fan_headers.typed.looked_at import duties_deed, show_deed, then_deed
from commission.stages.fan_headers.typed.no_word import refuse_without_its_word
from commission.stages.fan_headers.typed.plug import found_deed, plug_deed, unplug_deed
from commission.stages.fan_headers.typed.sheet import chain_deed, header_deed, remove_deed, set_deed
from commission.units.show import say

if TYPE_CHECKING:
    from collections.abc import Callable

    from commission.record.logbook import Logbook
    from commission.record.machine.board_sensors import BoardReading
    from commission.stages.fan_headers.model.sweep import SweepPicture

_PIECES = ("pin", "pins"), ("wire", "wires", "fan", "fans")
"""Words that tell a header from a chain where the line names neither."""

_NOW = {
    "plug": "Plug it in now, with the power off; Enter records it.",
    "found": "Enter records what was found.",
    "unplug": "Unplug it now, with the power off; Enter records it.",
    "sweep": "Enter begins the sweep.",
    "end": "Enter ends the stage.",
}
"""What is asked once the cautions before a line are answered."""

_MEANINGS = {
    "header": "header CPU 4-pin 2 A pwm: writes a header down, as printed",
    "chain": "chain front 3 fans 4-wire 0.2 A: writes a chain of fans down",
    "pump": "pump 4-wire 1.5 A start 2 A 4800 rpm full: writes a pump down",
    "plug": "plug CHAIN on HEADER: it is plugged in there now",
    "found": "found CHAIN on HEADER: it sat there before",
    "unplug": "unplug CHAIN: it is taken off its header",
    "file": "file NAME: reads a sheet of headers and chains",
    "set": "set HEADER voltage: how it is set in the firmware",
    "remove": "remove header NAME: WHY: takes it off the sheet; chain likewise",
    "layout": "layout: the best way to plug the chains in",
    "sweep": "sweep CHAIN: begins its sweep",
    "show": "show CHAIN: its last sweep",
    "leave": "leave CHAIN 50 750: at which duty and speed it was left",
    "duties": "duties: the duties that chains were left at",
    "on": "on DATE: what sat where at the end of that day",
    "moves": "moves: every move",
    "board": "board: what sits where",
    "end": "end: the stage is ended and judged",
    "next": "next: go on",
    **NOTE,
    "override": "override WHY: opens the lock; behind plug and a header, allows the share of a rating",
    "go": "go: to the stage that this one waits for",
}
"""What a line does that begins with each word."""


class HeadersFlow(Flow):
    """The way through the fan headers of one build; it can be left and taken up again at any point."""

    def __init__(self, book: "Logbook", build_id: str) -> None:
        self._waiting = ""
        """The line that waits until the cautions before it are answered."""
        self._asking = ""
        self.hand = HeadersAtHand(book, build_id)
        """The build as last read, and what is looked at."""
        super().__init__(self.hand)
        self.sweeping = Sweeping(self.hand)

    def title(self) -> str:
        """Return the build's name and where in it this is."""
        return attempt_title(self.hand.state, FAN_HEADERS, "fan headers", after=self.hand.closed is not None)

    @property
    def listens(self) -> bool:
        """Whether a sweep is read live."""
        return self.in_sweep and self.sweeping.live.on

    def hear(self, reading: "BoardReading") -> str:
        """Take what the board read; store the level where it is done, and return a line that says so."""
        try:
            return self.sweeping.live.take(reading)
        finally:
            self.refresh()

    # --- questions -------------------------------------------------------------------------------------------

    @property
    def caution_moment(self) -> When | None:
        """The moment whose cautions are asked now; None where none are."""
        if self.hand.swept.sweeping is not None and not self.hand.locked and self._missing(When.BEFORE_SWEEP):
            return When.BEFORE_SWEEP
        word, _ = command(self._waiting, ("plug", "found", "unplug", "sweep", "end"))
        moment = When.BEFORE_PLUGGING if word in ("plug", "found", "unplug") else When.BEFORE_SWEEP
        return moment if word and self._missing(moment) else None

    def _missing(self, when: When) -> bool:
        return bool(self.hand.work.missing_cautions(self.hand.state, when))

    @property
    def in_sweep(self) -> bool:
        """Whether a sweep goes on."""
        return self.hand.swept.sweeping is not None and not self.hand.locked

    def question(self) -> Question:
        """Return what is asked now."""
        moment = self.caution_moment
        if moment is not None:
            return self.hand.ask_caution(moment)
        if self._asking == "end":
            return self._really_close()
        if self.in_sweep:
            return self.sweeping.question()
        if self.hand.view is View.LAYOUT:
            return ask_layout(self.hand, self.deed)
        return self._line()

    def _line(self) -> Question:
        following = next_of(self.hand)
        proposal = self._waiting or following.proposal
        ask = f"The cautions are read. {_NOW[self._waiting.split()[0]]}" if self._waiting else following.ask
        return asked_once(self._typed, key="line", ask=ask, hint=following.hint, proposal=proposal)

    def _typed(self, text: str) -> Deed:
        """Return what a line does, which no longer waits then."""
        deed = self.deed(text)

        def do() -> str:
            self._waiting = ""
            return deed.done()

        return replace(deed, do=do)

    # --- what a line does ------------------------------------------------------------------------------------

    @property
    def _words(self) -> "dict[str, Callable[[str], Deed]]":
        return {
            "header": lambda rest: header_deed(self.hand, rest),
            "chain": lambda rest: chain_deed(self.hand, rest),
            "pump": lambda rest: chain_deed(self.hand, f"pump {rest}"),
            "plug": lambda rest: self._after_cautions(When.BEFORE_PLUGGING, f"plug {rest}", plug_deed(self.hand, rest)),
            "found": lambda rest: self._after_cautions(
                When.BEFORE_PLUGGING, f"found {rest}", found_deed(self.hand, rest)
            ),
            "unplug": lambda rest: self._after_cautions(
                When.BEFORE_PLUGGING, f"unplug {rest}", unplug_deed(self.hand, rest)
            ),
            "file": lambda rest: sheet_file_deed(self.hand, named_file(rest, "a sheet of headers and chains")),
            "set": lambda rest: set_deed(self.hand, rest),
            "remove": lambda rest: remove_deed(self.hand, rest),
            "layout": lambda rest: layout_deed(self.hand, rest),
            "sweep": lambda rest: self._after_cautions(
                When.BEFORE_SWEEP, f"sweep {rest}", self.sweeping.begin_deed(rest)
            ),
            "show": lambda rest: show_deed(self.hand, rest),
            "leave": lambda rest: leave_deed(self.hand, rest),
            "duties": lambda rest: duties_deed(self.hand, rest),
            "on": lambda rest: then_deed(self.hand, rest),
            "moves": lambda rest: self._look(View.MOVES, rest, "show every move"),
            "board": lambda rest: self._look(View.BOARD, rest, "show what sits where"),
            "end": self._close_deed,
            **({"next": self._onward} if self.hand.closed is Outcome.PASS and self.hand.onward_deeds() else {}),
            "note": self.hand.note_deed,
            "override": self._override,
            "go": self._go,
        }

    def deed(self, text: str) -> Deed:
        """Return what a line does.

        Raises
        ------
        CommissionError
            If it cannot be understood, or may not be done now.
        """
        refuse_renamed(text, {"close": "end"})
        words = self._words
        word, rest = command(text, {word: _MEANINGS.get(word, word) for word in words})
        if word:
            return words[word](rest)
        refuse_without_its_word(self.hand, text)
        pieces = text.casefold().replace("-", " ").split()
        for known, deed in zip(_PIECES, (header_deed, chain_deed), strict=True):
            if any(piece in known for piece in pieces):
                return deed(self.hand, text)
        if text.strip()[:1].isdecimal() and self.hand.plugged.chains:
            raise InputError(f"{clip(text)} is a level of a sweep, and none goes on; type sweep and the chain first")
        raise InputError(f"{clip(text)} is not understood; begin with header, plug, sweep or a word that ? lists")

    def _onward(self, rest: str) -> Deed:
        """Return what leads from a stage that has passed to the one whose turn it is."""
        if rest:
            raise InputError(f"{clip(rest)} was not expected; type next alone")
        return self.hand.onward_deeds()[0][1]

    def _look(self, view: View, rest: str, told: str) -> Deed:
        if rest:
            raise InputError(f"{clip(rest)} was not expected; type {view} alone")

        def do() -> None:
            self.hand.view = view

        return Deed(told=told, do=do)

    def _after_cautions(self, when: When, line: str, deed: Deed) -> Deed:
        """Put the cautions of a moment before what a line does, where they are unanswered."""
        missing = len(self.hand.work.missing_cautions(self.hand.state, when))
        if not missing:
            return deed

        def do() -> None:
            self._waiting = line.strip()

        cautions = "1 caution" if missing == 1 else f"{missing} cautions"
        return Deed(told=f"first {cautions}, then {deed.told}", do=do)

    def _override(self, rest: str) -> Deed:
        if not self.hand.locked:
            raise InputError(
                "nothing is locked here; after plug and a header, override and a reason lets the share of a rating be"
            )
        reason = some_text("why the lock does not apply, after override")(rest)
        refuse_override(self.hand.book.registry, self.hand.state, self.hand.work.stage_id)
        return self.hand.override_deed(reason)

    def _go(self, rest: str) -> Deed:
        one_word("go")(f"go {rest}".strip())
        below = next(rung for rung in self.hand.rungs if rung.stage.id in self.hand.stage.rests_on)

        return Deed(told=f"go to {below.stage.title.lower()}", go=below.stage.id)

    # --- the end ---------------------------------------------------------------------------------------------

    def _close_deed(self, rest: str) -> Deed:
        one_word("end")(f"end {rest}".strip())
        if self.hand.locked:
            raise NotAllowed(f"{self.hand.stage.title} is locked: it {self.hand.rung.why}; bring that to a pass first")
        if not self.hand.plugged.chains:
            raise NotAllowed("no chain is written down; there is nothing to judge")

        def do() -> str:
            if self.hand.verdict.outcome != "pass" and self._asking != "end":
                self._asking = "end"
                return ""
            return self._close()

        told = f"end the stage: {self.hand.verdict.outcome.upper()} as it stands"
        return self._after_cautions(When.BEFORE_SWEEP, "end", Deed(told=told, do=do))

    def _close(self) -> str:
        verdict = self.hand.work.close(self.hand.build_id)
        self._asking, self.hand.view = "", View.BOARD
        return f"the stage is ended: {verdict.outcome.upper()}"

    def _really_close(self) -> Question:
        said = say(self.hand.verdict.reasons[0])
        return asked_word(
            "end",
            "yes",
            key="really end",
            ask=f"{self.hand.verdict.outcome.upper()}: {said} Enter ends it all the same.",
            hint="Esc goes on with the stage.",
            do=self._close,
        )

    def back(self) -> bool:
        """Leave what is half answered, then what is looked at."""
        if self._waiting or self._asking:
            self._waiting = self._asking = ""
            return True
        if self.in_sweep and self.sweeping.back():
            return True
        looked, self.hand.view = self.hand.view is not View.BOARD, View.BOARD
        return looked and not self.in_sweep

    # --- the card --------------------------------------------------------------------------------------------

    @property
    def picture(self) -> "tuple[SweepPicture | None, float | None]":
        """What the plot shows, and the smallest duty advised; None where there is none."""
        if self.in_sweep:
            return self.hand.so_far.picture, self.hand.so_far.stops.minimum_pct
        sweep = self.hand.last_sweep(self.hand.shown) if self.hand.view is View.RESULT else None
        if sweep is None:
            return None, None
        verdict = self.hand.judged(sweep)
        return verdict.picture, verdict.stops.minimum_pct

    def card(self) -> CardContent:
        """Return everything that is known of headers and chains."""
        moment = self.caution_moment
        card = self.hand.card(self._cautions(moment), in_full=moment is not None)
        if self.hand.on_the_bridge:
            card = replace(card, notices=(*card.notices, PUMP_ON_THE_BRIDGE))
        if moment is not None:
            return replace(card, step=self.hand.caution_step(moment))
        if self.in_sweep:
            return self.sweeping.card(card)
        match self.hand.view:
            case View.RESULT:
                return result_card(self.hand, card)
            case View.LAYOUT:
                return layout_card(self.hand, card)
            case View.THEN:
                return then_card(self.hand, card)
            case View.MOVES:
                return moves_card(self.hand, card)
            case View.DUTIES:
                return duties_card(self.hand, card)
            case View.BOARD:
                return board_card(self.hand, self._judged_card(card))

    def _judged_card(self, card: CardContent) -> CardContent:
        if not self.hand.plugged.chains:
            return card
        text = say(self.hand.verdict.reasons[0])
        rung = self.hand.rung
        if rung.word is StageWord.STALE:
            run = self.hand.state.judged_run(self.hand.stage.id)
            notices = (*(stale_since(run) if run is not None else ()), *card.notices)
            return replace(card, verdict=VerdictLine(word="stale", text=text, final=True), notices=notices)
        outcome = self.hand.closed or self.hand.verdict.outcome
        waits = outcome is Outcome.INCONCLUSIVE and self.hand.closed is None
        word = str(rung.word if waits else outcome)  # what is no verdict yet is called as on the ladder
        if word == StageWord.LOCKED:
            text = f"{rung.why[:1].upper()}{rung.why[1:]}."  # what is open on the board is not what locks it
        final = self.hand.closed is not None or word == StageWord.INCONCLUSIVE
        return replace(card, verdict=VerdictLine(word=word, text=text, final=final))

    def _cautions(self, moment: When | None) -> When | None:
        """Return the moment whose cautions stand there: once it is judged, those of a next attempt are not due yet."""
        if moment is not None or (self.hand.closed is not None and not self.in_sweep):
            return moment
        return When.BEFORE_SWEEP if self.in_sweep else When.BEFORE_PLUGGING
