"""The card of the dust filters: the lock, the caution, filter by filter, the end."""

from commission.bench.ask import Flow, Question, asked_once, command
from commission.bench.at_hand import StageAtHand
from commission.bench.card import CardContent, Figure, VerdictLine
from commission.bench.deed import Deed
from commission.procedure.model import When
from commission.record.logbook import Logbook
from tests.toy_stage.model import STAGE
from tests.toy_stage.state import FiltersState
from tests.toy_stage.text import gap_text
from tests.toy_stage.typed import read_filter
from tests.toy_stage.work import Filters


class FiltersFlow(Flow):
    """One question at a time."""

    def __init__(self, book: Logbook, build_id: str) -> None:
        self.work = book.work(Filters)
        self.hand = StageAtHand(book, build_id, self.work)
        super().__init__(self.hand)

    @property
    def gaps_m(self) -> dict[str, float]:
        """The filters that were read, each with its gap [m]."""
        return dict(self.hand.state.of(FiltersState).gaps_m)

    def title(self) -> str:
        return f"{self.hand.state.name} · dust filters"

    def question(self) -> Question:
        if self.hand.locked:
            return self.hand.ask_lock()
        if self.work.missing_cautions(self.hand.state, When.BEFORE_PLUGGING):
            return self.hand.ask_caution(When.BEFORE_PLUGGING)
        ends = self.hand.state.run(STAGE).running
        return asked_once(
            self._read,
            key="filter",
            ask="Which filter, and how wide is the widest gap at its frame?",
            hint="such as: front 0.8 mm; or end",
            proposal="end" if ends else None,
        )

    def _read(self, text: str) -> Deed:
        if command(text, ("end",))[0]:
            return Deed(told="judge the filters", do=self._end)
        name, gap_m = read_filter(text)
        return Deed(told=f"{name}, gap {gap_text(gap_m)}", do=lambda: self._seat(name, gap_m))

    def _seat(self, name: str, gap_m: float) -> str:
        return f"entry {self.work.seat(self.hand.build_id, name, gap_m).seq} · {name}"

    def _end(self) -> str:
        return f"entry {self.work.close(self.hand.build_id).seq}"

    def card(self) -> CardContent:
        state = self.hand.state
        judged = state.judged_run(STAGE)
        fresh = not state.run(STAGE).running
        word = judged.outcome if judged is not None and fresh else None
        return CardContent(
            proves=self.hand.stage.proves,
            rests_on=self.hand.rests_text(),
            cautions=self.hand.caution_lines(When.BEFORE_PLUGGING),
            figures=tuple(Figure(label=name, value=gap_text(gap_m)) for name, gap_m in self.gaps_m.items()),
            verdict=None if word is None else VerdictLine(word=word, text="by the widest gap", final=True),
            plot=bool(self.gaps_m),
        )
