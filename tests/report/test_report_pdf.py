"""The report as pages, read by a PDF reader that is not ours; skipped where the extra ``test-pdf`` is not installed."""

import json
import re
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest

from commission.base.frozen import replace
from commission.bench.chart import Chart, Line, Look
from commission.bench.listing import Listing
from commission.report.model import Report, Section, Told
from tests.report.every_kind import every_kind_told
from tests.shell.running import SAMPLES, called

pypdf = pytest.importorskip("pypdf", reason="the extra test-pdf is not installed")
typst = pytest.importorskip("typst", reason="the extra test-pdf is not installed")

HOSTILE = '#read("/etc/passwd") *bold* $x^2$ </td><script> \\ // @a <b> [ ] {{7*7}}'
REPORT = Report(
    number="a-1",
    draft=False,
    build="Long",
    ready=True,
    stands="Every stage passed.",
    replaces="",
    stages=Listing(caption="Where", columns=("stage", "state", "why"), rows=(("Fill", "PASSED", "attempt 1"),)),
    sections=(),
    last="1:" + "0f3c9a77" * 8,
    told="2026-03-14 12:06 +0100",
    told_ms=1_773_486_360_000,
)
CHART = Chart(
    title="Fill",
    said="Two points.",
    across="amount",
    up="mL",
    lines=(Line(name="total", look=Look.DOTS, x=(1.0, 2.0), y=(10.0, 20.0)),),
)


@pytest.fixture(autouse=True)
def no_warning(monkeypatch: pytest.MonkeyPatch) -> None:
    """Make a warning of the compiler, such as that of a font that it does not know, a failure."""

    def strict(*what: Any, **how: Any) -> bytes:
        made, told = typst.compile_with_warnings(*what, **how)
        assert [str(one) for one in told] == []
        content: bytes = made
        return content

    monkeypatch.setattr(typst, "compile", strict)


def read(report: Report, tmp_path: Path) -> Any:
    from commission.report.as_pdf import as_pdf

    path = tmp_path / "r.pdf"
    path.write_bytes(as_pdf(report))
    return pypdf.PdfReader(path, strict=True)


def text_of(pdf: Any) -> str:
    """All text, without the places at which an overlong word may be broken, on one line."""
    return " ".join(" ".join(page.extract_text().replace("\u200b", "") for page in pdf.pages).split())


def fonts_of(held: Any) -> set[str]:
    """Names of the fonts of a page, and of the pictures on it."""
    resources = held.get_object().get("/Resources", {})
    found = {str(font.get_object()["/BaseFont"]).partition("+")[2] for font in resources.get("/Font", {}).values()}
    return found.union(*(fonts_of(one) for one in resources.get("/XObject", {}).values()))


def kinds_of(element: Any, found: list[str]) -> list[str]:
    """Names of the structure's elements, in the order in which they are read aloud."""
    for kid in element.get("/K", []) if isinstance(element.get("/K", []), list) else [element["/K"]]:
        held = kid.get_object()
        if isinstance(held, dict) and "/S" in held:
            found.append(held["/S"])
            kinds_of(held, found)
    return found


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> SimpleNamespace:
    """A build of the demo's workshop as PDF and as JSON."""
    folder = tmp_path_factory.mktemp("pdf")
    book = folder / "w.logbook"
    assert called("import", str(SAMPLES / "workshop.jsonl"), logbook=book).status == 0
    for ending in ("pdf", "json"):
        done = called("report", "Window desk", "-o", str(folder / f"w.{ending}"), logbook=book)
        assert done.status == 0, done.err
    report = json.loads((folder / "w.json").read_text())
    return SimpleNamespace(folder=folder, book=book, pdf=pypdf.PdfReader(folder / "w.pdf"), report=report)


def test_every_fact_and_every_cell_of_the_json_stands_on_the_pages(demo: SimpleNamespace) -> None:
    text = re.sub(r"\s", "", text_of(demo.pdf))
    parts = demo.report["sections"]
    wanted = [word for part in parts for word in (part["title"], *part["words"])]
    wanted += [fact[key] for part in parts for fact in part["facts"] for key in ("name", "text")]
    wanted += [chart[key] for part in parts for chart in part["charts"] for key in ("title", "said")]
    for table in (demo.report["stages"], *(table for part in parts for table in part["tables"])):
        wanted += [cell for row in table["rows"] for cell in row]
    assert len(wanted) > 1000
    assert [word for word in wanted if re.sub(r"\s", "", word) not in text] == []


def test_each_page_has_its_number_and_that_of_the_report(demo: SimpleNamespace) -> None:
    pages = [" ".join(page.extract_text().split()) for page in demo.pdf.pages]
    number = demo.report["number"]
    assert 8 <= len(pages) <= 20
    for at, page in enumerate(pages, 1):
        assert f"Report {number}" in page
        assert f"page {at} of {len(pages)}" in page
    assert "Not ready to hand over. It needs: " in pages[0]
    assert f"End of report {number}." in pages[-1]


def test_it_is_tagged_by_both_standards_and_its_one_font_is_in_it(demo: SimpleNamespace) -> None:
    root = demo.pdf.trailer["/Root"]
    told = root["/Metadata"].get_data().decode()
    assert "<pdfuaid:part>1</pdfuaid:part>" in told
    assert "<pdfaid:part>2</pdfaid:part>" in told
    assert root["/MarkInfo"]["/Marked"].value is True
    assert root["/Lang"] == "en"
    assert set().union(*map(fonts_of, demo.pdf.pages)) == {"Inter-Regular"}
    kinds = kinds_of(root["/StructTreeRoot"], [])
    charts = sum(len(part["charts"]) for part in demo.report["sections"])
    assert kinds.count("/H1") == 1
    assert kinds.count("/Figure") == charts > 3
    assert kinds.count("/H2") > 8
    assert {"/Table", "/TH", "/TD", "/L", "/Lbl", "/LBody"} <= set(kinds)


def test_the_same_entry_gives_the_same_bytes(demo: SimpleNamespace) -> None:
    seq = demo.report["number"].rpartition("-")[2]
    assert called("note", "Window desk", "a third fan is on order", logbook=demo.book).status == 0
    again = demo.folder / "again.pdf"
    assert called("report", "Window desk", "-o", str(again), "--entry", seq, logbook=demo.book).status == 0
    assert again.read_bytes() == (demo.folder / "w.pdf").read_bytes()


def test_a_table_longer_than_a_page_loses_no_row(tmp_path: Path) -> None:
    rows = tuple((str(n), f"reading {n}.") for n in range(400))
    long = Section(title="All", tables=(Listing(caption="Readings", columns=("n", "what"), rows=rows),))
    pdf = read(replace(REPORT, sections=(long,)), tmp_path)
    text = text_of(pdf)
    assert len(pdf.pages) > 4
    assert [n for n in range(400) if f"{n} reading {n}." not in text] == []
    assert all("n what" in " ".join(page.extract_text().split()) for page in pdf.pages[:-1])


def test_a_row_taller_than_a_page_loses_no_word(tmp_path: Path) -> None:
    words = " ".join(f"word{n}." for n in range(3000))
    tall = Section(title="All", tables=(Listing(caption="Notes", columns=("n", "what"), rows=(("1", words),)),))
    pdf = read(replace(REPORT, sections=(tall,)), tmp_path)
    text = text_of(pdf)
    assert len(pdf.pages) > 1
    assert [n for n in range(3000) if f"word{n}." not in text] == []


def test_a_long_reason_of_an_override_loses_no_word(tmp_path: Path) -> None:
    words = " ".join(f"word{n}." for n in range(1500))
    rows = (("Fill", "OVERRIDDEN", words), ("Bleed", "OPEN", ""))
    text = text_of(read(replace(REPORT, stages=replace(REPORT.stages, rows=rows)), tmp_path))
    assert [n for n in range(1500) if f"word{n}." not in text] == []
    assert "Bleed OPEN" in text


def test_what_people_typed_is_printed_as_typed_and_runs_nothing(tmp_path: Path) -> None:
    said = Section(
        title=HOSTILE,
        state="STALE",
        words=(HOSTILE,),
        facts=(Told(name=HOSTILE, text=HOSTILE),),
        charts=(replace(CHART, title=HOSTILE, said=HOSTILE, up=HOSTILE),),
        tables=(Listing(caption=HOSTILE, columns=(HOSTILE,), rows=((HOSTILE,),)),),
    )
    text = text_of(read(replace(REPORT, build=HOSTILE, stands=HOSTILE, replaces=HOSTILE, sections=(said,)), tmp_path))
    assert re.sub(r"\s", "", text).count(re.sub(r"\s", "", HOSTILE)) >= 10
    assert "root:" not in text


def test_an_entry_of_every_kind_is_printed_whatever_stands_in_it(tmp_path: Path) -> None:
    told = every_kind_told()
    (table,) = told.sections[0].tables
    text = re.sub(r"\s|\u200b", "", text_of(read(told, tmp_path)))
    for _, kind, says in table.rows:
        assert re.sub(r"\s", "", kind) in text
        assert re.sub(r"\s", "", says)[:30] in text, kind


def test_a_sign_that_the_font_lacks_costs_no_page(tmp_path: Path) -> None:
    note = Section(title="Notes", facts=(Told(name="note", text="cold \U0001f9ca 你好 \\u4f60 −12 V ≤ 5 → ok"),))
    stages = replace(REPORT.stages, rows=(("Fill", "OPEN", ""),))
    text = text_of(read(replace(REPORT, build="🧊 box", stages=stages, sections=(note,)), tmp_path))
    assert "cold [U+1F9CA] [U+4F60][U+597D] \\u4f60 −12 V ≤ 5 → ok" in text
    assert "[U+1F9CA] box" in text
    assert "Signs that the font of this page lacks stand as their number in Unicode" in text


def test_a_long_word_stays_on_the_page_and_a_digest_stands_in_groups(tmp_path: Path) -> None:
    word = "x" * 300
    pdf = read(replace(REPORT, sections=(Section(title="Notes", words=(word,)),)), tmp_path)
    assert word in text_of(pdf).replace(" ", "")
    right = [0.0]
    pdf.pages[0].extract_text(visitor_text=lambda text, _cm, tm, *_: right.append(tm[4]) if text.strip() else None)
    assert max(right) < 595 - 17 / 25.4 * 72  # ISO 216: A4 is 210 mm wide, 595 pt; the margin is 17 mm
    assert " ".join(["0f3c9a77"] * 8) in text_of(pdf)
