"""Pin tables against the published counts, each with a source and a warning beside it."""

from collections import Counter

import pytest

from commission.domain.cables import CABLE_CAUTION, Net
from commission.domain.errors import UnknownName
from commission.procedure.connectors import connector, connectors, one_to_one


def test_the_main_plug_has_the_published_number_of_pins_of_each_rail() -> None:
    # Source: two independent secondary pin lists (2012, 2020), which agree. Status: read second-hand.
    nets = Counter(pin.net for pin in connector("24-pin").pins)
    assert (nets[Net.V3_3], nets[Net.V5], nets[Net.V12], nets[Net.COM]) == (4, 5, 2, 8)
    assert connector("24-pin").net("8") is Net.POWER_GOOD
    assert connector("24-pin").net("9") is Net.STANDBY
    assert connector("24-pin").net("14") is Net.MINUS_12
    assert connector("24-pin").net("16") is Net.POWER_ON
    assert connector("24-pin").net("20") is Net.UNUSED


def test_processor_and_graphics_plugs_have_their_rows_the_other_way_round() -> None:
    # Source: Intel ATX version 3 design guide, rev 2.1a, tables 5-4, 5-5, 5-8; processor pins 5-8 from memory.
    processor, graphics = connector("cpu-8-pin"), connector("pcie-6+2-pin")
    assert {processor.net(n) for n in "1234"} == {Net.COM}
    assert {processor.net(n) for n in "5678"} == {Net.V12}
    assert {graphics.net(n) for n in "123"} == {Net.V12}
    assert {graphics.net(n) for n in "578"} == {Net.COM}
    assert {graphics.net(n) for n in "46"} == {Net.SENSE}
    assert connector("pcie-6-pin").net("5") is Net.SENSE
    assert {connector("cpu-4-pin").net(n) for n in "12"} == {Net.COM}


def test_the_twelve_way_plug_has_six_pairs_and_four_sideband_pins() -> None:
    # Source: Intel ATX version 3 design guide, rev 2.1a, table 5-7. Status: read.
    nets = Counter(pin.net for pin in connector("12-way").pins)
    assert nets == {Net.V12: 6, Net.COM: 6, Net.SIDEBAND: 4}


def test_each_table_names_its_source_and_no_pin_twice() -> None:
    for each in connectors():
        assert len(each.source) > 20
        assert each.note
        assert len({pin.name for pin in each.pins}) == len(each.pins)
    assert "never carry a cable over" in CABLE_CAUTION
    assert "your supply's own pin map" in CABLE_CAUTION


def test_a_one_to_one_map_leaves_the_empty_pin_out() -> None:
    wires = one_to_one(connector("24-pin"))
    assert len(wires) == 23
    assert all(wire.load == wire.supply for wire in wires)
    assert "20" not in {wire.load for wire in wires}


def test_an_unknown_connector_lists_the_known_ones() -> None:
    with pytest.raises(UnknownName, match="24-pin, cpu-4-pin"):
        connector("molex")
