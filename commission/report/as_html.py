"""A report as one page without script: it loads nothing, and reads the same in grey and on paper."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.report.colours import ACCENT, INK, PAPER, QUIET, SHADE
from commission.report.markup import Markup, element
from commission.report.svg import svg

if TYPE_CHECKING:
    from collections.abc import Iterator

    from commission.report.model import Report, Section, Table

POLICY = "default-src 'none'; style-src 'unsafe-inline'"
"""What the page may load or run: nothing but its own style."""

LONG_WORD = 24
"""Letters above which a word may be broken anywhere; our choice: more than a word of the trade has."""

STYLE = f"""
body {{ font: 10pt/1.45 system-ui, sans-serif; color: {INK}; background: {PAPER}; max-width: 54rem; margin: 2rem auto;
  padding: 0 1rem; font-variant-numeric: tabular-nums; overflow-wrap: break-word; }}
h1 {{ font-size: 18pt; color: {ACCENT}; margin: 0 0 .3rem; }}
h2 {{ font-size: 13pt; color: {ACCENT}; margin: 2rem 0 .4rem; border-bottom: 1px solid {QUIET}; break-after: avoid; }}
.stands {{ border: 2px solid {INK}; padding: .5rem .8rem; font-size: 12pt; font-weight: 700; }}
.passed {{ background: {INK}; color: {PAPER}; print-color-adjust: exact; -webkit-print-color-adjust: exact; }}
.quiet, caption {{ color: {QUIET}; }}
table {{ border-collapse: collapse; width: 100%; margin: .6rem 0; }}
caption {{ text-align: left; padding-bottom: .2rem; }}
thead {{ display: table-header-group; }}
tr {{ break-inside: avoid; }}
th, td {{ text-align: left; vertical-align: top; padding: .15rem .5rem .15rem 0; border-bottom: 1px solid {SHADE}; }}
thead th {{ background: {SHADE}; padding-left: .2rem; }}
tbody th {{ font-weight: 600; }}
.facts tbody th {{ width: 16rem; font-weight: 400; color: {QUIET}; }}
.long {{ overflow-wrap: anywhere; }}
figure {{ margin: 1rem 0; break-inside: avoid; }}
.sign {{ display: inline-block; width: 18rem; margin: 3rem 2rem 0 0; border-top: 1px solid {INK}; }}
@media print {{
  body {{ margin: 0; max-width: none; padding: 0; font-size: 8pt; line-height: 1.3; }}
  h2 {{ margin-top: 1.2rem; }}
  p {{ margin: .3rem 0; }}
  figure {{ max-width: 12cm; }}
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
    draft = "; DRAFT, not recorded: no entry of the record knows of it" if report.draft else ""
    yield element("p", f"Report {report.number}{draft}", class_="quiet")
    if report.replaces:
        yield element("p", f"Replaces report {report.replaces}")
    yield element("p", report.stands, class_="stands passed" if report.ready else "stands")
    yield _table(report.stages)
    pictures = 0
    for section in report.sections:
        yield element("section", *_section(section, pictures))
        pictures += len(section.charts)
    yield element("p", *(element("span", who, class_="sign") for who in ("Built and tested by", "Received by")))
    yield element("p", f"Last entry and digest: {report.last}. End of report {report.number}.", class_="quiet")


def _section(section: Section, pictures: int) -> Iterator[Markup]:
    yield element("h2", section.title)
    for words in section.words:
        yield element("p", words)
    if section.facts:
        rows = (
            element("tr", element("th", fact.name, scope="row"), element("td", fact.text)) for fact in section.facts
        )
        yield element("table", _caption("Facts"), element("tbody", *rows), class_="facts")
    for number, chart in enumerate(section.charts, pictures + 1):
        yield element("figure", svg(chart, f"picture-{number}"), element("figcaption", f"{chart.title}. {chart.said}"))
    for table in section.tables:
        yield _table(table)


def _table(table: Table) -> Markup:
    heads = element("thead", element("tr", *(element("th", name, scope="col") for name in table.columns)))
    return element("table", _caption(table.caption), heads, element("tbody", *map(_row, table.rows)))


def _row(cells: tuple[str, ...]) -> Markup:
    return element("tr", _cell("th", cells[0], scope="row"), *(_cell("td", cell) for cell in cells[1:]))


def _cell(tag: str, text: str, **attributes: str) -> Markup:
    """Return a cell; only one with an overlong word may break it anywhere, else narrow columns break every word."""
    long = {"class_": "long"} if any(len(word) > LONG_WORD for word in text.split()) else {}
    return element(tag, text, **attributes, **long)


def _caption(text: str) -> Markup:
    return element("caption", text)
