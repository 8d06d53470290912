"""The bench card: four bands in the same places for every stage."""

from textual import on
from textual.app import ComposeResult
from textual.containers import Horizontal, Vertical, VerticalScroll
from textual.content import Content
from textual.widget import Widget
from textual.widgets import Static

from commission.bench.card import CardContent, CautionLine, CautionMark, Figure, VerdictLine
from commission.ui.widgets.caution_list import CautionList
from commission.ui.widgets.do_now import DoNowLine
from commission.ui.widgets.figure_table import FigureTable
from commission.ui.widgets.lines import Lines
from commission.ui.widgets.rows import BandRows, share_rows
from commission.ui.widgets.words import ascii_only, cut, safe, wrap

__all__ = ["BenchCard", "CardContent", "CautionLine", "CautionMark", "Figure", "VerdictLine"]

MARGIN = 11
"""Cells of the margin in which a band's word stands."""
PLOT_ROWS = 6
"""Rows in which a plot can still be read."""
AIR = 6
"""Rows that stand empty between the bands and in what is known, where there is room for them."""
BANDS = ("proves", "cautions", "now", "known")
"""The bands, from the top."""
TALL = 30
"""Rows of a card from which its clock is shown large."""


_VERDICT_STYLE = {"pass": "bold $success", "can decide": "bold $success", "fail": "bold reverse $error"}


def verdict_content(verdict: VerdictLine, width: int, *, plain: bool = False) -> list[Content]:
    """Return a verdict in lines, its word first and in capitals."""
    word = safe(verdict.word, plain).upper() + ("" if verdict.final else " so far")
    style = _VERDICT_STYLE.get(verdict.word.lower(), "bold $warning")
    first, *rest = wrap(safe(f"{word}: {verdict.text}", plain), max(1, width))
    end = min(len(word), len(first))
    return [Content.assemble((first[:end], style), first[end:]), *(Content(line) for line in rest)]


class BenchCard(Vertical):
    """Proves, cautions, do now, known: the card of a stage.

    The do-now band is never cut: on a small screen the others give way, what it proves and the cautions first.
    """

    DEFAULT_CSS = """
    BenchCard {
        height: 1fr;
        .band { height: auto; }
        .band--word { width: 11; padding: 0 1 0 0; text-align: right; color: $text-muted; }
        .band--body { width: 1fr; height: 100%; padding: 0 1 0 1; border-left: solid $secondary; }
        #band-now { background: $panel; }
        #band-now > .band--word { color: $primary; text-style: bold; }
        #band-now > .band--body { border-left: heavy $primary; }
        #band-known { height: 1fr; }
        #band-known > .band--body, CautionList.band--body {
            padding: 0 0 0 1;
            scrollbar-size-vertical: 1;
            scrollbar-gutter: stable;
        }
        .known--verdict, .known--figures, .known--reasons { height: auto; }
        &.-plain .band--body, &.-plain #band-now > .band--body { border-left: ascii $secondary; }
    }
    """

    def __init__(
        self,
        *,
        plot: Widget | None = None,
        clock: Widget | None = None,
        id: str | None = None,  # noqa: A002 - Textual's word
        classes: str | None = None,
    ) -> None:
        super().__init__(id=id, classes=classes)
        self.plot = plot
        self.clock = clock
        self._content = CardContent(proves="")
        self._line = DoNowLine()
        self._proves = Lines(classes="band--body")
        self._cautions = CautionList(classes="band--body")
        self._verdict = Lines(classes="known--verdict")
        self._figures = FigureTable(classes="known--figures")
        self._reasons = Lines(classes="known--reasons")
        self._now_word = Lines(classes="band--word")
        self._words = [*(Static(word, classes="band--word") for word in ("proves", "cautions")), self._now_word]
        self._words.append(Static("known", classes="band--word"))
        self._bands = {name: Horizontal(id=f"band-{name}", classes="band") for name in BANDS}

    @property
    def line(self) -> DoNowLine:
        """The line in which everything is typed."""
        return self._line

    def compose(self) -> ComposeResult:
        """Stack the four bands."""
        self.set_class(ascii_only(self), "-plain", update=False)  # what is in it is dressed when it is mounted
        proves, cautions, now, known = self._bands.values()
        with proves:
            yield self._words[0]
            yield self._proves
        with cautions:
            yield self._words[1]
            yield self._cautions
        with now:
            yield self._now_word
            with Vertical(classes="band--body"):
                yield self._line
        with known:
            yield self._words[3]
            with VerticalScroll(classes="band--body", can_focus=False):
                yield self._verdict
                if self.clock is not None:
                    yield self.clock
                yield self._figures
                yield self._reasons
                if self.plot is not None:
                    yield self.plot

    def show(self, content: CardContent) -> None:
        """Show all of it; text being typed stays where the prompt's key is the same."""
        self._content = content
        self._line.ask(content.prompt)
        self._arrange()

    def on_resize(self) -> None:
        """Share the rows out again."""
        self._arrange()

    @on(DoNowLine.Resized)
    def _line_resized(self, event: DoNowLine.Resized) -> None:
        event.stop()
        if not self._line.fits:
            self._arrange()

    def _arrange(self) -> None:
        if not self.is_attached or not self.size.height:
            return
        content = self._content
        width, height = self.size
        narrow, tall = width < 5 * MARGIN, height >= TALL
        body = max(1, width - 3 - (0 if narrow else MARGIN))
        proves = self._proves_lines(body)
        plot = PLOT_ROWS if content.plot and self.plot is not None else 0
        known, remarks = self._show_known(body, large=tall)
        wanted = BandRows(
            proves=len(proves),
            cautions=self._cautions.show(content.cautions, body, in_full=content.cautions_open),
            now=self._line.rows_wanted(body, note=2 if tall else 1),
            known=known + plot,
        )
        gaps = AIR if height - wanted.proves - wanted.cautions - wanted.now - wanted.known >= AIR else 0
        least = known + plot - remarks
        rows = share_rows(height - gaps, wanted, cautions_open=content.cautions_open, known_least=least)
        if rows.known < wanted.known:
            known, _ = self._show_known(body, large=tall, remarks=False)
        for word in self._words:
            word.display = not narrow
        self._proves.put(Content(cut(proves, body, rows.proves, plain=ascii_only(self))))
        self._line.give_rows(rows.now, body)
        self._give(rows, plot_rows=height - gaps - rows.proves - rows.cautions - rows.now - known)
        self._let_air_in(1 if gaps else 0)

    def _give(self, rows: BandRows, *, plot_rows: int) -> None:
        for name, given in (("proves", rows.proves), ("cautions", rows.cautions), ("now", rows.now)):
            self._bands[name].styles.height = given
            self._bands[name].display = given > 0
        self._bands["known"].display = rows.known > 0
        if self.plot is not None:
            self.plot.display = self._content.plot
            self.plot.styles.height = max(PLOT_ROWS, plot_rows)

    def _let_air_in(self, rows: int) -> None:
        """Leave so many rows empty between the parts: at the parts, since a class of the card dresses all in it."""
        for band in BANDS[1:]:
            self._bands[band].styles.margin = (rows, 0, 0, 0)
        for part in (self._verdict, self.clock, self._figures):
            if part is not None:
                part.styles.margin = (0, 0, rows, 0)

    def _proves_lines(self, width: int) -> list[str]:
        plain = ascii_only(self)
        lines = wrap(safe(self._content.proves, plain), width) if self._content.proves else []
        rests = f"rests on: {self._content.rests_on}" if self._content.rests_on else ""
        return lines + (wrap(safe(rests, plain), width) if rests else [])

    def _show_known(self, width: int, *, large: bool, remarks: bool = True) -> tuple[int, int]:
        """Show verdict, clock and figures; return the rows they take, and how many of those are for remarks alone."""
        content, plain = self._content, ascii_only(self)
        step = f"\n{safe(content.step, plain)}" if content.step else ""
        self._now_word.put(Content.assemble("do now", (step, "not bold $text-muted")))
        lines = verdict_content(content.verdict, width, plain=plain) if content.verdict else []
        missing = f"still missing: {content.missing}" if content.missing else ""
        lines += [Content(line) for line in (wrap(safe(missing, plain), width) if missing else [])]
        for notice in content.notices:
            lines += [Content.styled(line, "$warning") for line in wrap(safe(notice, plain), width)]
        self._verdict.display = bool(lines)
        self._verdict.put(Content("\n").join(lines))
        figures = self._figures.show(content.figures, width, remarks=remarks)
        reasons = [line for text in content.reasons for line in wrap(safe(text, plain), width)]
        self._reasons.display = bool(reasons)
        self._reasons.put(Content("\n").join([Content(line) for line in reasons]))
        rows = len(lines) + figures + len(reasons)
        if self.clock is not None:
            self.clock.display = content.clock
            clock_rows = 3 if large and not plain else 1
            self.clock.styles.height = clock_rows
            rows += clock_rows if content.clock else 0
        return rows, max(0, figures - len(content.figures))
