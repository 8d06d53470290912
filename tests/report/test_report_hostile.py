"""Text that would break out of a page, a line or a table, in every place where a person may type, in every output."""

import json

import pytest

from commission.__main__ import job
from commission.base.frozen import replace
from commission.bench.listing import Listing
from commission.procedure.model import When
from commission.record.entry_text import entry_text
from commission.record.issue import Issue, last_told
from commission.record.logbook import Logbook
from commission.record.logged import Head
from commission.record.machine.instrument import Instrument, InstrumentKind
from commission.report import written as writers
from commission.report.card_page import Card, CardRow, Flag, card_page
from commission.report.made import report_of
from commission.report.model import Report, Section, Told
from commission.shell.console import say
from commission.stages.fan_headers.work.fan_headers import FanHeaders
from tests.every_kind import hostile
from tests.power_builds import chain, header
from tests.registered import KINDS, REGISTRY, open_logbook
from tests.report.every_kind import every_kind_told
from tests.report.page import Page
from tests.wet_builds import answer

HOSTILE = '</td></table><script>alert(1)</script>"\' onload=x & {{7*7}} #read("/etc/passwd") \x1b[2J\u202e'
SAFE = HOSTILE.replace("\x1b", "\\u001b").replace("\u202e", "\\u202e")
"""As it must be read: word for word, with what controls a terminal spelled out."""


def written(report: Report, ending: str) -> str:
    """What a file would hold, as text."""
    return writers.written(report, ending).decode()


@pytest.fixture(scope="module")
def report(tmp_path_factory: pytest.TempPathFactory) -> Report:
    book: Logbook = open_logbook(tmp_path_factory.mktemp("hostile") / "w.logbook").book
    name = HOSTILE[:79]
    book.name_operator(name)
    book.add_instrument(
        Instrument(
            instrument_id="g",
            kind=InstrumentKind.GAUGE,
            name=name,
            unit="mbar",
            resolution=100.0,
            accuracy=0.0,
            low=0.0,
            high=1e5,
            calibrated_on=HOSTILE,
        )
    )
    build = book.open_build(name)
    note = book.add_note(build, HOSTILE)
    book.override(build, "fill", HOSTILE)
    book.withdraw(note.seq, HOSTILE)
    book.add_note(build, f"{HOSTILE} twice")
    seats = book.work(FanHeaders).seats
    seats.add_header(build, replace(header("A"), name=HOSTILE[:60]))
    seats.add_chain(build, replace(chain("fans"), name=HOSTILE[:60]))
    answer(book, build, book.work(FanHeaders), When.BEFORE_PLUGGING)
    plugged = book.build(build).plugged
    seats.move(build, plugged.chains[0].chain_id, plugged.headers[0].header_id, HOSTILE)
    issue = Issue(head=last_told(book, build), replaces=note.seq, why=HOSTILE, recorded=True)
    made = report_of(book, job().stages(), build, issue)
    book.close()
    return made


def test_it_stands_in_each_place_as_it_was_typed(report: Report) -> None:
    told = json.loads(written(report, ".json"))
    tables = {table["caption"]: table["rows"] for section in told["sections"] for table in section["tables"]}
    assert any(row[5] == SAFE for row in tables["Every entry, in order"])
    assert tables["Overrides"][0][5] == f"fill: {SAFE}"
    assert tables["Withdrawn entries"][1][5].endswith(SAFE)
    assert tables["Instruments in use"][0][5] == SAFE
    assert told["replaces"].endswith(SAFE)
    moved = tables["Headers and chains: every change, in order"][-1]
    assert moved[3] == f"{HOSTILE[:60]} on {HOSTILE[:60]} ({SAFE})"
    assert {"name": "note", "text": f"{SAFE} twice", "raw": None} in [f for s in told["sections"] for f in s["facts"]]


@pytest.mark.parametrize("ending", [".json", ".txt", ".html"])
def test_no_control_character_comes_through(report: Report, ending: str) -> None:
    text = written(report, ending)
    assert [c for c in text if not c.isprintable() and c != "\n"] == []


def test_the_page_has_no_element_by_it_and_says_it_word_for_word(report: Report) -> None:
    page = Page(written(report, ".html"))
    assert page.unmatched == []
    assert "script" not in {tag for tag, _ in page.tags}
    assert not any("onload" in has for _, has in page.tags)
    assert any(SAFE in cell for table in page.tables for row in table for cell in row)


def test_in_the_text_each_row_is_one_line(report: Report) -> None:
    rows = sum(len(table.rows) + 2 for section in report.sections for table in section.tables)
    facts = sum(len(section.facts) for section in report.sections)
    assert len(written(report, ".txt").splitlines()) > rows + facts
    assert sum(SAFE in line for line in written(report, ".txt").splitlines()) >= 6


def test_a_table_longer_than_a_page_loses_no_row() -> None:
    rows = tuple((str(n), f"reading {n}") for n in range(2000))
    table = Listing(caption="Readings", columns=("n", "what"), rows=rows)
    head = Head(seq=1, digest="0" * 64)
    long = Report(
        number="a-1",
        draft=False,
        build="Long",
        ready=True,
        stands="Every stage passed.",
        replaces="",
        stages=Listing(caption="Where", columns=("stage",), rows=()),
        sections=(Section(title="All", facts=(Told(name="a", text="b"),), tables=(table,)),),
        last=str(head.seq),
    )
    page = Page(written(long, ".html"))
    assert page.tables[-1][1:] == [list(row) for row in rows]
    assert all(f"{n} | reading {n}" in written(long, ".txt").splitlines() for n in (0, 999, 1999))
    assert len(json.loads(written(long, ".json"))["sections"][0]["tables"][0]["rows"]) == 2000


def test_a_card_for_the_case_has_no_element_by_it() -> None:
    row = CardRow(cells=(HOSTILE, HOSTILE), against=(HOSTILE,), proven=False)
    flag = Flag(plug=HOSTILE, what=HOSTILE, note=HOSTILE)
    words = (HOSTILE,)
    card = Card(title=HOSTILE, told=HOSTILE, cautions=words, heads=words * 2, rows=(row,), after=words, flags=(flag,))
    page = Page(card_page(card))
    assert page.unmatched == []
    assert "script" not in {tag for tag, _ in page.tags}
    assert not any("onload" in has for _, has in page.tags)
    assert sum(SAFE in text for text in page.texts) == 10 + 3 * 4  # each place once, each flag's words on four sides
    assert [sign for sign in "".join(page.texts[2:]) if not sign.isprintable() and sign != "\n"] == []


def test_a_number_cannot_leave_the_style(report: Report) -> None:
    number = '1"; } </style><script>x</script>'
    page = Page(written(replace(report, number=number), ".html"))
    assert page.unmatched == []
    assert "script" not in {tag for tag, _ in page.tags}
    (style,) = [text for text in page.texts if "@page" in text]
    assert 'content: "Report 1stylescriptxscript"' in style


def test_an_entry_of_every_kind_stays_text_in_every_output(capsys: pytest.CaptureFixture[str]) -> None:
    told = every_kind_told()
    (table,) = told.sections[0].tables
    page = Page(written(told, ".html"))
    assert page.unmatched == []
    assert page.tables[-1][1:] == [list(row) for row in table.rows]
    assert [tag for tag, _ in page.tags].count("td") == sum(len(row) - 1 for row in table.rows) + len(table.rows)
    assert json.loads(written(told, ".json"))["sections"][0]["tables"][0]["rows"] == [list(row) for row in table.rows]
    lines = written(told, ".txt").splitlines()
    assert all(" | ".join(row) in lines for row in table.rows)
    for cls in KINDS.values():
        say(entry_text(REGISTRY, hostile(cls)))
    shown = capsys.readouterr().out
    assert shown.count("\n") == len(table.rows)
    for text in (*(written(told, ending) for ending in (".html", ".json", ".txt")), shown):
        assert [sign for sign in text if not sign.isprintable() and sign != "\n"] == []
