"""The cautions of a stage: one line that counts them, or all of them while they are the step."""

from collections.abc import Iterable, Sequence

from textual.containers import VerticalScroll
from textual.content import Content

from commission.base.text import counted
from commission.bench.card import CautionLine, CautionMark, warning_text
from commission.ui.widgets.lines import Lines
from commission.ui.widgets.words import ascii_only, safe, wrap

_MARK_CELLS = 10


def caution_count(cautions: Sequence[CautionLine]) -> str:
    """Return how many of them were read.

    Examples
    --------
    >>> caution_count([CautionLine(text="Wear eye protection.", mark=CautionMark.ANSWERED)])
    '1 caution read'
    """
    read, every = sum(c.mark is CautionMark.ANSWERED for c in cautions), counted(len(cautions), "caution")
    if not read:
        return f"{every} to read first"
    return f"{every} read" if read == len(cautions) else f"{read} of {every} read"


def caution_lines(cautions: Sequence[CautionLine], width: int, *, plain: bool = False) -> tuple[list[Content], int]:
    """Return the cautions in lines of at most `width` cells, and the line on which the current one begins."""
    lines: list[Content] = []
    current = 0
    for caution in cautions:
        style = {CautionMark.NOW: "bold", CautionMark.ANSWERED: "$text-muted", CautionMark.OPEN: ""}[caution.mark]
        if caution.mark is CautionMark.NOW:
            current = len(lines)
        indent = _MARK_CELLS if width >= 3 * _MARK_CELLS else 2
        texts = wrap(safe(caution.text, plain), max(1, width - indent))
        word = f"{caution.mark:<{_MARK_CELLS}}"
        if indent < _MARK_CELLS:
            lines.append(Content.styled(str(caution.mark), style))
            word = "  "
        lines.append(Content.styled(f"{word}{texts[0]}", style))
        lines += [Content.styled(f"{' ' * indent}{text}", style) for text in texts[1:]]
    return lines, current


def _marked(text: str, width: int, *, plain: bool) -> list[str]:
    """Return a caution that is shown in lines, behind a mark."""
    told = warning_text(text) if text.startswith("Warning: ") else text
    first, *rest = wrap(safe(told, plain), max(1, width - 2))
    return [f"! {first}", *(f"  {line}" for line in rest)]


class CautionList(VerticalScroll, can_focus=False):
    """The cautions of a stage; the current one stays in view."""

    DEFAULT_CSS = """
    CautionList { height: auto; }
    CautionList > Static { height: auto; }
    """

    def __init__(self, *, classes: str | None = None) -> None:
        self._text = Lines()
        super().__init__(self._text, classes=classes)

    def show(
        self,
        cautions: Sequence[CautionLine],
        width: int,
        *,
        in_full: bool,
        beside: Sequence[str] = (),
        counted_only: bool = False,
    ) -> int:
        """Show them in full, or what stays once all are read, or how many there are; return the rows that they take.

        ``beside``: cautions of the moment, which are not asked; they stand where none is asked in full.
        """
        stays = [one.text for one in cautions if one.text and one.mark is CautionMark.ANSWERED and not counted_only]
        if not in_full and (beside or stays):
            plain = ascii_only(self)
            return self._put(line for text in beside or stays for line in _marked(text, width - 1, plain=plain))
        if not cautions or not in_full:
            self._text.put(Content(caution_count(cautions) if cautions else ""))
            if self.scroll_offset.y:
                self.scroll_to(y=0, animate=False)
            return 1 if cautions else 0
        lines, current = caution_lines(cautions, width - 1, plain=ascii_only(self))
        self._text.put(Content("\n").join(lines))
        self.scroll_to(y=current, animate=False)
        return len(lines)

    def fold(self, beside: Sequence[str], width: int) -> int:
        """Make room for words that were asked for: warnings stay, of the others their number; return the rows."""
        plain = ascii_only(self)
        warnings = [text for text in beside if text.startswith("Warning: ")]
        lines = [line for text in warnings for line in _marked(text, width - 1, plain=plain)]
        rest = len(beside) - len(warnings)
        return self._put([*lines, f"{counted(rest, 'caution')}: here again after the next answer"] if rest else lines)

    def _put(self, lines: Iterable[str]) -> int:
        shown = [Content.styled(line, "bold") for line in lines]
        self._text.put(Content("\n").join(shown))
        self.scroll_to(y=0, animate=False)
        return len(shown)
