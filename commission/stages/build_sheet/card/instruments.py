"""The instruments of the workshop: described once, used by every build, retired with a reason."""

from commission.bench.instrument.form import InstrumentForm
from commission.bench.shelf import Shelf, ShelfFlow
from commission.procedure.model import Help
from commission.procedure.stage_ids import HOLD
from commission.record.logbook import Logbook
from commission.stages.build_sheet.rows import instrument_rows
from commission.units.worded import worded


def instruments_flow(book: Logbook) -> ShelfFlow:
    """Return what describes instruments and takes them out of use."""
    procedure = book.new_procedure

    def form(instrument_id: str) -> InstrumentForm:
        known = next((one for one in book.shop().instruments if one.instrument_id == instrument_id), None)
        return InstrumentForm(book, procedure.stage(HOLD), procedure.typical_instruments, known=known)

    return ShelfFlow(
        Shelf(
            word="instrument",
            title="meters of the workshop",
            proves="Know what reads the loop, how finely and how well: no verdict is better than its instruments.",
            help=lambda: Help(
                purpose="What the workshop reads with: step of the display, largest error, range. Readings are typed "
                "in the unit on the instrument's face.",
                good=worded(
                    "A gauge with a full scale of at most five times the test pressure and a resolution of 1 mbar or "
                    "finer. A thermometer that reads tenths, at the loop. A barometer at the bench."
                ),
                bad="A coarse gauge only needs a longer hold. Retire an instrument that fell, with a reason.",
            ),
            names=lambda: {one.instrument_id: one.name for one in book.shop().instruments},
            rows=lambda: instrument_rows(book.shop().instruments),
            form=form,
            retire=book.retire_instrument,
            first="a gauge at least; a thermometer and a barometer decide sooner",
            such="fell off the bench",
            again=True,
        )
    )
