"""While a chain is swept: the next duty, levels typed or read live, a file in place of both, and the end."""

import re
from typing import TYPE_CHECKING

from commission.base.errors import InputError, NotAllowed
from commission.base.frozen import replace
from commission.base.text import clip, counted
from commission.bench.ask import Question, asked_once, asked_word, command, one_word
from commission.bench.asked_back import AskedBack
from commission.bench.card import CardContent, VerdictLine, chosen
from commission.bench.deed import Deed
from commission.bench.doubt import Doubt
from commission.bench.last_entry import LastEntry
from commission.bench.named_file import named_file, read_as_kept, with_comments
from commission.bench.words_here import NOTE
from commission.stages.fan_headers.at_hand import View
from commission.stages.fan_headers.card.sweep_abort import full_was_read, why_aborted
from commission.stages.fan_headers.card.sweep_done import ask_done
from commission.stages.fan_headers.card.sweep_live import Live
from commission.stages.fan_headers.card.sweep_result import apart
from commission.stages.fan_headers.entries import LevelSwept, SweepSource
from commission.stages.fan_headers.model.sweep import Rotation, Sweep, SweepReading, SweepWord
from commission.stages.fan_headers.rows.sweep import IN_SWEEP, figures_of, levels_text
from commission.stages.fan_headers.typed.sweep import above_plate, level_line, level_text, next_duty
from commission.stages.fan_headers.work.sweep_doubts import failed_here, same_doubt
from commission.units.power_numbers import rpm
from commission.units.show import say

if TYPE_CHECKING:
    from commission.record.machine.seats import Chain
    from commission.stages.fan_headers.at_hand import HeadersAtHand
    from commission.stages.fan_headers.state import SweepAtHand

WORDS = {
    "live": "live: reads the board",
    "hand": "hand: the speeds are typed again",
    "sensor": "sensor NAME: which tach of the board is this chain",
    "file": "file NAME: reads a table of duties and speeds",
    "stall": "stall: asks for lower duties, down to the one at which it stops",
    "end": "end: the sweep is ended and judged",
    "abort": "abort: the sweep counts no longer",
    "undo": "undo: withdraws the last entry",
    **NOTE,
}
"""What may be typed in place of a level."""
STALL_PCT = 20.0
"""Lowest duty that is asked for where the stall is looked for [%]; our own choice."""
_STEP = re.compile(r"\bstep\s+(.+)$", re.IGNORECASE)


class Sweeping:
    """Takes levels until the sweep is ended; what is stored level by level is taken up again at any time."""

    def __init__(self, hand: "HeadersAtHand") -> None:
        self.hand = hand
        self.live = Live(self)
        self.stall = False
        """Whether the stall is looked for, below the floor of a sweep."""
        self.asking = AskedBack(hand, self._last)
        self.doubt = Doubt()
        self.done = ""
        """What was done since the last sweep of the chain failed, as typed."""

    @property
    def at_hand(self) -> "SweepAtHand | None":
        """The running sweep; None where there is none."""
        return self.hand.swept.sweeping

    @property
    def chain(self) -> "Chain":
        """The chain that is swept."""
        at_hand = self.at_hand
        found = self.hand.plugged.chain(at_hand.begun.chain_id) if at_hand is not None else None
        if found is None:
            raise NotAllowed("no sweep goes on; begin one first")
        return found

    @property
    def readings(self) -> tuple[SweepReading, ...]:
        """What was read so far."""
        return self.at_hand.readings if self.at_hand is not None else ()

    @property
    def floor_pct(self) -> float:
        """The lowest duty that is asked for [%]."""
        floor = self.hand.work.sweeps.sweep_floor_pct(self.hand.state, self.chain.chain_id)
        lower = self.stall or any(one.duty_pct < floor for one in self.readings)
        return min(floor, STALL_PCT) if lower and not self.chain.pump else floor

    @property
    def asked(self) -> float | None:
        """The duty to be set next [%]; None where the sweep is complete."""
        return next_duty(self.readings, self.floor_pct)

    def back(self) -> bool:
        """Take back a question about the end, or about a speed."""
        return self.doubt.back() or self.asking.back()

    # --- beginning -------------------------------------------------------------------------------------------

    def begin_deed(self, text: str) -> Deed:
        """Return what a line does that names the chain to be swept, and perhaps the step of the display.

        Raises
        ------
        CommissionError
            If it may not be swept now.
        """
        hand = self.hand
        step = _STEP.search(text)
        step_rpm = rpm(step[1]) if step is not None else 1.0
        chain, rest = hand.chain_named(text[: step.start()] if step is not None else text)
        if rest:
            raise InputError(
                f"{clip(rest)} was not expected; type sweep, the chain, and step 10 rpm where it shows tens"
            )
        header = hand.header_of(chain)
        if header is None:
            raise NotAllowed(f"{chain.name} sits on no header; plug it in first: plug {chain.name} and the header")
        if hand.locked:
            raise NotAllowed(f"{hand.stage.title} is locked: it {hand.rung.why}; bring that to a pass first")
        if chain.pump and chain.lowest_duty_pct is None and chain.control_wanted:
            raise NotAllowed(
                f"{chain.name} is a pump without the lowest duty that its maker allows. Remove it "
                "and list it again with least and that duty, such as least 40 %"
            )
        told = f"sweep {chain.name} on {header.name}, display in steps of {step_rpm:g} rpm"
        if chain.pump:
            told += f"; a PUMP, never below {self.hand.work.sweeps.sweep_floor_pct(hand.state, chain.chain_id):g} %"
        if self.at_hand is not None and self.readings:
            told += f"; {counted(len(self.readings), 'reading')} of {self.chain.name} given up"

        def do() -> str:
            hand.work.sweeps.begin_sweep(hand.build_id, chain.chain_id, step_rpm=step_rpm)
            self.live.end()
            self.asking.back()
            self.stall, self.done = False, ""
            return told

        return Deed(told=told, do=do)

    # --- questions -------------------------------------------------------------------------------------------

    def question(self) -> Question:
        """Return what is asked now."""
        match self.asking.what:
            case "end":
                return self._really_end()
            case "blades":
                return self._blades()
            case "abort":
                return why_aborted(self.hand, self.chain, self.readings, self._left)
            case _:
                return (
                    self.doubt.question()
                    or self.asking.question()
                    or self._what_was_done()
                    or (self.live.question() if self.live.on else self._level())
                )

    def _what_was_done(self) -> Question | None:
        failed = failed_here(self.hand.state, self.chain.chain_id)
        return None if failed is None or self.done else ask_done(self.chain, failed, self.deed, self._keep_done)

    def _keep_done(self, done: str) -> None:
        self.done = done

    def _level(self) -> Question:
        asked, floor = self.asked, self.floor_pct
        if asked is None:
            ask = f"Both ways are read. Enter ends the sweep of {self.chain.name} and judges it."
        else:
            up = bool(self.readings) and asked > self.readings[-1].duty_pct
            way = " on the way up" if up else ""
            ask = f"Set {asked:g} %{way}, wait until {self.chain.name} runs steadily, type its speed."
        return asked_once(
            self.deed,
            key="level",
            ask=ask,
            hint=self._hint(floor),
            proposal="end" if asked is None else None,
            placeholder="" if asked is None else f"1254  or  {asked:g} 1254 1251  or  {asked:g} lost",
        )

    def _hint(self, floor: float) -> str:
        words = "live reads the board · file PATH · undo · end · abort"
        return words if self.chain.pump or floor <= STALL_PCT else f"{words} · stall"

    # --- what a line does ------------------------------------------------------------------------------------

    def deed(self, text: str) -> Deed:
        """Return what a line does.

        Raises
        ------
        CommissionError
            If it cannot be understood, or may not be done now.
        """
        word, rest = command(text, WORDS)
        match word:
            case "":
                return self._level_deed(text)
            case "live" | "hand" | "sensor":
                return self.live.deed(word, rest)
            case "file":
                return self._file_deed(rest)
            case "stall":
                return self._stall_deed()
            case "end":
                deed = Deed(told=f"end the sweep of {self.chain.name} and judge it", do=self.end)
                return self.doubt.about(deed, same_doubt(self.hand.state, self.readings, "This sweep"))
            case "abort":
                one_word("abort")(text)
                told = f"abort the sweep of {self.chain.name}: what was read is not judged"
                return Deed(told=told, do=lambda: self.asking.ask("abort"))
            case _:
                return self.asking.deed(word, rest)

    def _level_deed(self, text: str) -> Deed:
        readings = level_line(text, self.asked, self.readings)
        duty, floor = readings[0].duty_pct, self.floor_pct
        lowest = self.chain.lowest_duty_pct
        if lowest is not None and duty < lowest:
            raise InputError(f"{self.chain.name} may not go below {lowest:g} %, by its maker; stay at or above it")
        if duty < floor and not self.stall:
            meant = (
                "stay above it" if self.chain.pump else "type stall first if you look for the duty at which it stops"
            )
            raise InputError(f"{duty:g} % is below {floor:g} %, the floor of a sweep; {meant}")
        told = level_text(readings)
        if self.asked is not None and duty != self.asked:
            told += f" ({self.asked:g} % was asked for)"
        return self.doubt.about(Deed(told=told, do=lambda: self.store(readings)), above_plate(self.chain, readings))

    def store(self, readings: tuple[SweepReading, ...], uid: str = "") -> str:
        """Store a level and return a line that says so."""
        logged = self.hand.work.sweeps.sweep_level(self.hand.build_id, readings, uid=uid)
        self.live.board_forgets()
        return f"entry {logged.seq} · {level_text(readings)}"

    def _stall_deed(self) -> Deed:
        if self.chain.pump:
            raise InputError("no stall is looked for on a pump: it must never stand")

        def do() -> None:
            self.stall = True

        return Deed(told="look for the stall below the typical floor; watch the temperatures", do=do)

    # --- withdrawing -----------------------------------------------------------------------------------------

    def _last(self) -> LastEntry:
        """Return the level that was stored last in this sweep."""
        for entry in reversed(self.hand.book.entries(self.hand.build_id)):
            if entry.seq in self.hand.state.withdrawn or not isinstance(entry.payload, LevelSwept):
                continue
            if self.readings and self.readings[-len(entry.payload.readings) :] == entry.payload.readings:
                return LastEntry(seq=entry.seq, what=level_text(entry.payload.readings))
            break
        raise InputError("no level was read in this sweep; there is nothing to withdraw")

    # --- a file ----------------------------------------------------------------------------------------------

    def _file_deed(self, text: str) -> Deed:
        from commission.stages.fan_headers.files.sweep_csv import read_sweep

        path = named_file(text, "a table with the columns duty [%] and speed [rpm]")
        chain = self.chain
        kept = self.hand.book.shop().instruments
        read = read_as_kept(kept, lambda named: read_sweep(path, pump=chain.pump, columns=named))

        def do() -> str:
            step_rpm, build = read.setup.step_rpm, self.hand.build_id
            verdict = self.hand.work.sweeps.take_sweep(
                build, chain.chain_id, read.sweep, SweepSource.FILE, step_rpm=step_rpm, done=self.done
            )
            self._over(chain)
            return f"{chain.name}: {verdict.said}, from {counted(len(read.sweep.readings), 'reading')} of {path.name}"

        given_up = f"; {counted(len(self.readings), 'reading')} so far given up" if self.readings else ""
        deed = Deed(told=f"take the whole sweep from {path.name}{given_up}", do=do)
        deed = with_comments(self.hand, deed, read.comments, path.name)
        return self.doubt.about(deed, same_doubt(self.hand.state, read.sweep.readings, clip(path.name)))

    # --- the end ---------------------------------------------------------------------------------------------

    def end(self) -> str | None:
        """End the sweep, or ask what must be known first; one that cannot be judged can only be aborted."""
        first = self._asked_first()
        if not first:
            return self._close(Rotation.NOT_ASKED)
        self.asking.ask(first)
        return None

    def _asked_first(self) -> str:
        if not full_was_read(self.readings) and not self.live.lost:
            return "abort"
        if self.asked is not None and not self.live.lost and self.asking.what != "end":
            return "end"
        read = [one.rpm for one in self.readings if one.rpm is not None]
        return "blades" if read and not any(read) else ""

    def _close(self, rotation: Rotation) -> str:
        chain, asked = self.chain, self.asked
        if self.live.lost and asked is not None:
            self.store(level_line(f"{asked:g} lost", None, self.readings))
        seen = Sweep(readings=(), rotation=rotation, fault=self.live.faulty)
        verdict = self.hand.work.sweeps.end_sweep(self.hand.build_id, sweep=seen, done=self.done)
        self._over(chain)
        return f"{chain.name}: {verdict.said}"

    def _left(self) -> None:
        self.asking.back()
        self.stall, self.done = False, ""
        self.live.end()

    def _over(self, chain: "Chain") -> None:
        self._left()
        self.hand.view, self.hand.shown = View.RESULT, chain.chain_id

    def _really_end(self) -> Question:
        return asked_word(
            "end",
            "yes",
            key="really end",
            ask=f"{self.asked or 100:g} % and what follows is not read. Enter ends the sweep all the same.",
            hint="Esc goes on with the sweep.",
            do=self.end,
        )

    def _blades(self) -> Question:
        words = {"yes": Rotation.SEEN, "no": Rotation.NOT_SEEN, "unknown": Rotation.NOT_ASKED}
        said = {
            "yes": "the blades turn and the tach is silent",
            "no": "nothing turns",
            "unknown": "nobody looked: the sweep proves nothing",
        }

        def read(text: str) -> Deed:
            typed = text.strip().casefold()
            word = {"y": "yes", "n": "no", "turning": "yes", "standing": "no"}.get(typed, typed)
            if word not in words:
                raise InputError("type yes, no, or unknown")
            return Deed(told=said[word], do=lambda: self._close(words[word]))

        return asked_once(
            read,
            key="blades",
            ask="The tach showed nothing at any duty. Look, hands away: do the blades turn?",
            hint="yes · no · unknown",
        )

    # --- the card --------------------------------------------------------------------------------------------

    def card(self, card: CardContent) -> CardContent:
        """Return the card with the word as it stands, its figures and what is missing."""
        chain, header = self.chain, self.hand.header_of(self.chain)
        verdict = self.hand.so_far
        card = replace(card, step=f"{chain.name} on {header.name}"[:30] if header else chain.name[:30])
        live = self.live.figures()
        if not self.readings:
            return replace(card, figures=live, notices=self.live.notices())
        first = say(verdict.reasons[0])
        short = verdict.word is SweepWord.INSUFFICIENT  # its reason says what is lacking
        return replace(
            card,
            verdict=VerdictLine(
                word=verdict.outcome, text=first if short else f"{verdict.said[:1].upper()}{verdict.said[1:]}. {first}"
            ),
            figures=(*live, *chosen(figures_of(verdict), IN_SWEEP)),
            notices=(*self.live.notices(), *(f"Warning: {say(one)}" for one in apart(verdict))),
            reasons=(levels_text(self.readings),),
            plot=verdict.picture is not None,
        )
