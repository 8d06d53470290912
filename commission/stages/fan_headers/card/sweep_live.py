"""A sweep whose speeds the operating system reads: which sensor, when the duty is set, and when a level is done."""

from typing import TYPE_CHECKING, Protocol

from commission.base.errors import InputError
from commission.bench.ask import Question, asked_once
from commission.bench.card import Figure
from commission.bench.deed import Deed
from commission.stages.fan_headers.card.live_board import LiveBoard
from commission.stages.fan_headers.entries import SweepSource
from commission.stages.fan_headers.model.sweep import SweepReading
from commission.stages.fan_headers.rows.live import live_rows, sensor_rows
from commission.stages.fan_headers.typed.sweep import way_of

if TYPE_CHECKING:
    from commission.record.machine.board_sensors import BoardReading
    from commission.record.machine.seats import Chain
    from commission.stages.fan_headers.at_hand import HeadersAtHand
    from commission.stages.fan_headers.state import SweepAtHand


class Levels(Protocol):
    """The sweep around it: what it asks for, and where a level goes."""

    hand: "HeadersAtHand"
    """Headers and chains as last read."""

    @property
    def at_hand(self) -> "SweepAtHand | None":
        """The running sweep; None where there is none."""

    @property
    def chain(self) -> "Chain":
        """The chain that is swept."""

    @property
    def readings(self) -> tuple[SweepReading, ...]:
        """What was read so far."""

    @property
    def asked(self) -> float | None:
        """The duty to be set next [%]; None where the sweep is complete."""

    def store(self, readings: tuple[SweepReading, ...], uid: str = "") -> str:
        """Store a level and return a line that says so."""

    def deed(self, text: str) -> Deed:
        """Return what a line does."""


class Live:
    """Leads through the levels of a live sweep; the readings come from outside, one after the other."""

    def __init__(self, sweeping: Levels) -> None:
        self.sweeping = sweeping
        self.board: LiveBoard | None = None
        """What is read; None while readings are typed."""
        self._uid = ""

    @property
    def on(self) -> bool:
        """Whether the board is read."""
        return self.board is not None

    @property
    def lost(self) -> bool:
        """Whether the sensor that was watched has vanished."""
        return self.board is not None and self.board.lost

    @property
    def faulty(self) -> bool:
        """Whether the chip ever said that the sensor is not to be trusted."""
        return self.board is not None and self.board.faulty

    def end(self) -> None:
        """Read the board no longer."""
        self.board = None

    def board_forgets(self) -> None:
        """Wait for the next duty: the level was stored."""
        if self.board is not None:
            self.board.forget_level()

    def take(self, reading: "BoardReading") -> str:
        """Take what was read; store the level where it is done, and return a line that says so."""
        sweeping, board = self.sweeping, self.board
        if board is None or sweeping.at_hand is None:
            return ""
        board.take(reading)
        asked, speeds = sweeping.asked, board.level(self._full_rpm)
        if speeds is None or asked is None:
            return ""
        way = way_of(sweeping.readings, asked)
        board.counting = False  # where storing fails the duty is set and counted again, not stored each second
        level = tuple(SweepReading(duty_pct=asked, rpm=speed, direction=way) for speed in speeds)
        return sweeping.store(level, uid=self._uid)

    @property
    def _full_rpm(self) -> float:
        return self.sweeping.hand.so_far.full_rpm or 0.0

    # --- what is asked ---------------------------------------------------------------------------------------

    def question(self) -> Question:
        """Return what is asked while the board is read."""
        assert self.board is not None  # asked only while it is on
        ask, hint, proposal = self._words(self.board)
        return asked_once(
            self._line,
            key="live",
            ask=ask,
            hint=hint,
            proposal=proposal,
            placeholder="" if proposal else "sensor · hand",
        )

    def _words(self, board: LiveBoard) -> tuple[str, str, str | None]:
        """Return what is asked, a hint, and what Enter takes."""
        asked, name = self.sweeping.asked, self.sweeping.chain.name
        if board.missing:
            return f"Nothing can be read live: {board.missing}.", "hand goes on by typing", "hand"
        if board.board is None:
            return "The board is being read …", "hand goes on by typing", None
        if board.channel is None:
            return f"Which sensor is that of {name}? Type its number or name.", _WHICH, None
        if board.lost:
            told = (
                f"SENSOR LOST: {board.told(0.0)[0]} gave readings and is gone. Enter ends the sweep with what was read."
            )
            return told, "or: sensor chooses another · hand goes on by typing", "end"
        if asked is None:
            return f"Both ways are read. Enter ends the sweep of {name} and judges it.", "undo · note", "end"
        if board.counting:
            return (
                f"Reading {name} at {asked:g} %: stored by itself once it stands still.",
                _STOP,
                None,
            )
        return f"Set {asked:g} %, in the firmware or with your system's own tool. Enter once it is set.", _STOP, "set"

    def _line(self, text: str) -> Deed:
        board = self.board
        if board is None:  # the line was left to typing while the prompt was still there
            return self.sweeping.deed(text)
        if text.strip().casefold() == "set":
            return self._set(board)
        word = text.strip().split(maxsplit=1)[0].casefold() if text.strip() else ""
        if board.channel is None and word not in ("hand", "end", "abort", "undo", "note", "file", "live", "stall"):
            return self._choose(board, text)
        return self.sweeping.deed(text)

    def _set(self, board: LiveBoard) -> Deed:
        asked = self.sweeping.asked
        if board.channel is None or asked is None:
            raise InputError("no duty is waited for; name the sensor first, or type end")

        def do() -> None:
            self._uid = self.sweeping.hand.book.new_id()
            board.begin_level()

        again = "count again" if board.counting else "count"
        return Deed(told=f"{asked:g} % is set: {again} from now on", do=do)

    def _choose(self, board: LiveBoard, text: str) -> Deed:
        channel = board.named(text)

        def do() -> None:
            board.watch(channel)

        return Deed(told=f"watch {board.channels[channel]}", do=do)

    def deed(self, word: str, rest: str) -> Deed:
        """Return what a word does that begins, ends or turns the live readings."""
        match word:
            case "live":
                return Deed(told="read the board live; no duty is ever set by this program", do=self._begin)
            case "hand":
                return Deed(told="the speeds are typed again", do=self._by_hand)
            case _:
                if self.board is None:
                    raise InputError("nothing is read live; type live first")
                return self._choose(self.board, rest) if rest else Deed(told="choose the sensor", do=self._anew)

    def _begin(self) -> None:
        hand, at_hand = self.sweeping.hand, self.sweeping.at_hand
        assert at_hand is not None  # the word is only known during a sweep
        begun = at_hand.begun
        if not at_hand.readings and begun.source is not SweepSource.LIVE:
            hand.work.sweeps.begin_sweep(hand.build_id, begun.chain_id, SweepSource.LIVE, step_rpm=begun.step_rpm)
        limit = hand.stage.limit
        self.board = LiveBoard(samples=round(limit("samples")), spacing_s=limit("sample_every_s"))

    def _by_hand(self) -> None:
        self.board = None

    def _anew(self) -> None:
        if self.board is not None:
            self.board.watch(None)

    # --- what is seen ----------------------------------------------------------------------------------------

    def figures(self) -> tuple[Figure, ...]:
        """Return what the board reads."""
        board = self.board
        if board is None:
            return ()
        if board.channel is None:
            read = board.board
            return sensor_rows(
                (name, channel.of(read) if read is not None else None) for channel, name in board.channels.items()
            )
        return live_rows(*board.told(self._full_rpm), board.temperatures())

    def notices(self) -> tuple[str, ...]:
        """Return what is wrong with the sensor."""
        board = self.board
        if board is None or board.channel is None:
            return ()
        if board.lost:
            return (f"SENSOR LOST: {board.told(0.0)[0]}. What was stored so far is kept.",)
        return ("Warning: the chip itself says that this sensor is not to be trusted.",) if board.faulty else ()


_WHICH = "Change the duty and see which speed follows: numbers need not agree with the print on the board."
_STOP = "set counts again · sensor · hand · undo · end · abort"
