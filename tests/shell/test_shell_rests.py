"""``commission rests`` and what ``show`` says of each proof: which entry would undo it, and which did."""

import json
import re
from pathlib import Path

import pytest

from commission.bench.rests import proof_facts
from commission.record.rests import rest_rows
from tests.handovers import finished
from tests.registered import KINDS, import_bundle
from tests.shell.running import SAMPLES, called


def test_the_table_has_every_kind_in_words_and_for_programs() -> None:
    lines = called("rests").lines
    table = json.loads(called("rests", "--json").out)
    assert {entry["kind"] for entry in table["entries"]} == set(KINDS)
    assert len(lines) == len(table["stages"]) + len(table["entries"])
    assert "stage: fill; rests on pressure hold" in lines
    assert "entry: note added; takes no verdict" in lines
    # paste between a chip and its block: what the loop holds, and how the machine starts, stays as it was
    assert "entry: part changed, paste or pads; takes thermal soak, handover" in lines
    of = {stage["stage"]: set(stage["undone_by"]) for stage in table["stages"]}
    for entry in table["entries"]:
        for stage in entry["takes"]:
            assert entry["kind"] in of[stage]


@pytest.fixture(scope="module")
def sample(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("rests") / "x.logbook"
    with (SAMPLES / "workshop.jsonl").open("rb") as lines:
        import_bundle(lines, path)
    return path


def test_show_says_of_each_proof_what_would_undo_it_or_which_entry_did(sample: Path) -> None:
    lines = called("show", "Window desk", "--entries", logbook=sample).lines
    proofs = {line.split(": ")[0]: line for line in lines if line.startswith("proof of ")}
    assert "stands; would be undone by" in proofs["proof of fill"]
    assert "coolant drained" in proofs["proof of fill"]
    assert "coolant drained" not in proofs["proof of pressure hold"]
    # the demo moves a chain of fans after its headers had passed
    undone = proofs["proof of fan headers"]
    number = undone.partition("undone by entry ")[2].partition(",")[0]
    assert undone == f"proof of fan headers: undone by entry {number}, chain moved"
    assert any(line.startswith(f"entry {number}: ") and "chain moved" in line for line in lines)
    assert f"fan headers: stale, since entry {number}" in lines


def test_a_proof_is_told_beside_one_before_it_and_loses_no_kind() -> None:
    """Read back, each line names the kinds of the table and no other, in less than half the words of seven lists."""
    book, _, build = finished()
    lines = list(proof_facts(book, book.build(build)))
    found: dict[str, set[str]] = {}
    for line in map(str, lines):
        title, _, by = line.removeprefix("proof of ").partition(": stands; would be undone by ")
        near = re.match(r"what undoes ([^(,]+?)(?: \(not ([^)]*)\))?(?:, or |$)", by)
        more = by[near.end() :] if near else by
        before = found[near[1]] - set((near[2] or "").split(", ")) if near else set()
        found[title] = before | set(filter(None, more.split(", ")))
    shown = {stage.id: stage.title.lower() for stage in book.procedure(book.build(build)).stages}
    rows = rest_rows(book.registry)
    all_told = {
        title: {getattr(row.kind, "SHOWN", row.kind.KIND) for row in rows if stage in row.takes}
        for stage, title in shown.items()
        if title in found
    }
    assert len(found) >= 4
    assert found == all_told
    assert 2 * sum(map(len, map(str, lines))) < sum(len(", ".join(by)) for by in all_told.values())
