"""The connector tables that ship with the program."""

import tomllib
from functools import cache
from pathlib import Path

from commission.procedure.pins import Connector, Net, Pin, Wire


@cache
def connectors() -> tuple[Connector, ...]:
    """Return every connector that the program knows, each with the source of its table."""
    text = Path(__file__).with_name("connectors.toml").read_text(encoding="utf-8")
    return tuple(
        Connector(
            id=table["id"],
            title=table["title"],
            pins=tuple(_pin(pin) for pin in table["pins"]),
            source=table["source"],
            note=table["note"],
        )
        for table in tomllib.loads(text)["connectors"]
    )


def _pin(text: str) -> Pin:
    name, _, net = text.partition(" ")
    return Pin(name=name, net=Net(net))


def one_to_one(plug: Connector) -> tuple[Wire, ...]:
    """Return the map of a cable whose supply end has the same pins in the same places."""
    return tuple(Wire(load=pin.name, supply=pin.name) for pin in plug.pins if pin.net is not Net.UNUSED)


def as_connector(name: str) -> str:
    """Return the id of the connector that a name is, with a blank or nothing in place of its hyphens; else the name.

    >>> as_connector("24 pin"), as_connector("CPU 8pin"), as_connector("24 pin spare")
    ('24-pin', 'cpu-8-pin', '24 pin spare')
    """
    return {_run_together(one.id): one.id for one in connectors()}.get(_run_together(name), name)


def _run_together(name: str) -> str:
    return "".join(name.replace("-", " ").split()).casefold()
