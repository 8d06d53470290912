"""The bench card: four bands in the same places for every stage."""

from textual import on
from textual.app import ComposeResult
from textual.containers import Horizontal, Vertical, VerticalScroll
from textual.content import Content
from textual.widget import Widget
from textual.widgets import Static

from commission.base.frozen import replace
from commission.bench.card import CardContent, CautionLine, CautionMark, Figure, VerdictLine
from commission.ui.widgets.caution_list import CautionList
from commission.ui.widgets.curve_frame import LEAST_ROWS
from commission.ui.widgets.do_now import DoNowLine
from commission.ui.widgets.figure_table import FigureTable
from commission.ui.widgets.lines import Lines
from commission.ui.widgets.result import MOST_REMARKS, folded_remarks, result_in, result_lines, warning_lines
from commission.ui.widgets.rows import SOME, BandRows, share_rows
from commission.ui.widgets.words import ascii_only, safe, wrap

__all__ = ["BenchCard", "CardContent", "CautionLine", "CautionMark", "Figure", "VerdictLine"]

MARGIN = 11
"""Cells of the margin in which a band's word stands."""
PLOT_ROWS = 6
"""Rows that a plot asks for."""
SMALLEST_PLOT = LEAST_ROWS
"""Rows in which a plot can still be read: its legend, three rows of it and its floor; with less it gives way."""
AIR = 6
"""Rows that stand empty between the bands and in the details, where there is room for them."""
SOME_AIR = 3
"""Rows that stand empty between the bands alone."""
BANDS = ("result", "safety", "now", "details")
"""The bands, from the top."""
TALL = 30
"""Rows of a card from which its clock is shown large."""
LEAST_FIGURES = 3
"""Figures that stand above a plot however small the card is, while it goes on; once it has ended, one: the verdict says
why, and the curve stays."""
LEAST_LISTED = 4
"""Rows of what was asked for, such as the words of a line, while cautions are the step; and of those cautions then."""
BIG = 17
"""Rows of a card from which an ended stage's verdict is drawn in large letters; our choice: a terminal of 24 has 21."""


class BenchCard(Vertical):
    """Result, safety, do now, details: the card of a stage.

    The do-now band is never cut: on a small screen the others give way, the goal and the cautions first. Of remarks two
    are shown; Tab, or the word details, shows all of them in place of the plot.
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
        #band-details { height: 1fr; }
        #band-details > .band--body, CautionList.band--body {
            padding: 0 0 0 1;
            scrollbar-size-vertical: 1;
            scrollbar-gutter: stable;
        }
        .details--warnings, .details--figures, .details--more, .details--remarks { height: auto; }
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
        self._result = Lines(classes="band--body")
        self._cautions = CautionList(classes="band--body")
        self._warnings = Lines(classes="details--warnings")
        self._figures = FigureTable(classes="details--figures")
        self._more = Lines(classes="details--more")
        self._remarks = Lines(classes="details--remarks")
        self._now_word = Lines(classes="band--word")
        self._words = [*(Static(word, classes="band--word") for word in ("result", "safety")), self._now_word]
        self._words.append(Static("details", classes="band--word"))
        self._bands = {name: Horizontal(id=f"band-{name}", classes="band") for name in BANDS}
        self._unfolded = False
        self._plot_shown = False

    @property
    def line(self) -> DoNowLine:
        """The line in which everything is typed."""
        return self._line

    def compose(self) -> ComposeResult:
        """Stack the four bands."""
        self.set_class(ascii_only(self), "-plain", update=False)  # what is in it is dressed when it is mounted
        result, safety, now, details = self._bands.values()
        with result:
            yield self._words[0]
            yield self._result
        with safety:
            yield self._words[1]
            yield self._cautions
        with now:
            yield self._now_word
            with Vertical(classes="band--body"):
                yield self._line
        with details:
            yield self._words[3]
            with VerticalScroll(classes="band--body", can_focus=False):
                yield self._warnings
                if self.clock is not None:
                    yield self.clock
                yield self._figures
                yield self._more
                if self.plot is not None:
                    yield self.plot
                yield self._remarks

    def show(self, content: CardContent) -> None:
        """Show all of it; text being typed stays where the prompt's key is the same."""
        listed, self._content = bool(self._content.listed), content
        self._line.ask(content.prompt)
        self._arrange()
        if listed or content.listed:
            self.call_after_refresh(self._bring_listed)

    def _bring_listed(self) -> None:
        """Bring what was asked for to the top of the details; the warnings above it with the next answer."""
        top = self._warnings.outer_size.height if self._content.listed and self._warnings.display else 0
        self._bands["details"].query_one(VerticalScroll).scroll_to(y=top, animate=False)

    def on_resize(self) -> None:
        """Share the rows out again."""
        self._arrange()

    @on(DoNowLine.Resized)
    def _line_resized(self, event: DoNowLine.Resized) -> None:
        event.stop()
        if not self._line.fits:
            self._arrange()

    def unfold(self) -> None:
        """Show all remarks in place of the plot, or fold them again."""
        self._unfolded = not self._unfolded
        self._arrange()

    def _arrange(self) -> None:
        if not self.is_attached or not self.size.height:
            return
        content, plain = self._content, ascii_only(self)
        width, height = self.size
        narrow, tall = width < 5 * MARGIN, height >= TALL
        body = max(1, width - 3 - (0 if narrow else MARGIN))
        self._tell_step()
        result = result_lines(content, body, big=height >= BIG, plain=plain)
        plot = PLOT_ROWS if self._shows_plot else 0
        details = self._show_details(body, len(content.figures), MOST_REMARKS, large=tall)
        wanted = BandRows(
            result=len(result),
            safety=self._cautions.show(content.cautions, body, in_full=content.cautions_open, beside=content.safety),
            now=self._line.rows_wanted(body, note=2 if tall else 1),
            details=details + plot,
            shown=self._line.least_rows(body) if content.safety and not content.cautions_open else 0,
            assumes=bool(content.assumed),
        )
        gaps = _air(height - wanted.result - wanted.safety - wanted.now - wanted.details, plot=bool(plot))
        rows = share_rows(
            height - gaps, wanted, cautions_open=content.cautions_open, judged=content.verdict is not None
        )
        if content.listed:
            rows, wanted = self._for_the_listed(rows, wanted, height - gaps, body)
        if rows.safety < wanted.safety and not (content.cautions_open or content.safety):
            self._cautions.show(content.cautions, body, in_full=False, counted_only=True)
        self._plot_shown = bool(plot)
        if rows.details < wanted.details:
            details = self._squeeze(body, rows.details, large=tall)
        for word in self._words:
            word.display = not narrow
        shown = result_in(content, body, rows.result, big=height >= BIG, plain=plain)
        self._result.put(Content("\n").join(shown))
        self._line.give_rows(rows.now, body)
        self._give(rows, plot_rows=height - gaps - rows.result - rows.safety - rows.now - details)
        self._let_air_in(min(1, gaps), 1 if gaps == AIR else 0)

    def _for_the_listed(self, rows: BandRows, wanted: BandRows, height: int, body: int) -> tuple[BandRows, BandRows]:
        """Return the rows given and wanted where something was asked for: cautions make room for it."""
        content = self._content
        if content.cautions_open:  # the current one stays in view, the others scroll
            room = max(0, min(LEAST_LISTED, wanted.details) - rows.details)
            room = min(room, max(0, rows.safety - LEAST_LISTED))
            return replace(rows, safety=rows.safety - room, details=rows.details + room), wanted
        if rows.details < min(SOME, wanted.details):
            wanted = replace(wanted, safety=self._cautions.fold(content.safety, body))
            rows = share_rows(height, wanted, judged=content.verdict is not None)
        return rows, wanted

    def _squeeze(self, body: int, room: int, *, large: bool) -> int:
        """Let the remarks give way to the plot and the figures, then figures to the plot; return the rows they take.

        What has no room is told in a line; where even then no plot can be read, it gives way to the figures.
        """
        content = self._content
        count = len(content.figures)
        details = self._show_details(body, count, 0, large=large)
        ended = content.verdict is not None and content.verdict.final
        for least, plot in ((1 if ended else LEAST_FIGURES, self._plot_shown), (LEAST_FIGURES, False)):
            wanted = PLOT_ROWS if plot else 0
            over = details + wanted - room
            if over > 0 and not self._unfolded:
                count = max(min(least, count), len(content.figures) - over - (not self._more.display))
                details = self._show_details(body, count, 0, large=large)
            if not plot or details + SMALLEST_PLOT <= room:
                break
            details = self._show_details(body, len(content.figures), 0, large=large)
        self._plot_shown = plot
        return details

    @property
    def _shows_plot(self) -> bool:
        return self.plot is not None and self._content.plot and not self._unfolded

    def _give(self, rows: BandRows, *, plot_rows: int) -> None:
        for name, given in (("result", rows.result), ("safety", rows.safety), ("now", rows.now)):
            self._bands[name].styles.height = given
            self._bands[name].display = given > 0
        self._bands["details"].display = rows.details > 0
        if self.plot is not None:
            self.plot.display = self._plot_shown
            self.plot.styles.height = max(SMALLEST_PLOT, plot_rows)

    def _let_air_in(self, between: int, within: int) -> None:
        """Leave so many rows empty at the bands and in the details: at the parts, as a class would dress all in it."""
        for band in BANDS[1:]:
            self._bands[band].styles.margin = (between, 0, 0, 0)
        for part in (self._warnings, self.clock, self._figures):
            if part is not None:
                part.styles.margin = (0, 0, within, 0)

    def _tell_step(self) -> None:
        step = f"\n{safe(self._content.step, ascii_only(self))}" if self._content.step else ""
        self._now_word.put(Content.assemble("do now", (step, "not bold $text-muted")))

    def _show_details(self, width: int, figures: int, remarks: int, *, large: bool) -> int:
        """Show warnings, clock, and at most so many figures and remarks; return the rows they take."""
        content, plain = self._content, ascii_only(self)
        warnings = warning_lines(content.notices, width, plain=plain)
        self._put(self._warnings, warnings)
        in_full, figures = remarks > 0 or self._unfolded, len(content.figures) if self._unfolded else figures
        if content.table is not None and not self._unfolded:
            rows, figures = len(warnings) + self._figures.show_table(content.table, width), 0
        else:
            rows = len(warnings) + self._figures.show(content.figures[:figures], width, remarks=in_full)
        shown, more = folded_remarks(content, figures, remarks, unfolded=self._unfolded)
        listed = [Content(line) for text in shown for line in wrap(safe(text, plain), width)]
        self._put(self._remarks, listed)
        self._put(self._more, [Content.styled(line, "$text-muted") for line in wrap(safe(more, plain), width) if more])
        rows += len(listed) + (1 if more else 0)
        if self.clock is not None:
            self.clock.display = content.clock
            clock_rows = 3 if large and not plain else 1
            self.clock.styles.height = clock_rows
            rows += clock_rows if content.clock else 0
        return rows

    def _put(self, part: Lines, lines: list[Content]) -> None:
        part.display = bool(lines)
        part.put(Content("\n").join(lines))


def _air(spare: int, *, plot: bool) -> int:
    """Return the rows that are left empty of those that nothing else wants: a plot takes them first."""
    if spare >= AIR:
        return AIR
    return SOME_AIR if spare >= SOME_AIR and not plot else 0
