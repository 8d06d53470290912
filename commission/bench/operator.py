"""Who works from now on, wherever that is asked."""

from commission.bench.deed import Deed
from commission.record.logbook import Logbook


def operator_deed(book: Logbook, name: str) -> Deed:
    """Return what naming whoever works from now on does."""

    def do() -> str:
        book.name_operator(name)
        return f'"{book.shop().operator}" works from now on'

    return Deed(told=name, do=do)
