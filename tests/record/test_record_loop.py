"""The loop's volume, its weakest part and what should not be put together."""

import math

import pytest

from commission.procedure.load import default_toml, load_procedure
from commission.record.machine.instrument import Instrument, InstrumentKind
from commission.record.machine.loop import (
    gauge_too_coarse,
    gauge_too_short,
    mixed_metals,
    too_much_pressure,
    volume_from_parts,
    weakest_part,
)
from commission.record.machine.parts import Material, Part, PartKind, tube_volume


def part(name: str, millilitres: float, u: float = 0.0, **more: object) -> Part:
    values: dict[str, object] = {"kind": PartKind.OTHER, "part_id": name} | more
    return Part(name=name, volume_m3=millilitres * 1e-6, u_volume_m3=u * 1e-6, **values)  # type: ignore[arg-type]


def test_independent_uncertainties_add_in_quadrature() -> None:
    # Worked sum: tube 196.3495 ± 4.2295, reservoir 424.1150 ± 3.9986, radiator 202.9852 ± 30.4478, CPU 12 ± 3,
    # GPU 30 ± 8, pump 45 ± 10 mL -> 910.450 ± 33.674 mL (k = 1). Rule: JCGM 100:2008 5.1.2; sum computed by hand.
    parts = [
        part("tube", 196.3495, 4.2295),
        part("reservoir", 424.1150, 3.9986),
        part("radiator", 202.9852, 30.4478),
        part("cpu", 12, 3),
        part("gpu", 30, 8),
        part("pump", 45, 10),
    ]
    volume = volume_from_parts(parts)
    assert volume is not None
    assert volume.volume_m3 * 1e6 == pytest.approx(910.450, abs=5e-4)
    assert volume.u_volume_m3 * 1e6 == pytest.approx(33.674, abs=5e-4)


def test_typical_values_of_the_same_kind_may_all_err_the_same_way() -> None:
    # JCGM 100:2008 5.2.2: fully correlated contributions add linearly.
    three = [part(f"r{n}", 300, 50, kind=PartKind.RADIATOR, assumed=("volume",), part_id=f"r{n}") for n in range(3)]
    volume = volume_from_parts([*three, part("pump", 40, 20)])
    assert volume is not None
    assert volume.u_volume_m3 * 1e6 == pytest.approx(math.hypot(150, 20))


def test_no_parts_give_no_volume() -> None:
    assert volume_from_parts([]) is None


def test_typical_parts_do_not_exclude_just_under_two_litres() -> None:
    # Trade fact (common practice, no source): three 360 mm radiators, two blocks, a reservoir and tubes take just
    # under 2 L.
    typical = {item.name: item for item in load_procedure(default_toml()).typical_parts}
    names = ["radiator 360 mm"] * 3 + ["CPU block", "GPU block", "tube reservoir", "pump and its top"]
    names += ["fittings, a dozen", "tube", "tube"]
    parts = [
        part(
            f"{number} {name}",
            typical[name].volume_m3 * 1e6,
            typical[name].spread_m3 * 1e6 / math.sqrt(3),
            kind=PartKind(typical[name].kind),
            assumed=("volume",),
        )
        for number, name in enumerate(names)
    ]
    volume = volume_from_parts(parts)
    assert volume is not None
    assert volume.volume_m3 - 2 * volume.u_volume_m3 < 1.95e-3 < volume.volume_m3 + 2 * volume.u_volume_m3


@pytest.mark.parametrize(
    ("diameter_mm", "length_mm", "millilitres"),
    [(10, 1000, 78.5398), (13, 1000, 132.7323), (12, 250, 28.2743)],  # π/4·d²·l with π to 7 digits, by hand
)
def test_a_tube_holds_its_bore_times_its_length(diameter_mm: float, length_mm: float, millilitres: float) -> None:
    assert tube_volume(diameter_mm / 1000, length_mm / 1000) * 1e6 == pytest.approx(millilitres, rel=1e-5)


@pytest.mark.parametrize(("diameter", "length"), [(0, 1), (1, 0), (-1, 1), (math.nan, 1), (math.inf, 1)])
def test_a_tube_without_size_is_refused(diameter: float, length: float) -> None:
    with pytest.raises(ValueError, match="above 0"):
        tube_volume(diameter, length)


@pytest.mark.parametrize("noble", [Material.COPPER, Material.BRASS, Material.NICKEL])
def test_bare_aluminium_beside_a_nobler_metal_is_warned_of(noble: Material) -> None:
    found = mixed_metals(
        [part("old radiator", 1, materials=(Material.BARE_ALUMINIUM,)), part("block", 1, materials=(noble,))]
    )
    assert found is not None
    assert "old radiator" in found.template
    assert "block" in found.template


@pytest.mark.parametrize(
    "materials", [(Material.BARE_ALUMINIUM,), (Material.COPPER, Material.BRASS), (Material.ANODISED_ALUMINIUM,), ()]
)
def test_metals_that_go_together_are_not_warned_of(materials: tuple[Material, ...]) -> None:
    assert mixed_metals([part("a", 1, materials=materials)]) is None


def test_braces_in_a_name_stay_text() -> None:
    found = mixed_metals([part("{0}", 1, materials=(Material.BARE_ALUMINIUM, Material.COPPER))])
    assert found is not None
    assert "{0}" in found.template.format()


def test_the_weakest_part_sets_the_highest_test_pressure() -> None:
    parts = [part("block", 1, max_gauge_pa=100e3), part("plate", 1, max_gauge_pa=50e3), part("unknown", 1)]
    weakest = weakest_part(parts)
    assert weakest is not None
    assert weakest.name == "plate"
    assert too_much_pressure(parts, 50e3) is None
    above = too_much_pressure(parts, 50e3 + 1)
    assert above is not None
    assert [amount.si for amount in above.amounts] == [50e3 + 1, 50e3]


def gauge(high_pa: float, kind: InstrumentKind = InstrumentKind.GAUGE) -> Instrument:
    return Instrument(
        instrument_id="g", kind=kind, name="g", unit="mbar", resolution=100, accuracy=0, low=0, high=high_pa
    )


def test_a_gauge_may_reach_five_times_the_test_pressure_and_no_more() -> None:
    # US residential fuel-gas code G2417 (second-hand): full scale at most 5 times the test pressure.
    assert gauge_too_coarse(gauge(250e3), 50e3, 5) is None
    assert gauge_too_coarse(gauge(250e3 + 1), 50e3, 5) is not None
    assert gauge_too_coarse(gauge(1e6, InstrumentKind.ABSOLUTE_GAUGE), 50e3, 5) is None


def test_a_gauge_that_ends_below_the_test_pressure_is_warned_of() -> None:
    assert gauge_too_short(gauge(50e3), 50e3) is None
    assert gauge_too_short(gauge(50e3 - 1), 50e3) is not None
