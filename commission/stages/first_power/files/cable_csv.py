"""The pin map of a cable from a small file: pin at the load end, pin at the supply end."""

from commission.base.errors import FileError
from commission.base.text import clip
from commission.instruments.table_csv import Heading, read_table
from commission.instruments.text_lines import Source
from commission.procedure.pins import Connector, Net, Wire

COLUMNS = (Heading(name="load"), Heading(name="supply"))
"""Columns of a pin map."""


def read_pin_map(source: Source, plug: Connector) -> tuple[Wire, ...]:
    r"""Return the wires that a file names.

    Parameters
    ----------
    source
        Its path, ``-`` for standard input, its bytes, or its lines one by one.

    Returns
    -------
    tuple
        Wires in the order of the file.

    Raises
    ------
    FileError
        If a pin is not one of the connector, a wire stands twice, or a pin that carries something has no wire.

    Examples
    --------
    >>> from commission.procedure.pins import Connector, Net, Pin
    >>> pins = (Pin(name="1", net=Net.COM), Pin(name="2", net=Net.V12))
    >>> plug = Connector(id="x", title="plug", pins=pins, source="", note="")
    >>> [(wire.load, wire.supply) for wire in read_pin_map(b"load,supply\n1,4\n2,3\n", plug)]
    [('1', '4'), ('2', '3')]
    """
    wires: list[Wire] = []
    known = {pin.name.casefold(): pin.name for pin in plug.pins if pin.net is not Net.UNUSED}
    for row in read_table(source, COLUMNS).rows:
        load, supply = known.get(row.cells["load"].casefold()), row.cells["supply"]
        if load is None:
            pins = ", ".join(known.values())
            said = f"{clip(row.cells['load'])} is not a pin of the {plug.title} that carries something; pins are {pins}"
            raise FileError(said, line=row.line, field="load")
        if not supply or len(supply) > 8:
            said = f"{clip(supply)} is no pin; write its number at the supply end"
            raise FileError(said, line=row.line, field="supply")
        wire = Wire(load=load, supply=supply)
        if wire in wires:
            raise FileError(f"the wire from pin {load} to pin {supply} stands twice; keep one", line=row.line)
        wires.append(wire)
    bare = [pin for pin in known.values() if pin not in {wire.load for wire in wires}]
    if bare:
        raise FileError(f"no wire goes to pin {', '.join(bare)} of the {plug.title}; add each with its other end")
    return tuple(wires)
