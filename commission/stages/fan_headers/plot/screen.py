"""The fan headers, with the sweep of a chain as it is read; the board itself is read beside the event loop."""

from collections.abc import Callable
from typing import TYPE_CHECKING

from textual import on
from textual.message import Message
from textual.widget import Widget
from textual.worker import Worker, WorkerState

from commission.base.errors import CommissionError, Damaged, NotConfirmed
from commission.record.logbook import Logbook
from commission.record.machine.board_sensors import BoardReading
from commission.stages.fan_headers.card.headers import HeadersFlow
from commission.stages.fan_headers.plot.sweep_plot import SweepPlot
from commission.ui.screens.flow_screen import FlowScreen
from commission.ui.screens.not_confirmed import NotConfirmedScreen

if TYPE_CHECKING:
    from commission.stages.fan_headers.model.sweep import SweepPicture

LOOK_S = 1.0
"""How often the board is read while a sweep is read live [s]; which readings count is told from their times."""


def _open_board() -> Callable[[], BoardReading]:
    from commission.bootstrap import hwmon_board

    return hwmon_board().read


class FanHeadersScreen(FlowScreen):
    """Headers, chains, what sits where, and sweep after sweep."""

    help_key = "fan_headers"

    class Looked(Message):
        """The board was read."""

        def __init__(self, reading: BoardReading) -> None:
            super().__init__()
            self.reading = reading

    def __init__(self, book: Logbook, build_id: str) -> None:
        super().__init__(build_id)
        self.flow: HeadersFlow = HeadersFlow(book, build_id)
        self._drawn: SweepPicture | None = None
        self._read: Callable[[], BoardReading] | None = None
        self._looking = False

    def plot(self) -> Widget:
        """Return the plot of speed over duty."""
        self._plot = SweepPlot()
        return self._plot

    def on_mount(self) -> None:
        """Look at the board as long as a sweep is read live."""
        self.set_interval(LOOK_S, self._look)

    def show(self) -> None:
        """Show the card and the sweep."""
        super().show()
        picture, minimum = self.flow.picture
        if picture is not self._drawn:
            self._plot.show_picture(picture, minimum)
            self._drawn = picture

    # --- the board -------------------------------------------------------------------------------------------

    def _look(self) -> None:
        """Read the board in a thread, unless the reading before has not come back yet."""
        if self._looking or not self.flow.listens:
            return
        self._looking = True
        self.run_worker(self._read_board, thread=True, group="board", exit_on_error=False)

    def _read_board(self) -> None:
        if self._read is None:
            self._read = _open_board()
        self.post_message(self.Looked(self._read()))

    def on_worker_state_changed(self, event: Worker.StateChanged) -> None:
        """Let the next reading begin; one that failed altogether ends reading live."""
        if event.worker.group != "board" or event.state not in (
            WorkerState.SUCCESS,
            WorkerState.ERROR,
            WorkerState.CANCELLED,
        ):
            return
        self._looking = False
        if event.state is WorkerState.ERROR:
            self.flow.sweeping.live.end()
            self.show()
            self.card.line.refuse(f"the board cannot be read any more ({event.worker.error}); type the readings")

    @on(Looked)
    def looked(self, event: Looked) -> None:
        """Take what was read, and store the level where it is done."""
        event.stop()
        if not self.flow.listens:
            return
        try:
            done = self.flow.hear(event.reading)
        except (NotConfirmed, Damaged) as error:
            self.bench.push_screen(NotConfirmedScreen(str(error)))
        except CommissionError as error:
            self.card.line.refuse(str(error))
        else:
            self.show()
            if done:
                self.card.line.accepted(done)
