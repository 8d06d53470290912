"""A report as one page without script: it loads nothing, and reads the same in grey and on paper."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from commission.report.colours import ACCENT, INK, PAPER, QUIET, SHADE
from commission.report.markup import Markup, element
from commission.report.model import DRAFT
from commission.report.svg import svg

if TYPE_CHECKING:
    from collections.abc import Iterator

    from commission.bench.chart import Chart
    from commission.bench.listing import Listing
    from commission.report.model import Report, Section

POLICY = "default-src 'none'; style-src 'unsafe-inline'"
"""What the page may load or run: nothing but its own style."""

LONG_WORD = 24
"""Letters above which a word may be broken anywhere; our choice: more than a word of the trade has."""
SHORT = 24
"""Letters up to which a cell stays on one line, a moment or a number with its unit; our choice."""
_DIGIT = re.compile("[0-9]")

STYLE = f"""
body {{ font: 10pt/1.45 system-ui, sans-serif; color: {INK}; background: {PAPER}; max-width: 54rem; margin: 2rem auto;
  padding: 0 1rem; font-variant-numeric: tabular-nums; overflow-wrap: break-word; }}
h1 {{ font-size: 18pt; color: {ACCENT}; margin: 0 0 .3rem; }}
h2 {{ font-size: 13pt; color: {ACCENT}; margin: 2rem 0 .4rem; border-bottom: 1px solid {QUIET}; break-after: avoid; }}
.stands {{ border-left: 5px solid {INK}; padding: .2rem .8rem; font-size: 13pt; font-weight: 700; }}
.badge {{ border: 1.5px solid {INK}; border-radius: 3px; padding: 0 .4em; font-size: 8pt; font-weight: 700;
  color: {INK}; }}
h2 .badge {{ float: right; margin-top: .4rem; }}
.passed {{ background: {INK}; color: {PAPER}; print-color-adjust: exact; -webkit-print-color-adjust: exact; }}
.open {{ border-style: dashed; }}
.pictures {{ display: grid; grid-template-columns: repeat(auto-fit, minmax(18rem, 26rem)); gap: 1rem; margin: 1rem 0; }}
.quiet, caption {{ color: {QUIET}; }}
table {{ border-collapse: collapse; width: 100%; margin: .6rem 0; }}
caption {{ text-align: left; padding-bottom: .2rem; }}
thead {{ display: table-header-group; }}
tr {{ break-inside: avoid; }}
th, td {{ text-align: left; vertical-align: top; padding: .15rem .5rem .15rem 0; border-bottom: 1px solid {SHADE}; }}
thead th {{ background: {SHADE}; padding-left: .2rem; }}
tbody th {{ font-weight: 400; }}
.ladder tbody th {{ font-weight: 600; }}
.facts caption, .same span {{ position: absolute; width: 1px; height: 1px; overflow: hidden; clip-path: inset(50%); }}
.facts th, .facts td {{ border-bottom: 0; padding-top: .05rem; padding-bottom: .05rem; }}
.facts tbody th {{ width: 14rem; color: {QUIET}; }}
.same {{ position: relative; }}
.long {{ overflow-wrap: anywhere; }}
figure {{ margin: 0; break-inside: avoid; }}
figcaption {{ color: {QUIET}; font-size: .9em; }}
@media print, (min-width: 48rem) {{ .short {{ white-space: nowrap; }} }}
.sign {{ display: inline-block; width: 18rem; margin: 3rem 2rem 0 0; border-top: 1px solid {INK}; }}
@media print {{
  body {{ margin: 0; max-width: none; padding: 0; font-size: 8pt; line-height: 1.3; }}
  h2 {{ margin-top: 1.2rem; }}
  p {{ margin: .3rem 0; break-after: avoid; }}
  caption {{ break-after: avoid; }}
  th, td {{ padding-top: .06rem; padding-bottom: .06rem; }}
  table {{ margin: .3rem 0; font-size: 7.5pt; line-height: 1.25; }}
  .pictures {{ grid-template-columns: 20rem 20rem; margin: .4rem 0; }}
  .facts tr:first-child {{ break-before: avoid; }}
}}
"""


def _pages(number: str) -> str:
    """Return the style of pages on paper: the report's number and the page on each."""
    plain = "".join(sign for sign in number if sign.isascii() and (sign.isalnum() or sign == "-"))
    font = f"font: 8pt sans-serif; color: {QUIET};"
    return (
        f'@page {{ size: A4; margin: 17mm; @bottom-left {{ content: "Report {plain}"; {font} }} '
        f'@bottom-right {{ content: counter(page) " of " counter(pages); {font} }} }}\n'
    )


def as_html(report: Report) -> str:
    """Return a report as a page."""
    head = element(
        "head",
        element("meta", charset="utf-8"),
        element("meta", http_equiv="Content-Security-Policy", content=POLICY),
        element("meta", name="viewport", content="width=device-width, initial-scale=1"),
        element("title", f"Report {report.number}: {report.build}"),
        element("style", Markup(STYLE + _pages(report.number))),
    )
    page = element("html", head, element("body", element("main", *_body(report))), lang="en")
    return f"<!DOCTYPE html>\n{page.text}\n"


def _body(report: Report) -> Iterator[Markup]:
    yield element("h1", report.build)
    draft = f"; {DRAFT}" if report.draft else ""
    yield element("p", f"Report {report.number}{draft}", class_="quiet")
    if report.replaces:
        yield element("p", f"Replaces report {report.replaces}")
    yield element("p", report.stands, class_="stands")
    yield _table(report.stages, badge=1, look="ladder")
    pictures = 0
    for section in report.sections:
        yield element("section", *_section(section, pictures))
        pictures += len(section.charts)
    yield element("p", *(element("span", who, class_="sign") for who in ("Built and tested by", "Received by")))
    yield element("p", f"Last entry and digest: {report.last}. End of report {report.number}.", class_="quiet")


def _section(section: Section, pictures: int) -> Iterator[Markup]:
    yield element("h2", section.title, *([_badge(section.state)] if section.state else []))
    for words in section.words:
        yield element("p", words)
    if section.facts:
        names = [fact.name for fact in section.facts]
        heads = (_head(name, same=at > 0 and name == names[at - 1]) for at, name in enumerate(names))
        rows = (element("tr", head, element("td", fact.text)) for head, fact in zip(heads, section.facts, strict=True))
        yield element("table", _caption(f"{section.title}: facts"), element("tbody", *rows), class_="facts")
    if section.charts:
        drawn = (_figure(chart, f"picture-{number}") for number, chart in enumerate(section.charts, pictures + 1))
        yield element("div", *drawn, class_="pictures")
    for table in section.tables:
        yield _table(table)


def _head(name: str, *, same: bool) -> Markup:
    """Return the head of a fact; where the one above has the same, it is there for whoever has it read aloud."""
    if same:
        return element("th", element("span", name), scope="row", class_="same")
    return element("th", name, scope="row")


def _figure(chart: Chart, name: str) -> Markup:
    return element("figure", svg(chart, name), element("figcaption", f"{chart.title}. {chart.said}"))


def _badge(word: str) -> Markup:
    """Return a stage's word with its edge: filled where it passed, dashed where it waits; no hue says it."""
    look = {"PASSED": " passed", "OPEN": " open", "LOCKED": " open"}.get(word, "")
    return element("span", word, class_=f"badge{look}")


def _table(table: Listing, badge: int = -1, look: str = "") -> Markup:
    """Return a table; what stands in the column ``badge`` is such a word; ``look`` is its class."""
    heads = element("thead", element("tr", *(element("th", name, scope="col") for name in table.columns)))
    rows = (_row(cells, badge) for cells in table.rows)
    looks = {"class_": look} if look else {}
    return element("table", _caption(table.caption), heads, element("tbody", *rows), **looks)


def _row(cells: tuple[str, ...], badge: int) -> Markup:
    parts = [_cell("td", cell) for cell in cells[1:]]
    if badge > 0:
        parts[badge - 1] = element("td", _badge(cells[badge]))
    return element("tr", _cell("th", cells[0], scope="row"), *parts)


def _cell(tag: str, text: str, **attributes: str) -> Markup:
    """Return a cell; only one with an overlong word may break it anywhere, else narrow columns break every word."""
    if len(text) > LONG_WORD and any(len(word) > LONG_WORD for word in text.split()):
        attributes["class_"] = "long"
    elif len(text) <= SHORT and _DIGIT.search(text):
        attributes["class_"] = "short"
    return element(tag, text, **attributes)


def _caption(text: str) -> Markup:
    return element("caption", text)
