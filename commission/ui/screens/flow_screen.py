"""A bench card with its flow: shows the one thing to do, hands over what was entered, says what came of it."""

from textual import on
from textual.app import ComposeResult
from textual.binding import Binding

from commission.base.frozen import replace
from commission.bench.ask import Flow
from commission.bench.card import CardContent
from commission.bench.defect import defect_notices
from commission.bench.needs import least_time
from commission.bench.prompt import looking_on
from commission.bench.trail import Trail
from commission.bench.unsent import Unsent
from commission.bench.words_here import NO_OTHER, told_here, with_more
from commission.record.ladder import StageState
from commission.record.logbook import Logbook
from commission.ui.screens.base import BenchScreen
from commission.ui.screens.beside import Beside
from commission.ui.widgets.bench import Bench
from commission.ui.widgets.bench_card import BenchCard
from commission.ui.widgets.do_now import DoNowLine
from commission.ui.widgets.stage_ladder import Rung, StageLadder
from commission.ui.widgets.words import said


class FlowScreen(BenchScreen):
    """The ladder where there is a build, and the card."""

    BINDINGS = [  # noqa: RUF012 - Textual's word
        Binding("pageup", "known(-1)", "Known up", show=False),
        Binding("pagedown", "known(1)", "Known down", show=False),
        Binding("tab", "details", "Details", show=False),
    ]

    def __init__(self, name: str, flow: Flow, *, build_id: str = "", beside: Beside | None = None) -> None:
        beside = beside or Beside()
        card = BenchCard(plot=beside.plot, clock=beside.clock)
        super().__init__(card.line)
        self.help_key = name
        self.flow = flow
        self.build_id = build_id
        self.beside = beside
        self.card = card
        self.ladder = StageLadder()
        self.trail = Trail()
        self._shown: CardContent | None = None
        self._defects = False

    def compose_body(self) -> ComposeResult:
        """Put the ladder beside the card."""
        yield Bench(self.ladder, self.card) if self.build_id else self.card

    def on_mount(self) -> None:
        """Begin what goes on beside the card."""
        self.beside.mounted(self)

    def on_unmount(self) -> None:
        """Let go what is read live."""
        self.flow.left()

    def reload(self) -> None:
        """Read the record again and show it."""
        self.typed.wet_is_a_leak = self.flow.wet_is_a_leak
        self.flow.refresh()
        self.show()

    def show(self) -> None:
        """Show what the flow knows and asks."""
        self.retitle()
        if self.build_id:
            rungs = self.flow.ladder()
            self._time_ahead(rungs)
            shown = [Rung(key=r.stage.id, name=r.stage.title, state=r.word) for r in rungs]
            self.ladder.show(shown, current=self.help_key)
        content = self.flow.content()
        defects = defect_notices(self.bench.book.build(self.build_id), self.help_key) if self.build_id else ()
        prompt = looking_on(content.prompt) if self.read_only_because() else with_more(content.prompt)
        self._defects = bool(defects)
        self._shown = replace(content, prompt=prompt, notices=(*defects, *content.notices))
        self.card.show(self._shown)
        self.beside.shown()

    def _time_ahead(self, rungs: tuple[StageState, ...]) -> None:
        """Write into the title how long this stage takes at least, as long as that lies ahead."""
        here = next((one for one in rungs if one.stage.id == self.help_key), None)
        bench = self.bench
        time = "" if here is None else least_time(bench.book, bench.faces, bench.book.build(self.build_id), here)
        if time:
            self._title.put(said(self, f"{self.title_text()} · {time}"))

    def tick(self) -> None:
        """Move what moves with time; called about once a second."""
        if self.beside.tick(typing=bool(self.typed.draft)):
            self.show()

    def entered(self, event: DoNowLine.Entered, *, stored: bool) -> None:
        """Show what came of what was entered, and go where it leads."""
        if self.trail.answers or not stored:
            self.trail.went(self.flow, event.prompt, event.text, stored=stored, fresh=self._fresh)
        self.show()
        if self.flow.did.calls:
            self.went_wrong(self.flow.did.calls, where=self.flow.did.at, seen=self.flow.did.seen)
        elif self.flow.go:
            self.bench.go(self.flow.go, self.build_id, rest=event.line.rest)

    def tell_words(self) -> str:
        """List what may be typed here and what each word does now, until the next answer."""
        if self._shown is not None and self._shown.prompt is not None:
            told = told_here(self._shown.prompt)
            if self._defects:
                told = (*told, "repaired: what was done about the defect that is open")
            only = replace(self._shown, figures=(), table=None, remarks=(), reasons=(), plot=False, clock=False)
            self.card.show(replace(only, listed=told or (NO_OTHER,)))
        return "the words stand below until the next answer; PgDn: more"

    def action_known(self, by: int) -> None:
        """Move through what is known while the line keeps the keys."""
        known = self.card.query_one("#band-details VerticalScroll")
        known.scroll_relative(y=by * max(1, known.size.height - 1), animate=False)

    def action_details(self) -> None:
        """Show all remarks in place of the plot, or fold them again."""
        self.card.unfold()

    @on(StageLadder.Chosen)
    def stage_chosen(self, event: StageLadder.Chosen) -> None:
        """Go to another stage."""
        event.stop()
        if event.key != self.help_key:
            self.bench.go(event.key, self.build_id)

    def leave_form(self) -> bool:
        """Leave a half-answered form; return whether there was one."""
        had = self.flow.step_back()
        if had:
            self.trail.left(self.bench.book, self.flow, self._fresh)
            self.show()
        return had

    def _fresh(self) -> Flow:
        """Return a flow of this screen that knows the record alone."""
        made = self.bench.flow_of(self.help_key, self.build_id)
        assert made is not None  # this one was made by the same name
        return made

    def unsent(self) -> Unsent:
        """Return the answers of a half-filled form, too."""
        return replace(super().unsent(), answers=self.trail.answers)

    def take_up(self, book: Logbook, unsent: Unsent) -> None:
        """Go again through a half-filled form, and put back what stood in the line."""
        self.typed.take_up(unsent.lines, answers=self.trail.go_again(book, self.flow, unsent.answers), old=unsent.old)
