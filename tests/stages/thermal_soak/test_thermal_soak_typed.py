"""What a person types of a soak, and what a file holds of it: understood as meant, or refused in one line."""

import pytest

from commission.base.errors import CommissionError, FileError, InputError
from commission.physics.glycol import Glycol
from commission.stages.thermal_soak.files.soak_csv import read_soak
from commission.stages.thermal_soak.typed.plan import read_plan
from commission.stages.thermal_soak.typed.reading import EXAMPLE, read_reading

ZERO_C = 273.15
HEAD = b"elapsed [s],air [degC],warm [degC]\n"


def test_a_line_is_read_name_by_name() -> None:
    one = read_reading(EXAMPLE, 90.04)
    assert one.elapsed_s == 90.0
    assert (one.warm_k, one.cool_k, one.air_k) == pytest.approx((36.2 + ZERO_C, 34.5 + ZERO_C, 22 + ZERO_C))
    assert one.flow_m3_s == pytest.approx(200e-3 / 3600)
    assert one.load_w == 400.0
    assert [part.name for part in one.components] == ["cpu"]
    assert one.components[0].value == pytest.approx(71 + ZERO_C)
    assert [(chain.name, chain.value) for chain in one.duties] == [("fans", 0.5)]
    assert one.typed == EXAMPLE


def test_units_and_a_time_of_its_own() -> None:
    """97.7 degF are 36.5 degC (5/9 of 65.7); 3.2 L/min are 192 L/h; names may have more words."""
    one = read_reading("after 12 min cool 97.7 °F, air 22 °C graphics card 64 C flow 3.2 L/min load 0.4 kW", 5.0)
    assert one.elapsed_s == 720.0
    assert one.cool_k == pytest.approx(36.5 + ZERO_C)
    assert one.flow_m3_s == pytest.approx(192e-3 / 3600)
    assert one.load_w == 400.0
    assert one.components[0].name == "graphics card"


def test_a_bare_number_behind_flow_and_load_is_no_temperature() -> None:
    one = read_reading("warm 36 cool 34.5 air 22 flow 200 load 400", 0.0)
    assert one.flow_m3_s == pytest.approx(200e-3 / 3600)
    assert (one.load_w, one.components) == (400.0, ())


@pytest.mark.parametrize(
    ("line", "told"),
    [
        ("", "type a reading"),
        ("warm 36", "air at the intake"),
        ("air 22", "type the coolant too"),
        ("air 22 warm 36 warm 37", "stands twice"),
        ("air 22 warm 36 71", "which part is meant"),
        ("air 22 warm", "has no number"),
        ("air 22 warm 36 cpu 71 12 min", "behind after"),
        ("air 22 warm 36 cpu 71 psi", "has no number"),
        ("air 22 warm 36 " + "x" * 50 + " 71", "too long a name"),
        ("wram 24.9 cool 23.5 air 22 cpu 45", '"wram": was warm meant'),
        ("warm 24.9 air 22 laod 40", "was load meant"),
        ("warm 24.9 air 22 fans 50", "fans 50 of what"),
    ],
)
def test_what_cannot_be_meant_is_refused(line: str, told: str) -> None:
    with pytest.raises(InputError, match=told):
        read_reading(line, 0.0)


def test_coolants() -> None:
    assert read_plan("").base is None
    plan = read_plan("Ethylene-Glycol 50 % by mass step 0.5 K")
    assert (plan.base, plan.mass_fraction, plan.resolution_k) == (Glycol.ETHYLENE, 0.5, 0.5)


@pytest.mark.parametrize("line", ["oil", "propylene glycol", "propylene glycol 70 %", "water step 5 K", "water step"])
def test_what_is_no_coolant_is_refused(line: str) -> None:
    with pytest.raises(CommissionError):
        read_plan(line)


def test_a_share_without_its_sign_is_told_what_it_lacks() -> None:
    with pytest.raises(InputError, match=r'"30" has no % sign; type the share by mass, such as propylene glycol 30 %'):
        read_plan("propylene glycol 30")


def test_a_table_with_gaps_components_and_duties() -> None:
    text = (
        b"# coolant: propylene glycol 30 %\n"
        b"elapsed [s];air [degC];cool [degC];component GPU core [degC];duty top fans [%];flow [L/h]\n"
        b"0;22,0;25,1;40;50;\n60;22,1;25,9;;50;180\n"
    )
    file = read_soak(text)
    first, second = file.readings
    assert file.coolant == "propylene glycol 30 %"
    assert [part.name for part in first.components] == ["gpu core"]
    assert second.components == ()
    assert first.flow_m3_s is None
    assert second.flow_m3_s == pytest.approx(180e-3 / 3600)
    assert first.duties[0].value == 0.5


@pytest.mark.parametrize(
    ("text", "told"),
    [
        (b"elapsed [s],air [degC]\n0,22\n", "lacks warm"),
        (HEAD + b"0,,36\n", "time or air is empty"),
        (HEAD + b"0,22,\n", "both empty"),
        (HEAD + b"0,22,400\n", "outside"),
        (b"elapsed [min],air [degC],warm [degC]\n0,22,36\n", "its unit is not"),
        (b"elapsed [s],air [degC],warm [degC],component cpu [K]\n0,22,36,300\n", "its unit is not"),
        (
            b"elapsed [s],air [degC],warm [degC],duty [%]\n0,22,36,40\n",
            r"whose it is; head it such as duty front \[%\]",
        ),
        (HEAD, "no row of readings"),
        (b"", "no header row"),
        (
            b"elapsed [s],air [degC],warm [degC]," + b",".join(b"duty f%d [%%]" % n for n in range(61)) + b"\n",
            "more than",
        ),
    ],
)
def test_a_table_that_is_none_is_refused(text: bytes, told: str) -> None:
    with pytest.raises(FileError, match=told):
        read_soak(text)
