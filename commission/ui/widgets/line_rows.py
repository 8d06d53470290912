"""How the texts around the one line look, and how they share the rows that there are."""

from textual.app import ComposeResult
from textual.containers import Horizontal, Vertical
from textual.content import Content
from textual.widgets import Input, Static

from commission.bench.prompt import Said
from commission.ui.widgets.lines import Lines
from commission.ui.widgets.rows import share_line
from commission.ui.widgets.words import ascii_only, cut, wrap

Texts = tuple[str, str, str]
"""Instruction, hint, and what is said beneath the line."""

BESIDE = len("> ") + len(" [Enter] ") + 1
"""Cells beside the line, and one for the cursor behind its text."""


class LineBand(Vertical):
    """The line with its texts, which fit into the rows that are given: the hint goes first, the line never.

    Parameters
    ----------
    typed
        The line itself.
    """

    DEFAULT_CSS = """
    LineBand {
        height: auto;
        .do-now--ask { text-style: bold; height: auto; }
        .do-now--hint { color: $text-muted; height: auto; }
        .do-now--row { height: 1; }
        .do-now--mark { width: 2; color: $primary; text-style: bold; }
        .do-now--enter { width: auto; padding: 0 1; color: $primary; pointer: pointer; }
        .do-now--enter:hover { text-style: reverse; }
        .do-now--enter.-idle { color: $text-muted; }
        .do-now--said { height: auto; min-height: 1; }
        .do-now--said.-understood { color: $foreground; }
        .do-now--said.-proposed { color: $text-muted; }
        .do-now--said.-not-yet { color: $warning; }
        .do-now--said.-refused { color: $error; text-style: bold; }
        .do-now--said.-stored { color: $primary; }
        .do-now--said.-cut { color: $warning; }
        .do-now--said.-asks { color: $warning; }
        .do-now--said.-only { color: $warning; text-style: bold; }
        TypedLine, TypedLine:focus { width: 1fr; background: $background; background-tint: $background 0%; }
    }
    """

    def __init__(self, typed: Input) -> None:
        super().__init__()
        self._line = typed
        self.button = Static(Content("[Enter]"), classes="do-now--enter")
        """What a click does as Enter does."""
        self._note = Lines(classes="do-now--said")
        self._parts = (Lines(classes="do-now--ask"), Lines(classes="do-now--hint"), self._note)
        self._wanted = (0, 0, 0)
        self._given: tuple[int, int] | None = None

    def compose(self) -> ComposeResult:
        """Stack the parts."""
        yield from self._parts[:2]
        with Horizontal(classes="do-now--row"):
            yield Static(Content("> "), classes="do-now--mark")
            yield self._line
            yield self.button
        yield self._note

    def texts(self) -> Texts:
        """Return what is shown."""
        raise NotImplementedError

    def shown_empty(self) -> str:
        """Return what stands in the empty line."""
        raise NotImplementedError

    def dress_note(self, kind: Said) -> None:
        """Let what stands beneath the line look as what it is."""
        self._note.update_classes({f"-{one.name.lower().replace('_', '-')}": one is kind for one in Said})

    def rows_wanted(self, width: int, *, note: int = 1) -> int:
        """Return the rows that nothing would be cut in, with at least so many for the line beneath the input."""
        rows = _rows(self.texts(), width, note)
        self._wanted = (rows, width, note)
        return rows

    def least_rows(self, width: int) -> int:
        """Return the rows without the hint, which gives way first."""
        return len(wrap(self.texts()[0], width)) + 2

    @property
    def fits(self) -> bool:
        """Whether the texts take as many rows as were asked for when rows were given last."""
        rows, width, note = self._wanted
        return self._given is not None and _rows(self.texts(), width, note) == rows

    def give_rows(self, rows: int, width: int) -> None:
        """Fit into so many rows: the hint goes first, the input line never."""
        self._given = (rows, width)
        self._fill(rows, width)

    def fill_rows(self) -> bool:
        """Show the texts again; return False where they need another number of rows than were given."""
        if self._given is not None and self.fits:
            self._fill(*self._given)
        elif self._given is None and self.size.width:
            self._fill(self.rows_wanted(self.size.width), self.size.width)
        return self._given is None or self.fits

    def on_resize(self) -> None:
        """Wrap again."""
        if self._given is None:
            self.fill_rows()

    def _fill(self, rows: int, width: int) -> None:
        texts = self.texts()
        room = width - BESIDE
        self._line.placeholder = cut(wrap(self.shown_empty(), room), room, 1, plain=ascii_only(self))
        for part, text, given in zip(self._parts, texts, share_line(rows, width, *texts), strict=True):
            part.display = given > 0
            part.put(Content(cut(wrap(text, width), width, given, plain=ascii_only(part))))


def _rows(texts: Texts, width: int, note: int) -> int:
    ask, hint, said = texts
    rows = len(wrap(ask, width)) + (len(wrap(hint, width)) if hint else 0)
    return rows + max(note, len(wrap(said, width))) + 1
