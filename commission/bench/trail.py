"""The way that was gone through a form which is not stored yet, to be gone again when its screen comes back."""

from collections.abc import Callable, Sequence

from commission.base.errors import CommissionError
from commission.bench.ask import Flow
from commission.bench.last_entry import WHY_UNDONE
from commission.bench.prompt import Prompt
from commission.bench.unsent import MOST, Answer
from commission.record.logbook import Logbook


class Trail:
    """The answers since the flow last stood where the record alone leads to."""

    def __init__(self) -> None:
        self.answers: tuple[Answer, ...] = ()
        """The answers, in order; none where there is no half-filled form."""

    def went(self, flow: Flow, prompt: Prompt, text: str, *, stored: bool, fresh: Callable[[], Flow]) -> None:
        """Remember an answer, or forget all of them where a fresh flow would stand at the same place.

        Parameters
        ----------
        prompt, text
            What was asked and answered.
        stored
            Whether the answer became an entry: then it is not gone again.
        fresh
            Makes a flow from the record alone; only asked where something may be half filled.
        """
        asked = flow.now()
        if not stored and not (asked and asked.key == WHY_UNDONE):  # asked later, it would speak of another entry
            self.answers = (*self.answers, Answer(key=prompt.key, ask=prompt.ask, text=text))[-MOST:]
        if _same(flow, fresh()):
            self.answers = ()

    def left(self, book: Logbook, flow: Flow, fresh: Callable[[], Flow]) -> None:
        """Forget the answers of a form that was left; of one that was left by a step, those that no longer stand."""
        before = self.answers
        for count in range(len(before) - 1, -1, -1):
            other = fresh()
            self.go_again(book, other, before[:count])
            if _same(flow, other):
                return
        self.answers = ()

    def go_again(self, book: Logbook, flow: Flow, answers: Sequence[Answer]) -> int:
        """Give the answers again where the same is asked, storing nothing; return how many were taken."""
        taken: list[Answer] = []
        with book.only_looking():
            for one in answers:
                prompt = flow.now()
                if prompt is None or (prompt.key, prompt.ask) != (one.key, one.ask):
                    continue
                try:
                    flow.answer(one.text)
                except CommissionError:
                    break
                asked = flow.now()
                if asked is not None and asked.key == WHY_UNDONE:
                    flow.step_back()
                    break
                taken.append(one)
        self.answers = tuple(taken)
        return len(taken)


def _same(flow: Flow, fresh: Flow) -> bool:
    """Whether two flows ask the same and know the same."""
    here, there = flow.now(), fresh.now()
    if here is None or there is None:
        return here is there
    asked = (here.key, here.ask, here.hint, here.proposal) == (there.key, there.ask, there.hint, there.proposal)
    return asked and flow.card() == fresh.card()
