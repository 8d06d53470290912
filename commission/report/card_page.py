"""A card for the inside of a case and flags for its cables: one page without script, to print and cut."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.base.frozen import Frozen
from commission.base.text import clean
from commission.report.as_html import POLICY
from commission.report.colours import INK, PAPER, QUIET, SHADE
from commission.report.markup import Markup, element

if TYPE_CHECKING:
    from collections.abc import Iterator

ENDS = 2
"""Flags of each cable: one for either end."""


class CardRow(Frozen):
    """One row of a card."""

    cells: tuple[str, ...]
    """A cell for each head."""
    against: tuple[str, ...] = ()
    """What is wrong with it, a sentence each."""
    proven: bool = True
    """Whether a test speaks for how it is now; what does not is dashed."""


class Flag(Frozen):
    """What stands on both sides of a cable."""

    plug: str
    """Where its plug belongs."""
    what: str
    """What hangs on it."""
    note: str
    """What must be known of it."""


class Card(Frozen):
    """A card and its flags."""

    title: str
    """What it is of."""
    told: str
    """Up to which entry it tells, and when it was printed: so an old card is known as old."""
    cautions: tuple[str, ...]
    """What whoever has a hand in the case must read."""
    heads: tuple[str, ...]
    """Heads of its columns."""
    rows: tuple[CardRow, ...]
    """Its rows."""
    after: tuple[str, ...]
    """What stands beneath them."""
    flags: tuple[Flag, ...]
    """A flag for each cable."""


_STYLE = f"""
@page {{ size: A4; margin: 12mm; }}
body {{ font: 9pt/1.35 system-ui, sans-serif; color: {INK}; background: {PAPER}; font-variant-numeric: tabular-nums; }}
.card {{ box-sizing: border-box; width: 148mm; min-height: 105mm; border: 1px dashed {QUIET}; padding: 5mm; }}
h1 {{ font-size: 14pt; margin: 0; }}
.quiet {{ color: {QUIET}; margin: 0 0 2mm; }}
.caution {{ font-weight: 700; margin: 0 0 1mm; }}
table {{ border-collapse: collapse; width: 100%; margin: 2mm 0; }}
th, td {{ text-align: left; vertical-align: top; padding: .8mm 2mm .8mm 1mm; border-bottom: 1px solid {SHADE}; }}
thead th {{ color: {QUIET}; font-weight: 400; border-bottom: 1px solid {INK}; }}
.unproven th, .unproven td {{ border-top: 2px dashed {INK}; border-bottom: 2px dashed {INK}; }}
.flags {{ display: flex; flex-wrap: wrap; gap: 3mm; margin-top: 2mm; }}
.flag {{ display: flex; box-sizing: border-box; width: 58mm; min-height: 18mm; border: 1px dashed {QUIET};
  font-size: 8pt; line-height: 1.2; break-inside: avoid; overflow-wrap: anywhere; }}
.side {{ width: 50%; box-sizing: border-box; padding: 1.5mm; }}
.side + .side {{ border-left: 1px dotted {QUIET}; }}
.side strong {{ display: block; font-size: 10pt; }}
.side span {{ display: block; }}
"""


def card_page(card: Card) -> str:
    """Return a card with its flags as a page."""
    head = element(
        "head",
        element("meta", charset="utf-8"),
        element("meta", http_equiv="Content-Security-Policy", content=POLICY),
        element("title", clean(card.title)),
        element("style", Markup(_STYLE)),
    )
    page = element("html", head, element("body", element("main", *_body(card))), lang="en")
    return f"<!DOCTYPE html>\n{page.text}\n"


def _body(card: Card) -> Iterator[Markup]:
    rows = (element("tr", *_cells(row), **({} if row.proven else {"class_": "unproven"})) for row in card.rows)
    heads = element("thead", element("tr", *(element("th", clean(head), scope="col") for head in card.heads)))
    yield element(
        "section",
        element("h1", clean(card.title)),
        element("p", clean(card.told), class_="quiet"),
        *(element("p", clean(words), class_="caution") for words in card.cautions),
        element("table", heads, element("tbody", *rows)),
        *(element("p", clean(f"WRONG: {words}"), class_="caution") for row in card.rows for words in row.against),
        *(element("p", clean(words)) for words in card.after),
        class_="card",
    )
    yield element("p", "Cut at the dashes: a card for the inside of the case. A dashed row is not proven as it is now.")
    if card.flags:
        sides = [_flag(flag) for flag in card.flags for _ in range(ENDS)]
        yield element("div", *sides, class_="flags")
        yield element("p", "Flags for the cables, one for either end: cut at the dashes, fold at the dots.")


def _cells(row: CardRow) -> Iterator[Markup]:
    yield element("th", clean(row.cells[0]), scope="row")
    yield from (element("td", clean(cell)) for cell in row.cells[1:])


def _flag(flag: Flag) -> Markup:
    side = element(
        "div",
        element("strong", clean(flag.plug)),
        *(element("span", clean(words)) for words in (flag.what, flag.note) if words),
        class_="side",
    )
    return element("div", side, side, class_="flag")
