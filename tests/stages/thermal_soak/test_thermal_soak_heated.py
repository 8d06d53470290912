"""A machine that makes no heat, cannot carry it, or runs otherwise than it is left, is not soaked."""

import pytest

from commission.base.errors import CommissionError, InputError, NotAllowed
from commission.base.frozen import replace
from commission.base.verdict import Outcome
from commission.record.machine.left_at import LeftAt
from commission.stages.fan_headers.work.fan_headers import FanHeaders
from commission.stages.thermal_soak.card.deeds import look_deed, read_deed
from commission.stages.thermal_soak.card.soak import SoakFlow
from commission.stages.thermal_soak.files.live_table import LiveTable
from commission.stages.thermal_soak.judge.duties_left import left_at, refuse_duty_name
from commission.stages.thermal_soak.judge.verdict import evaluate_thermal_soak
from commission.stages.thermal_soak.model import Named, SoakPlan, SoakReading, SoakVerdict
from commission.stages.thermal_soak.typed.reading import read_reading
from commission.stages.thermal_soak.work.refused import refuse_duties
from commission.stages.thermal_soak.work.soaks import JOINTS_HOT, Soaks
from tests.fakes import new_book
from tests.soaks import AIR_K, RULE, course, soaking

L_H = 1e-3 / 3600
LEFT = (Named(name="front", value=0.45),)


def judged(readings: tuple[SoakReading, ...]) -> SoakVerdict:
    return evaluate_thermal_soak(readings, SoakPlan(), RULE, left=LEFT)


def with_duty(name: str, value: float) -> tuple[SoakReading, ...]:
    return tuple(replace(one, duties=(Named(name=name, value=value),)) for one in course(60))


def only(name: str, keep: range) -> tuple[SoakReading, ...]:
    """A course of an hour in which something was read in some minutes alone."""
    kept = course(60, flow_m3_s=200 * L_H)
    return tuple(
        one if n in keep else replace(one, **{name: None})  # type: ignore[arg-type]
        for n, one in enumerate(kept)
    )


def last_flow(l_h: float) -> tuple[SoakReading, ...]:
    kept = course(60, flow_m3_s=200 * L_H)
    return (*kept[:-1], replace(kept[-1], flow_m3_s=l_h * L_H))


def warming(k_h: float) -> tuple[SoakReading, ...]:
    """Coolant, its sides and the chip climb with the air, so that coolant above air is as in the plain course."""
    found = []
    for one in course(60, cpu_k=None):
        more = k_h * one.elapsed_s / 3600
        assert one.warm_k is not None
        assert one.cool_k is not None
        found.append(replace(one, air_k=one.air_k + more, warm_k=one.warm_k + more, cool_k=one.cool_k + more))
    return tuple(found)


def flat(above_k: float, load_w: float, flow: float | None = None) -> tuple[SoakReading, ...]:
    found = course(60, start_k=above_k, end_k=above_k, load_w=load_w, flow_m3_s=flow, drop_k=0.0)
    return tuple(replace(one, cool_k=None) if flow is None else one for one in found)


@pytest.mark.parametrize(
    ("readings", "code"),
    [
        (flat(0.4, 400.0), "no_heat_shown"),
        (flat(0.1, 1.0), "no_heat_shown"),
        (flat(1.4, 400.0), "no_heat_shown"),
        (flat(1.6, 60.0), ""),
        (flat(10.0, 400.0, 0.0), "flow_stands"),
        # 20 L/h, 4179 J/(kg K), 996 kg/m3: 23.1 W/K, 10 % more is 25.4 W/K; 0.85 K that both sensors may be off: 21.6 W
        (flat(10.0, 400.0, 20 * L_H), "carries_little"),
        (course(60, flow_m3_s=200 * L_H), ""),
        # both sides alike, 100 L/h: 108 W by the same arithmetic, of 400 W that go in; at 200 L/h 216 W are half of it
        (course(60, drop_k=0.0, flow_m3_s=100 * L_H), "no_rise"),
        (course(60, drop_k=0.0, flow_m3_s=200 * L_H), ""),
        (course(60, cpu_k=-2.0), "colder_than_coolant"),  # 1.15 K below the cool side: more than 0.85 K of two sensors
        (course(60, cpu_k=-1.6), ""),
        (with_duty("pump", 0.0), "pump_off"),
        (with_duty("fans", 0.0), "duty_off"),
        (with_duty("front", 1.0), "duty_above_left"),
        (with_duty("Front", 0.46), ""),
        (with_duty("front", 0.3), ""),
        (only("load_w", range(1)), "not_read_since"),
        (only("load_w", range(60, 61)), "read_late"),
        (only("load_w", range(0, 61, 20)), ""),
        (only("flow_m3_s", range(31)), "not_read_since"),
        (last_flow(10.8), "flow_dropped"),
        (last_flow(179.0), "flow_dropped"),  # more than a tenth below the 200 before
        (last_flow(181.0), ""),
        (warming(12.0), "air_climbs"),
        (warming(3.0), ""),
    ],
)
def test_a_soak_without_heat_flow_or_the_duties_that_stay_is_no_pass(
    readings: tuple[SoakReading, ...], code: str
) -> None:
    verdict = judged(readings)
    assert (verdict.outcome is Outcome.PASS) is (not code)
    assert code in ("", verdict.reasons[0].code)


@pytest.mark.parametrize("change", [{"load_w": 30.0}, {"duties": (Named(name="front", value=0.2),)}])
def test_where_the_last_reading_has_another_load_or_duty_nothing_counts_yet(change: dict[str, object]) -> None:
    """It may be the end of the load, or the beginning of another: one reading does not tell."""
    *before, last = with_duty("front", 0.45)
    verdict = judged((*before, replace(last, **change)))  # type: ignore[arg-type]
    assert (verdict.outcome, verdict.reasons[0].code) == (Outcome.INCONCLUSIVE, "too_few_readings")
    assert "load_changed" in [phrase.code for phrase in verdict.reasons]
    assert judged((*before, last)).outcome is Outcome.PASS


def rounded(readings: tuple[SoakReading, ...]) -> tuple[SoakReading, ...]:
    """Readings as a display of 0.1 K shows them."""

    def shown(kelvin: float | None) -> float:
        assert kelvin is not None
        return round(kelvin - 273.15, 1) + 273.15

    return tuple(
        replace(
            one,
            warm_k=shown(one.warm_k),
            cool_k=shown(one.cool_k),
            components=tuple(Named(name=each.name, value=shown(each.value)) for each in one.components),
        )
        for one in readings
    )


def stopped(minute: int, *, chip_alone: bool = False) -> tuple[SoakReading, ...]:
    """A course of an hour whose readings, or whose chip alone, repeat those of one minute to the end."""
    found = rounded(course(60))
    last = found[minute]
    return tuple(
        one
        if at <= minute
        else replace(one, components=last.components)
        if chip_alone
        else replace(last, elapsed_s=one.elapsed_s)
        for at, one in enumerate(found)
    )


@pytest.mark.parametrize(
    ("readings", "code"),
    [
        (stopped(2), "reading_hangs"),  # 10 K of 600 s: 0.9 K a minute at first, nine steps of the display
        (stopped(10), "reading_hangs"),
        (stopped(55), ""),  # 0.004 K a minute there: it may well stand
        (stopped(6, chip_alone=True), "reading_hangs"),  # the coolant climbs by 5.5 K from there
        (stopped(40, chip_alone=True), ""),
        (rounded(course(60)), ""),
        (rounded(course(60, every_s=600.0)), ""),
        (rounded(course(120, every_s=600.0, tau_s=120.0)), ""),  # by hand, far apart, of a quick loop
    ],
)
def test_a_logger_that_hangs_is_no_settling(readings: tuple[SoakReading, ...], code: str) -> None:
    verdict = judged(readings)
    assert (verdict.outcome is Outcome.PASS) is (not code)
    assert code in ("", verdict.reasons[0].code)


def test_what_is_too_hot_fails_though_a_flow_of_0_was_read() -> None:
    hot = tuple(replace(one, flow_m3_s=0.0, components=(Named(name="cpu", value=380.0),)) for one in course(60))
    assert judged(hot).outcome is Outcome.FAIL


def test_a_component_is_read_to_the_end() -> None:
    """Twelve of sixty minutes tell nothing of the rest; the last but one of readings that are minutes apart does."""
    early = tuple(one if n < 12 else replace(one, components=()) for n, one in enumerate(course(60)))
    assert judged(early).reasons[0].code == "not_read_since"
    nearly = tuple(one if n < 58 else replace(one, components=()) for n, one in enumerate(course(60)))
    assert judged(nearly).outcome is Outcome.PASS


def test_a_soak_is_held_against_the_duties_that_the_fan_headers_were_left_at() -> None:
    """The one chain of fans is left at 50 %; readings may call it front, or fans."""
    book, _, clock = new_book()
    build = soaking(book, clock)
    clock.run(3700)
    work = book.work(Soaks)
    work.read(build, with_duty("fans", 1.0))
    work.do_step(build, JOINTS_HOT)
    assert work.verdict(book.build(build)).reasons[0].code == "duty_above_left"
    assert book.work(FanHeaders).verdict(book.build(build)).outcome is Outcome.PASS


def test_a_duty_is_of_a_chain_of_the_build_or_of_all_fans_or_of_the_pump() -> None:
    """The one chain of fans is left at 50 %: under another name the same fans would pass at any duty."""
    book, _, clock = new_book()
    build = soaking(book, clock)
    clock.run(3700)
    work, hand, head = book.work(Soaks), SoakFlow(book, build).hand, book.head().seq
    names = r'there is no chain "{}"; there are: loop pump, front\. {} such as '
    for name in ("front fans", "radiator fans", "H1", "all", "duty front"):
        with pytest.raises(InputError, match=names.format(name.casefold(), "Type") + "front 50 %"):
            read_deed(hand, f"warm 36 air 22 {name} 100 %")
        with pytest.raises(InputError, match=names.format(name, "Head its column") + r"duty front \[%\]"):
            work.read(build, with_duty(name, 1.0))
    live = b"warm [degC],air [degC],duty radiator fans [%]\n"
    with pytest.raises(InputError, match='no chain "radiator fans"'):
        refuse_duties(book.build(build), LiveTable(live).probe)
    assert book.head().seq == head
    for name in ("front", "Front", "fan", "fans", "pump"):
        work.refuse(book.build(build), with_duty(name, 0.5))


def test_all_fans_are_one_duty_only_where_they_are_left_alike() -> None:
    """A chain whose name ends in a number is typed as it is called."""
    book, _, clock = new_book()
    build = soaking(book, clock)
    state = book.build(build)
    chains = state.plugged.chains
    more = replace(chains[-1], chain_id="more", name="Top 2")
    state = replace(state, plugged=replace(state.plugged, chains=(*chains, more)))
    alike = state.with_(state.of(LeftAt).with_duty("more", 0.5))
    assert {one.name: one.value for one in left_at(alike)} == {"front": 0.5, "Top 2": 0.5, "fans": 0.5, "fan": 0.5}
    refuse_duty_name(alike, "fans", table=False)
    state = state.with_(state.of(LeftAt).with_duty("more", 0.8))
    assert {one.name for one in left_at(state)} == {"front", "Top 2"}
    with pytest.raises(InputError, match=r"left at different duties\. Type the name of each: front, Top 2"):
        refuse_duty_name(state, "fans", table=False)
    one = read_reading("warm 36 air 22 top 2 80% front 50 %", 0.0, ["front", "Top 2"])
    assert one.duties == (Named(name="top 2", value=0.8), Named(name="front", value=0.5))


def test_joints_are_looked_at_while_hot_and_nothing_but_dry_is_dry() -> None:
    book, _, clock = new_book()
    build = soaking(book, clock)
    clock.run(3700)
    work, hand = book.work(Soaks), SoakFlow(book, build).hand
    with pytest.raises(NotAllowed, match="nothing was read in this soak yet"):
        work.do_step(build, JOINTS_HOT)
    work.read(build, (SoakReading(elapsed_s=0.0, air_k=AIR_K, warm_k=AIR_K + 0.3),))
    with pytest.raises(NotAllowed, match="a cold joint proves nothing"):
        work.do_step(build, JOINTS_HOT)
    work.read(build, course(60)[1:])
    hand.refresh()
    for line in ("pump damp", "all wet", "all dry but pump", "all dry # pump weeps"):
        before = len(book.entries(build))
        try:
            deed = look_deed(hand, line)
        except CommissionError:
            continue
        assert "dry" not in deed.told.split(":")[1], line
        assert len(book.entries(build)) == before


def test_what_a_pass_cannot_vouch_for_is_told() -> None:
    """A part that stands in air is no chip, and 12 minutes without a reading are longer than the shortest window."""
    read = tuple(
        replace(one, components=(Named(name="ssd", value=AIR_K + 2.0),))
        for one in course(60)
        if not 1200 < one.elapsed_s < 1920
    )
    verdict = judged(read)
    assert verdict.outcome is Outcome.PASS
    assert {"colder_in_air", "nothing_read_for"} < {reason.code for reason in verdict.reasons}
