"""Time on a running hold: how long it has run, when the next reading is due, and the last reading in large figures."""

from textual.app import ComposeResult
from textual.containers import Horizontal
from textual.content import Content
from textual.widgets import Digits, Static

from commission.bench.clock_times import ClockTimes, clock_words
from commission.ui.widgets.words import ascii_only, fit, safe


class HoldClock(Horizontal):
    """One line of times; where it is given three rows, with the last reading in large figures beside it."""

    DEFAULT_CSS = """
    HoldClock {
        height: 1;
        Digits { width: auto; min-width: 20; padding: 0 2 0 0; color: $primary; text-style: bold; display: none; }
        Static { width: 1fr; height: auto; }
        &.-large Digits { display: block; }
    }
    """

    def __init__(self) -> None:
        super().__init__()
        self._times = ClockTimes(elapsed_s=0.0)
        self._reading = ("", "")
        self._word = "last "
        self._figures = Digits("")
        self._words = Static()

    def compose(self) -> ComposeResult:
        """Large figures, then the words."""
        yield self._figures
        yield self._words

    def tick(self, times: ClockTimes) -> None:
        """Show these times."""
        self._times = times
        self._draw()

    def read(self, reading: str, *, remark: str = "", word: str = "last ") -> None:
        """Show the last reading, ready to read, such as ``497.5 mbar``; `word` stands before it where it is small."""
        self._reading, self._word = (reading, remark), word
        self._draw()

    def on_resize(self) -> None:
        """Change between one line and large figures."""
        self._draw()

    def _draw(self) -> None:
        if not self.is_attached or not self.size.width:
            return
        plain = ascii_only(self)
        reading, remark = (safe(text, plain) for text in self._reading)
        run, due, end = (safe(text, plain) for text in clock_words(self._times))
        large = self.size.height >= 3 and not plain and bool(reading) and self.size.width >= 60
        self.set_class(large, "-large")
        urgent = "bold $warning" if "NOW" in due or "OVERDUE" in due else ""
        if large:
            number, _, unit = reading.partition(" ")
            self._figures.update(number)
            rows = [
                Content(" · ".join(part for part in (unit, remark) if part)),
                Content(f"{run} · {end}" if end else run),
            ]
            self._words.update(Content("\n").join([*rows, Content.styled(due, urgent)]))
            return
        last = f"{self._word}{reading}" if reading else ""
        parts = [Content(run), Content.styled(due, urgent), Content(end), Content(last), Content(remark)]
        line = Content("")
        for part in (p for p in parts if p.plain):
            joined = Content.assemble(line, Content("; " if plain else " · "), part) if line.plain else part
            if joined.cell_length > self.size.width:
                break
            line = joined
        self._words.update(line if line.plain else Content(fit(run, self.size.width, plain=plain)))
