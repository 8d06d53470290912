"""Voltages at the edges of their windows, decided on the digits as they were read."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from commission.base.verdict import Outcome
from commission.stages.first_power.judge.rails import evaluate_rails, judge_power_good, judge_rail, window_of
from commission.stages.first_power.model.rails import PlugKind, PowerGoodWord, Rail, RailReading, Revision

ATX2, ATX3 = Revision.ATX2, Revision.ATX3
PASS, FAIL = Outcome.PASS, Outcome.FAIL


def at(
    typed: str, rail: Rail = Rail.V12, *, plug: str = "main", kind: PlugKind = PlugKind.BOARD, loaded: bool = False
) -> RailReading:
    return RailReading(plug=plug, kind=kind, rail=rail, volt=float(typed), typed=typed, loaded=loaded)


@pytest.mark.parametrize(
    ("typed", "outcome"), [("11.39", FAIL), ("11.40", PASS), ("12.60", PASS), ("12.61", FAIL), ("11.396", FAIL)]
)
def test_twelve_volts_five_per_cent(typed: str, outcome: Outcome) -> None:
    # Source: ATX12V design guide 2.0, 3.2.1, table 2. Status: read. 11.396 shows as 11.40 when it is rounded.
    row = judge_rail(at(typed), ATX2)
    assert row.outcome is outcome
    assert f"reads {typed} V" in row.said.template


@pytest.mark.parametrize(
    ("rail", "typed", "outcome"),
    [
        (Rail.V5, "4.74", FAIL), (Rail.V5, "4.75", PASS), (Rail.V5, "5.25", PASS), (Rail.V5, "5.26", FAIL),
        (Rail.V3_3, "3.13", FAIL), (Rail.V3_3, "3.14", PASS), (Rail.V3_3, "3.47", PASS), (Rail.V3_3, "3.48", FAIL),
        (Rail.STANDBY, "4.75", PASS), (Rail.STANDBY, "5.30", FAIL),
        (Rail.MINUS_12, "-10.79", FAIL), (Rail.MINUS_12, "-10.80", PASS),
        (Rail.MINUS_12, "-13.20", PASS), (Rail.MINUS_12, "-13.21", FAIL), (Rail.MINUS_12, "12.0", FAIL),
    ],
)  # fmt: skip
def test_the_other_rails_at_their_edges(rail: Rail, typed: str, outcome: Outcome) -> None:
    # Source: the same table, as printed. Status: read.
    for revision in Revision:
        assert judge_rail(at(typed, rail), revision).outcome is outcome


def test_eleven_volts_two_is_out_of_one_guide_and_within_the_other() -> None:
    # Source: ATX12V 2.0 read; the wider windows of ATX 3.x second-hand, from a test laboratory's method page
    # (12 V may drop 7 %, graphics plugs 8 %); table 4-2 of the guide was not read.
    old, new = judge_rail(at("11.20"), ATX2), judge_rail(at("11.20"), ATX3)
    assert (old.outcome, new.outcome) == (FAIL, PASS)
    assert "outside ATX 2.x, inside ATX 3.x (second-hand)" in old.said.template
    assert new.said.code == "inside_wider_window"
    assert new.window.source.startswith("second-hand")
    assert "not read" in new.window.source


@pytest.mark.parametrize(
    ("kind", "typed", "outcome"),
    [
        (PlugKind.BOARD, "11.16", PASS),
        (PlugKind.BOARD, "11.15", FAIL),
        (PlugKind.PROCESSOR, "11.10", FAIL),
        (PlugKind.GRAPHICS, "11.10", PASS),
        (PlugKind.GRAPHICS, "11.04", PASS),
        (PlugKind.GRAPHICS, "11.03", FAIL),
    ],
)
def test_the_widest_window_is_for_graphics_plugs_only(kind: PlugKind, typed: str, outcome: Outcome) -> None:
    # Source: 12·0.93 = 11.16, 12·0.92 = 11.04; second-hand, a test laboratory's method page. Status: computed.
    assert judge_rail(at(typed, kind=kind), ATX3).outcome is outcome
    assert window_of(Rail.V12, kind, ATX2).low_v == 11.40


@pytest.mark.parametrize("kind", [PlugKind.GRAPHICS, PlugKind.PROCESSOR])
@pytest.mark.parametrize("rail", [Rail.V5, Rail.V3_3])
def test_a_plug_that_carries_twelve_volts_alone_passes_no_other(kind: PlugKind, rail: Rail) -> None:
    # the pin tables of the graphics and processor plugs in ATX12V and EPS12V know +12 V, COM and sense pins only
    row = judge_rail(at("5.00" if rail is Rail.V5 else "3.30", rail=rail, kind=kind), Revision.ATX2)
    assert row.outcome is Outcome.FAIL
    assert row.said.code == "foreign_rail"


def test_a_meter_whose_error_reaches_over_the_edge_cannot_tell() -> None:
    assert judge_rail(at("11.41"), ATX2, meter_error_v=0.02).outcome is Outcome.INCONCLUSIVE
    assert judge_rail(at("11.39"), ATX2, meter_error_v=0.02).outcome is Outcome.INCONCLUSIVE
    assert judge_rail(at("11.43"), ATX2, meter_error_v=0.02).outcome is PASS
    with pytest.raises(ValueError, match="error of the meter"):
        judge_rail(at("12.0"), ATX2, meter_error_v=-0.1)


def test_a_plug_that_sags_is_found_within_the_window() -> None:
    readings = [at("12.05", plug="GPU 1"), at("11.62", plug="GPU 2"), at("12.03", plug="EPS")]
    verdict = evaluate_rails(readings, ATX2)
    assert verdict.outcome is PASS
    sags = [finding for finding in verdict.findings if finding.code == "plug_sags"]
    assert len(sags) == 1
    assert sags[0].template.startswith("GPU 2 sags: +12 V is 0.43 V below GPU 1")
    assert evaluate_rails([at("12.05"), at("11.95")], ATX2).findings[-1].code == "no_load"  # a tenth is no sag


def test_idle_and_load_are_not_compared_with_each_other() -> None:
    readings = [at("12.30", plug="idle"), at("12.00", plug="busy", loaded=True)]
    assert evaluate_rails(readings, ATX2).findings == ()


def test_one_voltage_out_fails_the_supply_and_is_named_first() -> None:
    verdict = evaluate_rails([at("12.01"), at("4.70", Rail.V5), at("3.30", Rail.V3_3)], ATX2)
    assert verdict.outcome is FAIL
    assert verdict.reasons[0].template == "main: +5 V reads 4.70 V, below 4.75 V."


def test_a_voltage_that_was_not_read_is_asked_for() -> None:
    verdict = evaluate_rails([at("12.01")], ATX2, wanted=(Rail.V12, Rail.V5, Rail.STANDBY))
    assert verdict.outcome is Outcome.INCONCLUSIVE
    assert verdict.reasons[-1].template == "Still to be read: +5 V, +5VSB."
    assert evaluate_rails([], ATX2).outcome is Outcome.INCONCLUSIVE


@settings(deadline=None)
@given(st.sampled_from(Rail), st.sampled_from(PlugKind), st.floats(-15, 15, allow_nan=False))
def test_what_the_older_guide_passes_the_newer_one_passes(rail: Rail, kind: PlugKind, volt: float) -> None:
    reading = RailReading(plug="x", kind=kind, rail=rail, volt=volt, typed=str(volt))
    if judge_rail(reading, ATX2).outcome is PASS:
        assert judge_rail(reading, ATX3).outcome is PASS


@pytest.mark.parametrize(
    ("ms", "word", "old", "new"),
    [
        (90, PowerGoodWord.TOO_EARLY, FAIL, FAIL),
        (99.9, PowerGoodWord.TOO_EARLY, FAIL, FAIL),
        (100, PowerGoodWord.RECOMMENDED, PASS, PASS),
        (150, PowerGoodWord.RECOMMENDED, PASS, PASS),
        (151, PowerGoodWord.REQUIRED, PASS, PASS),
        (250, PowerGoodWord.REQUIRED, PASS, PASS),
        (300, PowerGoodWord.LEGACY, PASS, FAIL),
        (500, PowerGoodWord.LEGACY_EDGE, Outcome.INCONCLUSIVE, FAIL),
        (501, PowerGoodWord.TOO_LATE, FAIL, FAIL),
    ],
)
def test_the_delay_of_power_good(ms: float, word: PowerGoodWord, old: Outcome, new: Outcome) -> None:
    # Source: Intel ATX version 3 design guide, rev 2.1a, table 4-10; ATX12V guide 1.1 (strict below 500). Status: read.
    assert judge_power_good(ms, ATX2).word is word
    assert (judge_power_good(ms, ATX2).outcome, judge_power_good(ms, ATX3).outcome) == (old, new)


def test_what_is_no_reading_is_refused() -> None:
    for ms in (-1.0, float("inf"), float("nan")):
        with pytest.raises(ValueError, match="delay"):
            judge_power_good(ms, ATX3)
    with pytest.raises(ValueError, match="sag"):
        evaluate_rails([], ATX2, sag_v=0.0)


def test_a_supply_of_which_nothing_was_read_says_what_to_read() -> None:
    assert evaluate_rails([], ATX2).reasons[0].template == "Still to be read: every voltage at every plug."
    within = evaluate_rails([at("12.0")], ATX2).reasons[0]
    assert within.template == "All voltages that were read (1) are within their windows."
    assert evaluate_rails([], ATX2).findings == ()
