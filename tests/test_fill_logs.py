"""The fills and bleeds of the demo workshop get the verdicts that their simulated truth calls for.

Outside: the truth of ``tests/make_fill_logs.py``, whose balances of volume and mass are written out without the
program; CoolProp 8.0.0 for density and freezing point.
"""

from collections.abc import Iterator
from pathlib import Path

import pytest

from commission.record.logbook import Logbook
from commission.stages.bleed.entries import BleedClosed, BleedCycleDone
from commission.stages.bleed.model import BleedVerdict, TailState
from commission.stages.fill.entries import FillClosed
from commission.stages.fill.model.fill import FillProof, FillVerdict
from commission.stages.fill.work.fills import Fills
from tests.make_fill_logs import DESK_FILL, ML_PER_MM, Seen, corner_tower, desk_bleed, tower_bleeds, window_desk
from tests.reference import coolprop
from tests.registered import sample_logbook
from tests.shell.running import called

ML = 1e-6


@pytest.fixture(scope="module")
def book(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Logbook]:
    """The demo's logbook; not to be written to."""
    opened = sample_logbook(tmp_path_factory.mktemp("demo"))
    yield opened.book
    opened.book.close()


def fill_of(book: Logbook, name: str) -> FillVerdict:
    (found,) = [e.payload for e in book.entries(book.find_build(name)) if isinstance(e.payload, FillClosed)]
    return found.verdict


def bleeds_of(book: Logbook, name: str) -> list[BleedVerdict]:
    return [e.payload.verdict for e in book.entries(book.find_build(name)) if isinstance(e.payload, BleedClosed)]


def test_the_desks_fill_passes_and_its_bounds_hold_the_truth(book: Logbook) -> None:
    loop, verdict = window_desk(), fill_of(book, "Window desk")
    assert (verdict.outcome, verdict.proof) == ("pass", FillProof.MISSING)
    assert verdict.missing is not None
    assert verdict.missing.lower95 <= loop.free_ml * ML <= verdict.missing.upper95
    assert abs(verdict.filled_m3 - loop.liquid_ml * ML) <= 2 * verdict.u_filled_m3
    # expected: 10 strokes of 60 mL at 1008.3 hPa and a rise of 504.2 mbar, less 35 mm of 2.827433 mL
    assert verdict.expected_m3 == pytest.approx((600 * 1008.3 / 504.2 - 35 * ML_PER_MM) * ML, rel=1e-9)
    assert verdict.basis == "measured on air"


def test_the_desks_books_are_those_of_a_scale_and_a_cup(book: Logbook) -> None:
    verdict = fill_of(book, "Window desk")
    share = DESK_FILL.glycol_share()
    assert verdict.coolant.mass_fraction == pytest.approx(share, rel=1e-5)
    total_kg = (DESK_FILL.premix_g + 100 * DESK_FILL.water_g_ml) / 1000
    assert verdict.coolant.total_kg == pytest.approx(total_kg, rel=1e-5)
    mixture = f"INCOMP::MPG[{share}]"
    by_mass = total_kg / coolprop("D", "T", 293.15, "P", 101_325, mixture)
    assert verdict.filled_m3 == pytest.approx(by_mass, abs=0.5 * ML)  # an eighth of its uncertainty
    assert verdict.freezing_k == pytest.approx(coolprop("T_FREEZE", "T", 293.15, "P", 101_325, mixture), abs=1e-3)


def test_the_desks_top_ups_thin_its_coolant(book: Logbook) -> None:
    state = book.build(book.find_build("Window desk"))
    now = book.work(Fills).verdict(state)
    topped = sum(seen.top_up_ml for seen in desk_bleed())
    assert topped == 95
    assert now.coolant.mass_fraction == pytest.approx(DESK_FILL.glycol_share(topped), rel=1e-5)
    water = next(bottle for bottle in book.work(Fills).bottles if bottle.name == "distilled water")
    assert book.work(Fills).remaining_m3(water) == pytest.approx(
        (1000 - 110 - 95) * ML
    )  # the slip of 101 mL was withdrawn


def cycles_of(book: Logbook, name: str, attempt: int) -> list[BleedCycleDone]:
    entries = [e.payload for e in book.entries(book.find_build(name)) if isinstance(e.payload, BleedCycleDone)]
    return [entry for entry in entries if entry.attempt == attempt]


CASES = [
    ("Window desk", 1, desk_bleed()),
    ("Corner tower", 1, tower_bleeds()[0]),
    ("Corner tower", 2, tower_bleeds()[1]),
]


@pytest.mark.parametrize(
    ("name", "attempt", "seen"), CASES, ids=lambda case: str(case) if isinstance(case, str) else ""
)
def test_the_record_holds_what_was_seen(book: Logbook, name: str, attempt: int, seen: list[Seen]) -> None:
    cycles = [done.cycle for done in cycles_of(book, name, attempt)]
    assert [round(cycle.gone_m3 / ML) for cycle in cycles] == [one.top_up_ml for one in seen]
    assert [(str(cycle.bubbles), str(cycle.noise)) for cycle in cycles] == [(one.bubbles, one.noise) for one in seen]
    for cycle, one in zip(cycles, seen, strict=True):
        assert abs(cycle.gone_m3 - one.out_ml * ML) <= cycle.resolution_m3


def test_the_desks_bleed_converges_and_passes(book: Logbook) -> None:
    (verdict,) = bleeds_of(book, "Window desk")
    assert (verdict.outcome, verdict.tail.state) == ("pass", TailState.CONVERGING)
    assert verdict.kept >= 3
    assert verdict.covered_s >= 7200
    assert verdict.tail.low_m3 is not None
    assert verdict.tail.high_m3 is not None
    assert verdict.tail.low_m3 <= desk_bleed()[-1].left_ml * ML <= verdict.tail.high_m3


def test_a_trapped_pocket_fails_the_towers_bleed_until_it_is_tilted(book: Logbook) -> None:
    stuck, freed = bleeds_of(book, "Corner tower")
    first, second = tower_bleeds()
    assert min(one.top_up_ml for one in first) >= 10  # never within the 2 mL of the rule
    assert first[-1].left_ml > 20
    assert (stuck.outcome, stuck.tail.state) == ("fail", TailState.NOT_CONVERGING)
    assert stuck.tail.high_m3 is None
    assert second[-1].left_ml < 0.1
    assert (freed.outcome, freed.tail.state) == ("pass", TailState.CONVERGING)
    assert freed.tail.high_m3 is not None
    assert second[-1].left_ml * ML <= freed.tail.high_m3


def test_from_its_parts_alone_nobody_can_tell_what_the_tower_lacks(book: Logbook) -> None:
    # parts: 1185 ± 81 mL, less 141.4 mL of headspace; 908 mL are in, 135.6 ± 85 mL are missing: 150 mL are true
    loop, verdict = corner_tower(), fill_of(book, "Corner tower")
    assert verdict.outcome == "pass"
    assert verdict.missing is not None
    assert verdict.missing.lower95 <= (loop.free_ml + loop.pocket_ml) * ML <= verdict.missing.upper95
    assert verdict.missing.value == pytest.approx((1185.0 - loop.headspace_ml - 908) * ML, abs=2 * ML)
    assert (verdict.coolant.mass_fraction, verdict.freezing_k) == (None, 255.15)


def test_the_shell_tells_the_same(tmp_path: Path) -> None:
    logbook = tmp_path / "demo.logbook"
    assert (
        called("import", str(Path(__file__).parents[1] / "sample_logs" / "workshop.jsonl"), logbook=logbook).status == 0
    )
    desk, tower = (called("show", name, logbook=logbook).lines for name in ("Window desk", "Corner tower"))
    assert {"fill: passed, attempt 1", "bleed: passed, attempt 1", "headspace: pass"} <= set(desk)
    assert any(line.startswith("bleed air left: 0 mL, 0 to ") for line in desk)
    assert any(line.startswith("bleed 1: fail, ") for line in tower)
    assert any(line.startswith("bleed 2: pass, ") for line in tower)
