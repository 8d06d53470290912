"""Pin tables against the published ones, pin by pin, each with a source and a warning beside it."""

import pytest

from commission.procedure.connectors import connectors, one_to_one
from commission.procedure.pins import Net
from commission.stages.first_power.model.cables import CABLE_CAUTION
from tests.plugs import connector


def row(pins: str, net: str) -> dict[str, str]:
    """Pins that carry the same, as a table's row."""
    return dict.fromkeys(pins.split(), net)


# Every pin, typed from the published table by rows of the plug as it is drawn there, not from the file under test.
PUBLISHED: dict[str, dict[str, str]] = {
    # Intel microATX motherboard interface specification 1.2, fig. 8, p. 19, both columns. Status: read. The ATX version
    # 3 design guide has the plug as table 5-1; its title was read, its cells were not.
    "24-pin": {
        **row("1 2 12 13", "+3.3 V"),
        **row("4 6 21 22 23", "+5 V"),
        **row("10 11", "+12 V"),
        **row("3 5 7 15 17 18 19 24", "COM"),
        "8": "PWR_OK", "9": "+5 V standby", "14": "-12 V", "16": "PS_ON#", "20": "not connected",
    },
    # Intel ATX version 3 design guide, table 5-8. Status: read.
    "cpu-4-pin": {**row("1 2", "COM"), **row("3 4", "+12 V")},
    # SSI EPS12V 2.92, not read. Status: second-hand, two pin lists, which agree; one gives pins 1 to 4 only.
    "cpu-8-pin": {**row("1 2 3 4", "COM"), **row("5 6 7 8", "+12 V")},
    # Intel ATX version 3 design guide, rev 2.1a, table 5-4. Status: read.
    "pcie-6-pin": {**row("1 2 3", "+12 V"), **row("4 6", "COM"), "5": "sense, wired to COM"},
    # The same, table 5-5. Status: read.
    "pcie-6+2-pin": {
        **row("1 2 3", "+12 V"),
        **row("5 7 8", "COM"),
        **row("4 6", "sense, wired to COM"),
    },
    # The same, table 5-7: six of +12 V, six of COM, four sideband. Status: read.
    "12-way": {
        **row("1 2 3 4 5 6", "+12 V"),
        **row("7 8 9 10 11 12", "COM"),
        **row("S1 S2 S3 S4", "sideband"),
    },
}  # fmt: skip


def test_every_connector_has_a_published_table_here() -> None:
    assert {each.id for each in connectors()} == set(PUBLISHED)


@pytest.mark.parametrize("which", PUBLISHED)
def test_every_pin_is_where_the_published_table_has_it(which: str) -> None:
    assert {pin.name: str(pin.net) for pin in connector(which).pins} == PUBLISHED[which]


def test_the_bridge_of_a_supply_has_com_on_both_sides_of_it_and_nothing_else() -> None:
    """PS_ON# is pin 16, COM 15, 17, 18, 19, 24: microATX specification 1.2, fig. 8; ATX version 3 guide, 4.3.3."""
    main = connector("24-pin")
    assert {pin.name for pin in main.pins if pin.net is Net.COM} == {"3", "5", "7", "15", "17", "18", "19", "24"}
    assert (main.net("16"), main.net("17")) == (Net.POWER_ON, Net.COM)
    assert (main.net("18"), main.net("14"), main.net("4")) == (Net.COM, Net.MINUS_12, Net.V5)


def test_processor_and_graphics_plugs_have_their_rows_the_other_way_round() -> None:
    # Source: Intel ATX version 3 design guide, rev 2.1a, tables 5-5 and 5-8; the processor 8-pin second-hand.
    processor, graphics = connector("cpu-8-pin"), connector("pcie-6+2-pin")
    assert {processor.net(n) for n in "1234"} == {Net.COM}
    assert {graphics.net(n) for n in "123"} == {Net.V12}


def test_a_table_that_was_not_read_says_so_and_none_is_stretched_to_another_plug() -> None:
    said = {each.id: each.source for each in connectors()}
    assert "second-hand" in said["cpu-8-pin"]
    assert "not read" in said["cpu-8-pin"]
    assert not [each for each in said.values() if "by extension" in each or "independent secondary" in each]


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
