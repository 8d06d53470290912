"""The bottles of the workshop: described once, poured into any build, retired with a reason."""

from commission.bench.shelf import Shelf, ShelfFlow
from commission.procedure.model import Help
from commission.record.logbook import Logbook
from commission.stages.fill.card.bottle_form import BottleForm
from commission.stages.fill.rows.bottle import bottle_row
from commission.stages.fill.work.fills import Fills


def bottles_flow(book: Logbook) -> ShelfFlow:
    """Return what describes bottles and takes them out of use."""
    work = book.work(Fills)
    return ShelfFlow(
        Shelf(
            word="bottle",
            title="commission · bottles",
            proves="Know what there is to add, what the labels say, and what is left as logged.",
            help=lambda: Help(
                purpose="Every container of coolant or water, with what its label says. Each amount names its bottle, "
                "so the log knows what is in the loop and what is left.",
                good="Glycol content always by mass or by volume. For a ready mix, the density of its data sheet. The "
                "lot, so that a later top-up can be of the same.",
                bad="A bottle without a label is unknown: what it goes into has no known glycol content. Retire an "
                "empty one, with a reason. Withdraw a wrong label in the log, with a reason, and type it again.",
            ),
            names=lambda: {one.bottle_id: one.name for one in work.bottles},
            rows=lambda: tuple(bottle_row(book, one) for one in work.bottles),
            form=lambda _: BottleForm(book),
            retire=work.retire_bottle,
            first="one for each kind and lot of coolant, and one for the water",
            such="empty, handed in as waste",
            proposal="empty",
        )
    )
