"""The question what powers the pump, as it is typed: in the fill, in the bleed, and said again where it changes."""

import pytest

from commission.base.errors import InputError, NotAllowed
from commission.base.pump_supply import PumpSupply
from commission.stages.bleed.card.bleed import BleedFlow
from commission.stages.bleed.card.bleed import Phase as BleedPhase
from commission.stages.fill.card.fill import FillFlow, Phase
from commission.stages.fill.work.fills import Fills
from commission.stages.first_power.work.first_power import FirstPower
from tests.power_builds import rails, supply
from tests.stages.fill.screen.coolant_bench import bleeding, filled, held, pouring
from tests.ui.bench import asked, led


def withdrawn(book: object, build: str) -> None:
    """Take the choice of the bench back, so that it is asked."""
    from commission.record.logbook import Logbook
    from commission.stages.fill.entries import PumpSupplyChosen

    assert isinstance(book, Logbook)
    seq = next(entry.seq for entry in book.entries(build) if isinstance(entry.payload, PumpSupplyChosen))
    book.withdraw(seq, "not asked yet")


def test_the_fill_asks_first_and_takes_no_silence_for_an_answer() -> None:
    book, _, _, build = held()
    withdrawn(book, build)
    flow = FillFlow(book, build)
    assert flow.phase is Phase.PUMP_SUPPLY
    assert "own or bridged" in asked(flow)
    prompt = flow.now()
    # grey text in the line that reads like an answer would be taken for what Enter does
    assert prompt is not None
    assert prompt.proposal is None
    assert prompt.placeholder == "type own or bridged"
    for text in ("", "yes", "both"):
        with pytest.raises(InputError, match="own"):
            flow.answer(text)
    assert "its own" in flow.answer("own")
    assert FillFlow(book, build).phase is Phase.CAUTIONS
    assert book.build(build).pump_supply is PumpSupply.OWN


def test_bridged_is_refused_with_what_it_waits_for_and_go_leads_there() -> None:
    book, _, _, build = held()
    withdrawn(book, build)
    flow = FillFlow(book, build)
    with pytest.raises(NotAllowed, match="supply alone"):
        flow.answer("bridged")
    led(flow, ["go"])
    assert flow.go == "first_power"
    supply(book, build)
    book.work(FirstPower).read_rails(build, rails())
    flow.refresh()
    led(flow, ["Bridged"])
    assert book.build(build).pump_supply is PumpSupply.BRIDGED


def test_the_bleed_asks_where_the_fill_did_not_and_where_the_bridge_is_not_proven_any_more() -> None:
    book, _, _, build = filled()
    supply(book, build)
    book.work(FirstPower).read_rails(build, rails())
    book.work(Fills).choose_pump_supply(build, PumpSupply.BRIDGED)
    supply(book, build, "CPU")
    flow = BleedFlow(book, build)
    assert flow.phase is BleedPhase.PUMP_SUPPLY
    assert "only after" in asked(flow)
    led(flow, ["own"])
    assert flow.phase is not BleedPhase.PUMP_SUPPLY


def test_another_supply_is_said_while_one_pours_and_while_one_bleeds() -> None:
    for made, flow_of in ((pouring, FillFlow), (bleeding, BleedFlow)):
        book, _, _, build = made()
        flow = flow_of(book, build)
        with pytest.raises(NotAllowed, match="recorded already"):
            flow.answer("supply own")
        with pytest.raises(NotAllowed, match="cables unplugged"):
            flow.answer("supply bridged")
        supply(book, build)
        book.work(FirstPower).read_rails(build, rails())
        flow.refresh()
        assert "bridged" in flow.answer("supply bridged")
        assert [line.text for line in flow.content().cautions if "Plug in only while the pump runs" in line.text]
        led(flow, [""])  # the caution of the other arrangement is asked at once
        supply(book, build, "CPU")
        flow.refresh()
        if flow_of is BleedFlow:
            with pytest.raises(NotAllowed, match="only after"):
                flow.answer("30 min 4 mL few quiet")
