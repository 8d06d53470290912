"""How the opening of the logbook, in a thread beside the first picture, ended."""

from typing import TYPE_CHECKING

from textual.message import Message

from commission.base.errors import CommissionError

if TYPE_CHECKING:
    from commission.bench.face import Face
    from commission.record.logbook import Logbook


class Opened(Message):
    """The logbook was opened; from now on it belongs to the screens."""

    def __init__(self, book: "Logbook", faces: "tuple[Face, ...]") -> None:
        super().__init__()
        self.book = book
        self.faces = faces


class NotOpened(Message):
    """The logbook could not be opened."""

    def __init__(self, why: CommissionError) -> None:
        super().__init__()
        self.why = why
