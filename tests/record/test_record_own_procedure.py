"""A procedure that somebody changed is none that ships: it comes in on a wish alone, and all that is shown says so.

Outside: a statement of conformity names the requirements that it was judged by (ISO/IEC 17025:2017, 7.8.6.2, from
memory); the digest of an entry is SHA-256 over the one before, a line feed, and its text, worked here with the standard
library alone.
"""

import hashlib
import json
import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from commission.base.errors import Damaged, FileError
from commission.procedure.load import default_toml, load_procedure
from commission.procedure.own import differences
from tests.shell.running import Ran, called, one_line

OLD = Path(__file__).parent.parent / "data" / "version_1" / "workshop.jsonl"
SHIPPED = load_procedure(default_toml())


def no_locks(toml: str) -> str:
    return re.sub(r"rests_on = \[.*?\]", "rests_on = []", toml)


def loose(toml: str) -> str:
    return re.sub(r'(id = "leak_rate_pa_m3_s"\nvalue = )\S+(\nlow = \S+\nhigh = )\S+', r"\g<1>10\g<2>10", toml)


def older(toml: str) -> str:
    return re.sub(r"\nrevision = \d+", "\nrevision = 3", toml, count=1)


@pytest.mark.parametrize(
    ("change", "said"),
    [
        (no_locks, "fill does not wait for pressure hold"),
        (loose, "pressure hold: leak rate pa m3 s is 10, where 0.001 ships"),
        (lambda toml: older(loose(toml)), "pressure hold: leak rate pa m3 s is 10, where 0.001 ships"),
        (lambda toml: toml.replace('id = "bursts"', 'id = "burst"'), "fill lacks the step 'bursts'"),
    ],
)
def test_what_opens_a_lock_or_decides_a_verdict_is_compared(change: Callable[[str], str], said: str) -> None:
    assert said in differences(load_procedure(change(default_toml())), SHIPPED)


def without_limit(toml: str, limit: str) -> str:
    return re.sub(rf'\[\[stages.limits\]\]\nid = "{limit}"\n.*?\n\n', "", toml, flags=re.DOTALL)


def test_a_procedure_without_a_limit_is_one_of_its_own_and_says_so_where_the_limit_is_wanted() -> None:
    procedure = load_procedure(without_limit(default_toml(), "missing_share"))
    assert differences(procedure, SHIPPED) == ("fill lacks the limit missing share",)
    with pytest.raises(Damaged, match="no limit missing_share; open a new build"):
        procedure.stage("fill").limit("missing_share")
    soak = load_procedure(without_limit(default_toml(), "least_carried"))  # an earlier one: the shipped limit counts
    assert differences(soak, SHIPPED) == ()


@pytest.mark.parametrize("waits", ["fill", "bleed", "nothing"])
def test_stages_that_wait_for_each_other_in_a_circle_are_no_procedure(waits: str) -> None:
    with pytest.raises(FileError, match=rf'fill waits for "{waits}", which is no stage before it'):
        load_procedure(default_toml().replace('rests_on = ["pressure_hold"]', f'rests_on = ["{waits}"]', 1))


def test_what_ships_and_what_shipped_before_are_none_of_their_own() -> None:
    bodies = [json.loads(line).get("body", {}) for line in OLD.read_text(encoding="utf-8").splitlines()]
    (first,) = (body["payload"]["toml"] for body in bodies if body.get("kind") == "procedure adopted")
    assert load_procedure(first).revision == 1
    assert (differences(load_procedure(first), SHIPPED), differences(SHIPPED, SHIPPED)) == ((), ())
    assert differences(load_procedure(older(default_toml())), SHIPPED) == ()


def _forged(lines: list[str], change: Callable[[str], str]) -> str:
    """Return a bundle with its procedure changed by somebody who makes digests."""
    out, before, digest = lines[:1], "", ""
    for line in lines[1:-1]:
        body: dict[str, Any] = json.loads(line)["body"]
        if body["kind"] == "procedure adopted":
            toml = change(body["payload"]["toml"])
            digest = hashlib.sha256(toml.encode()).hexdigest()
            body["payload"] |= {"toml": toml, "digest": digest}
        elif body["kind"] == "build opened":
            body["payload"]["procedure"] = digest
        text = json.dumps(body, sort_keys=True, separators=(",", ":"), ensure_ascii=False)
        before = hashlib.sha256(f"{before}\n{text}".encode()).hexdigest()
        out.append(f'{{"body":{text},"digest":"{before}"}}\n')
    end = {"end": {"entries": len(out) - 1, "digest": before, "series": {}}}
    return "".join([*out, json.dumps(end, sort_keys=True, separators=(",", ":")) + "\n"])


def test_a_bundle_with_a_procedure_of_its_own_comes_in_on_a_wish_and_everything_says_so(tmp_path: Path) -> None:
    bundle, new = tmp_path / "own.jsonl", tmp_path / "new.logbook"

    def on(*words: str) -> Ran:
        return called(*words, logbook=new)

    assert called("open", "Desk loop", logbook=tmp_path / "a.logbook").status == 0
    lines = called("export", "-", logbook=tmp_path / "a.logbook").out.splitlines(keepends=True)
    bundle.write_text(_forged(lines, no_locks), encoding="utf-8")
    refused = on("import", str(bundle))
    assert (refused.status, new.exists()) == (2, False)
    assert "a procedure of its own, not the one that ships: " in one_line(refused.err)
    assert one_line(refused.err).endswith("(--own-procedure takes it)")
    assert on("import", str(bundle), "--own-procedure").status == 0
    assert "judged by a procedure of its own" in on("list").out
    told = json.loads(on("list", "--json").out)["builds"][0]["own_procedure"]
    assert "fill does not wait for pressure hold" in told
    shown = on("show", "Desk loop").out
    assert "judged by: a procedure of its own, not the one that ships" in shown
    assert "own procedure: fill does not wait for pressure hold" in shown
    on("handover", "Desk loop", "--spares", "none", "--coolant-lasts", "none")
    assert on("handover", "Desk loop", "--to", "own use").status == 0
    assert "Judged by a procedure of its own, not by the one that ships." in on("show", "Desk loop").out
    assert on("report", "Desk loop", "-o", str(tmp_path / "a.txt")).status == 0
    assert "own procedure: fill does not wait for pressure hold" in (tmp_path / "a.txt").read_text(encoding="utf-8")
