"""Fills against expected volumes: what the difference proves, and what it does not."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from commission.base.verdict import Outcome
from commission.physics.loop_volume import Uncertain
from commission.procedure.load import default_toml, load_procedure
from commission.record.machine.loop import LoopVolume, volume_from_parts
from commission.record.machine.parts import Part, PartKind
from commission.stages.fill.judge.verdict import evaluate_fill, expected_liquid
from commission.stages.fill.model.coolant import Base
from commission.stages.fill.model.fill import LAST_FILL, Drain, FillProof, FillSetup, FillVerdict, Movement, Pour, Spill
from commission.units.show import say
from tests.fills import EG_PREMIX, MYSTERY, PREMIX, READY, WATER, bottle, dose

SHARE = 0.30


def loop(ml: float, u_ml: float, basis: str = "parts") -> LoopVolume:
    return LoopVolume(volume_m3=ml * 1e-6, u_volume_m3=u_ml * 1e-6, basis=basis)


def judged(poured_ml: float, expected: LoopVolume | None, *, u_ml: float = 0.0, running: bool = False) -> FillVerdict:
    moves: list[Movement] = [Pour(bottle=WATER, dose=dose(poured_ml, u_ml=u_ml))] if poured_ml else []
    return evaluate_fill(moves, FillSetup(expected=expected, missing_share=SHARE), running=running)


def codes(verdict: FillVerdict) -> list[str]:
    return [reason.code for reason in verdict.reasons]


def part(number: int, ml: float, u_ml: float, *, assumed: bool = False) -> Part:
    return Part(
        part_id=str(number),
        kind=PartKind.OTHER,
        name=str(number),
        volume_m3=ml * 1e-6,
        u_volume_m3=u_ml * 1e-6,
        assumed=("volume",) if assumed else (),
    )


SIX = [(196.3495, 4.2295), (424.1150, 3.9986), (202.9852, 30.4478), (12, 3), (30, 8), (45, 10)]


def test_six_parts_add_up() -> None:
    # Source: sum and root sum of squares by hand, 910.450(33.674) mL; linear 59.68 mL if all err alike.
    # Status: computed.
    whole = volume_from_parts([part(number, *figures) for number, figures in enumerate(SIX)])
    assert whole is not None
    assert whole.volume_m3 * 1e6 == pytest.approx(910.450, rel=1e-6)
    assert whole.u_volume_m3 * 1e6 == pytest.approx(33.674, rel=1e-5)
    alike = volume_from_parts([part(number, *figures, assumed=True) for number, figures in enumerate(SIX)])
    assert alike is not None
    assert alike.u_volume_m3 * 1e6 == pytest.approx(59.68, abs=5e-3)


@pytest.mark.parametrize(("out", "told"), [(Drain, True), (Spill, True), (None, False)])
def test_what_was_too_much_for_a_while_is_told_though_it_came_out_again(out: type | None, told: bool) -> None:
    """1100 mL in a loop of 764 mL are 336 mL too many, whatever is told to have gone since (conservation of mass)."""
    moves: list[Movement] = [Pour(bottle=WATER, dose=dose(1100))] if out else [Pour(bottle=WATER, dose=dose(760))]
    moves += [out(dose=dose(340))] if out else []
    verdict = evaluate_fill(moves, FillSetup(expected=loop(764, 21), missing_share=SHARE))
    assert verdict.outcome is Outcome.PASS
    assert ("For a while 336 mL more was in than the loop holds" in " ".join(map(say, verdict.reasons))) is told


def test_a_difference_within_its_uncertainty_cannot_tell() -> None:
    # Source: 910.45(33.674) − 868.3(1.9) = 42.15 ± 33.728 mL by hand. Status: computed.
    verdict = judged(868.3, loop(910.45, 33.674), u_ml=1.9)
    assert verdict.missing is not None
    assert verdict.missing.value * 1e6 == pytest.approx(42.15, abs=1e-3)
    u_ml = (verdict.missing.upper95 - verdict.missing.value) * 1e6 / 1.6448536269514722
    assert u_ml == pytest.approx(33.728, abs=1e-3)
    assert verdict.proof is FillProof.CANNOT_TELL
    assert "cannot_tell_air" in codes(verdict)
    said = next(say(reason) for reason in verdict.reasons if reason.code == "cannot_tell_air")
    assert "42 mL ± 34 mL: can't tell" in said
    assert verdict.filled_share == pytest.approx(868.3 / 910.45)


def test_a_measured_loop_tells_what_parts_cannot() -> None:
    # The same amounts against a volume measured to 1 %: 42.15 ± 9.3 mL.
    verdict = judged(868.3, loop(910.45, 9.1, "measured on air"), u_ml=1.9)
    assert verdict.proof is FillProof.MISSING
    assert verdict.missing is not None
    assert verdict.missing.lower95 > 20e-6


@pytest.mark.parametrize(
    ("poured", "u_expected", "running", "outcome", "code"),
    [
        (950, 10, False, Outcome.PASS, "enough_to_bleed"),
        (950, 10, True, Outcome.PASS, "enough_to_bleed"),
        (701, 0.5, False, Outcome.PASS, "enough_to_bleed"),
        (700, 0.5, False, Outcome.INCONCLUSIVE, "volume_too_uncertain"),
        (699, 0.5, False, Outcome.FAIL, "too_much_missing"),
        (600, 10, False, Outcome.FAIL, "too_much_missing"),
        (600, 10, True, Outcome.INCONCLUSIVE, "too_much_missing"),
        (700, 60, False, Outcome.INCONCLUSIVE, "volume_too_uncertain"),
        (1030, 10, False, Outcome.FAIL, "more_than_fits"),
        (1030, 10, True, Outcome.FAIL, "more_than_fits"),
        (1010, 10, False, Outcome.PASS, "enough_to_bleed"),
    ],
)
def test_a_litre_loop_at_below_and_above_each_limit(
    poured: float, u_expected: float, running: bool, outcome: Outcome, code: str
) -> None:
    # Source: bounds by hand, 1000 mL expected, 300 mL may be missing, 1.645·u.
    verdict = judged(poured, loop(1000, u_expected), running=running)
    assert (verdict.outcome, codes(verdict)[0]) == (outcome, code)


@pytest.mark.parametrize(("running", "outcome"), [(True, Outcome.INCONCLUSIVE), (False, Outcome.INVALID)])
def test_nothing_poured_and_nothing_expected_bear_no_verdict(running: bool, outcome: Outcome) -> None:
    empty = judged(0, loop(1000, 10), running=running)
    assert (empty.outcome, codes(empty)[0], empty.picture) == (outcome, "nothing_poured", None)
    alone = judged(500, None, running=running)
    assert (alone.outcome, codes(alone)[0]) == (outcome, "nothing_expected")
    assert alone.missing is None
    assert alone.filled_m3 * 1e6 == pytest.approx(500)


def test_more_out_than_in_is_invalid_and_says_what_to_do() -> None:
    moves: list[Movement] = [Pour(bottle=WATER, dose=dose(500)), Drain(dose=dose(600))]
    verdict = evaluate_fill(moves, FillSetup(expected=loop(1000, 10), missing_share=SHARE))
    assert verdict.outcome is Outcome.INVALID
    assert codes(verdict)[0] == "more_out_than_in"
    assert "Withdraw" in say(verdict.reasons[0])


def test_the_verdict_says_what_is_in_the_loop_and_where_it_freezes() -> None:
    # Source: MPG 0.30 freezes at −12.7891 °C (CoolProp 8.0.0). Status: computed.
    setup = FillSetup(expected=loop(1000, 10), missing_share=SHARE)
    mixture = evaluate_fill([Pour(bottle=PREMIX, dose=dose(950))], setup)
    assert mixture.freezing_k == pytest.approx(273.15 - 12.7891, abs=1e-4)
    assert mixture.density_kg_m3 == pytest.approx(1023.785, abs=1e-3)
    assert "propylene glycol, 30 % by mass; ice forms below -12.79 °C" in say(mixture.reasons[-1])
    water = evaluate_fill([Pour(bottle=WATER, dose=dose(950))], setup)
    assert water.freezing_k == 273.15
    assert codes(water)[-1] == "plain_water"


def test_a_mixture_of_glycols_says_that_no_fraction_can_be_stated() -> None:
    moves = [Pour(bottle=PREMIX, dose=dose(500)), Pour(bottle=EG_PREMIX, dose=dose(450))]
    verdict = evaluate_fill(moves, FillSetup(expected=loop(1000, 10), missing_share=SHARE))
    assert verdict.outcome is Outcome.PASS
    assert verdict.freezing_k is None
    assert verdict.density_kg_m3 is None
    assert "No fraction can be stated: propylene glycol and ethylene glycol are mixed" in say(verdict.reasons[-1])


def test_a_ready_mix_has_what_its_maker_states_and_an_unknown_nothing() -> None:
    setup = FillSetup(expected=loop(1000, 10), missing_share=SHARE)
    ready = evaluate_fill([Pour(bottle=READY, dose=dose(950))], setup)
    assert (ready.freezing_k, ready.density_kg_m3) == (255.15, 1035.0)
    mystery = evaluate_fill([Pour(bottle=MYSTERY, dose=dose(950))], setup)
    assert (mystery.freezing_k, mystery.density_kg_m3) == (None, None)


def test_a_concentrate_that_was_not_thinned_is_named() -> None:
    pure = bottle(Base.PROPYLENE_GLYCOL, 1.0)
    verdict = evaluate_fill([Pour(bottle=pure, dose=dose(950))], FillSetup(expected=None, missing_share=SHARE))
    assert codes(verdict)[-1] == "fraction_beyond_data"
    assert verdict.freezing_k is None


def test_names_with_braces_do_not_break_a_sentence() -> None:
    odd = bottle(Base.UNKNOWN, name="{0} {x}")
    verdict = evaluate_fill([Pour(bottle=odd, dose=dose(950))], FillSetup(expected=None, missing_share=SHARE))
    assert "{0}" not in say(verdict.reasons[0])


def test_the_running_total_is_there_to_be_drawn() -> None:
    moves: list[Movement] = [
        Pour(bottle=WATER, dose=dose(400)),
        Pour(bottle=WATER, dose=dose(300)),
        Spill(dose=dose(20)),
    ]
    picture = evaluate_fill(moves, FillSetup(expected=loop(1000, 10), missing_share=SHARE)).picture
    assert picture is not None
    assert [round(m3 * 1e6, 6) for m3 in picture.total_m3] == [400, 700, 680]
    assert picture.low_m3 is not None
    assert picture.high_m3 is not None
    assert (picture.high_m3 - picture.low_m3) * 1e6 == pytest.approx(2 * 1.959964 * 10, rel=1e-6)


def test_a_headspace_comes_off_the_loop_but_not_off_a_former_fill() -> None:
    # Source: JCGM 100 by hand: 1000(30) − 100(40) = 900(50) mL.
    liquid = expected_liquid(loop(1000, 30), Uncertain(100e-6, 40e-6))
    assert liquid is not None
    assert (liquid.volume_m3 * 1e6, liquid.u_volume_m3 * 1e6) == pytest.approx((900, 50))
    former = loop(900, 2, LAST_FILL)
    assert expected_liquid(former, Uncertain(100e-6)) is former
    assert expected_liquid(None, Uncertain(0.0)) is None
    assert expected_liquid(loop(100, 1), Uncertain(200e-6)) is None


def test_typical_parts_do_not_exclude_what_a_large_loop_takes() -> None:
    # Source: common practice, no source: a loop with three 360 mm radiators, two blocks, a reservoir and tubes takes
    # just under 2 L.
    typical = {found.name: found for found in load_procedure(default_toml()).typical_parts}
    fitted = ["radiator 360 mm"] * 3 + ["CPU block", "GPU block", "pump and its top", "tube reservoir"]
    fitted += ["tube"] * 3 + ["fittings, a dozen"] * 2
    parts = [
        Part(
            part_id=str(number),
            kind=PartKind(typical[name].kind),
            name=name,
            volume_m3=typical[name].volume_m3,
            u_volume_m3=typical[name].spread_m3 / 3**0.5,
            assumed=("volume",),
        )
        for number, name in enumerate(fitted)
    ]
    estimate = volume_from_parts(parts)
    assert estimate is not None
    assert estimate.volume_m3 - 1.96 * estimate.u_volume_m3 < 1.95e-3 < estimate.volume_m3 + 1.96 * estimate.u_volume_m3
    assert 1.2e-3 < estimate.volume_m3 < 2.2e-3  # and the estimate itself is no guess into the blue
    verdict = evaluate_fill(
        [Pour(bottle=PREMIX, dose=dose(1950, u_ml=5))], FillSetup(expected=estimate, missing_share=SHARE)
    )
    assert verdict.outcome is Outcome.PASS
    assert verdict.proof is FillProof.CANNOT_TELL


@settings(deadline=None)
@given(st.floats(1.0, 2000.0), st.floats(1.0, 2000.0), st.floats(0.1, 300.0), st.floats(0.0, 50.0))
def test_pouring_more_never_leaves_more_missing(poured: float, more: float, u_loop: float, u_dose: float) -> None:
    expected = loop(1000, u_loop)
    once = evaluate_fill(
        [Pour(bottle=WATER, dose=dose(poured, u_ml=u_dose))], FillSetup(expected=expected, missing_share=SHARE)
    )
    twice = evaluate_fill(
        [Pour(bottle=WATER, dose=dose(ml, u_ml=u_dose)) for ml in (poured, more)],
        FillSetup(expected=expected, missing_share=SHARE),
    )
    assert once.missing is not None
    assert twice.missing is not None
    assert twice.missing.value < once.missing.value
    assert twice.u_filled_m3 >= once.u_filled_m3
    # A wider loop never turns can't tell into a proof.
    wide = evaluate_fill(
        [Pour(bottle=WATER, dose=dose(poured, u_ml=u_dose))],
        FillSetup(expected=loop(1000, u_loop * 3 + 1000), missing_share=SHARE),
    )
    assert wide.proof is FillProof.CANNOT_TELL or once.proof is wide.proof


@pytest.mark.parametrize("share", [0.0, 1.0, -0.1, float("nan")])
def test_a_limit_that_is_none_is_refused(share: float) -> None:
    with pytest.raises(ValueError, match="must be above 0 and below 1"):
        evaluate_fill([], FillSetup(expected=None, missing_share=share))
