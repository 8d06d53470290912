"""Every kind of entry says what it is about."""

import pytest
from hypothesis import given, settings

from commission.base.frozen import replace
from commission.base.quantity import Measured, Quantity
from commission.base.text import fold
from commission.record.entries import FindingRaised, InstrumentAdded, InstrumentMissing, Withdrawn
from commission.record.machine.instrument import InstrumentKind
from commission.record.mishap import Mishap, WentWrong
from commission.record.payload import Payload
from commission.stages.build_sheet.entries import PartAdded
from commission.stages.pressure_hold.entries import HoldPlanned, ReadingTaken
from tests.holds import GAUGE, PLAN, RADIATOR
from tests.registered import tell
from tests.storage.making import PAYLOADS


@given(PAYLOADS)
@settings(max_examples=200)
def test_any_entry_that_can_be_stored_can_be_told(payload: Payload) -> None:
    told, plain = tell(payload), fold(tell(payload))
    assert isinstance(told, str)
    # what a person typed stays as it is; only our own signs are written in other letters
    assert not set("·⁻²³°±") & set(plain) or set("·⁻²³°±") & set(repr(payload))


FIVE_ML = Measured(quantity=Quantity.VOLUME, si=5e-6, typed="5 mL")
READ = ReadingTaken(
    attempt=1,
    pressure=Measured(quantity=Quantity.GAUGE_PRESSURE, si=49_750.0, typed="497,5 mbar"),
    air=None,
    barometer=None,
    note="quiet",
)


@pytest.mark.parametrize(
    ("payload", "told"),
    [
        (READ, "gauge 497,5 mbar, quiet"),
        (PartAdded(part=RADIATOR), "radiator top radiator, 1200 mL ± 60 mL, 1000 mbar"),
        (PartAdded(part=replace(RADIATOR, max_gauge_pa=None)), "radiator top radiator, 1200 mL ± 60 mL, no rating"),
        (InstrumentAdded(instrument=replace(GAUGE, unit="no unit")), "gauge bench gauge, step 0.1 mbar"),
        (InstrumentMissing(kind=InstrumentKind.BAROMETER), "no barometer in the workshop"),
        (Withdrawn(target=7, reason="typed 5 for 4"), "entry 7: typed 5 for 4"),
        (
            FindingRaised(finding_id="x", stage="pressure_hold", attempt=1, where="seal", part_id=None, note="dry"),
            "seal: dry",
        ),
        (
            WentWrong(
                mishap_id="m", what=Mishap.SPILL, where="bench", seen="a puddle", from_bottle=True, amount=FIVE_ML
            ),
            "spill from the bottle, bench: a puddle; about 5 mL",
        ),
        (
            WentWrong(mishap_id="m", what=Mishap.LEAK, where="lower port", seen="drips", on_electronics=True),
            "leak, lower port: drips; electronics got wet",
        ),
    ],
)
def test_an_entry_tells_its_figures_as_a_person_reads_them(payload: Payload, told: str) -> None:
    assert tell(payload) == told


def test_a_plan_is_told_with_its_limit() -> None:
    told = tell(HoldPlanned(attempt=2, plan=PLAN))
    assert told.startswith("attempt 2: ")
    assert "limit 0.01 mbar·L/s" in told
    assert fold(told).isascii()
