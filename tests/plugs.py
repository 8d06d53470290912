"""A connector by its short name, for the tests."""

from commission.procedure.connectors import connectors
from commission.procedure.pins import Connector


def connector(id_: str) -> Connector:
    """Return the connector of that short name; there must be one."""
    (found,) = (each for each in connectors() if each.id == id_)
    return found
