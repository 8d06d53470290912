"""Beside the card of the fan headers: the sweep of a chain as it is read, and the board, read beside the event loop."""

from collections.abc import Callable

from textual import on
from textual.message import Message
from textual.widget import Widget
from textual.worker import Worker, WorkerState

from commission.base.errors import CommissionError, Damaged, NotConfirmed
from commission.bench.ask import Flow
from commission.record.machine.board_sensors import BoardReading
from commission.stages.fan_headers.card.headers import HeadersFlow
from commission.stages.fan_headers.plot.sweep_plot import SweepPlot
from commission.ui.screens.base import BenchScreen
from commission.ui.screens.beside import Beside
from commission.ui.screens.not_confirmed import NotConfirmedScreen

LOOK_S = 1.0
"""How often the board is read while a sweep is read live [s]; which readings count is told from their times."""


def _open_board() -> Callable[[], BoardReading]:
    from commission.bootstrap import hwmon_board

    return hwmon_board().read


class SweepBeside(Beside):
    """Sweep after sweep."""

    def __init__(self, flow: Flow) -> None:
        assert isinstance(flow, HeadersFlow)
        self.flow = flow
        self.plot: SweepPlot = SweepPlot()

    def mounted(self, screen: BenchScreen) -> None:
        """Look at the board as long as a sweep is read live."""
        screen.mount(BoardLooks(self.flow, screen))

    def shown(self) -> None:
        """Draw the sweep."""
        picture, minimum = self.flow.picture
        if self.new(picture):
            self.plot.show_picture(picture, minimum)


class BoardLooks(Widget):
    """Reads the board while a sweep is read live; nothing of it is seen."""

    DEFAULT_CSS = "BoardLooks { display: none; }"

    class Looked(Message):
        """The board was read."""

        def __init__(self, reading: BoardReading) -> None:
            super().__init__()
            self.reading = reading

    def __init__(self, flow: HeadersFlow, at: BenchScreen) -> None:
        super().__init__()
        self.flow = flow
        self.at = at
        self._read: Callable[[], BoardReading] | None = None
        self._looking = False

    def on_mount(self) -> None:
        """Look again and again."""
        self.set_interval(LOOK_S, self._look)

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
            self.at.reload()
            self.at.typed.refuse(f"the board cannot be read any more ({event.worker.error}); type the readings")

    @on(Looked)
    def looked(self, event: Looked) -> None:
        """Take what was read, and store the level where it is done."""
        event.stop()
        if not self.flow.listens:
            return
        try:
            done = self.flow.hear(event.reading)
        except (NotConfirmed, Damaged) as error:
            self.at.bench.push_screen(NotConfirmedScreen(str(error)))
        except CommissionError as error:
            self.at.typed.refuse(str(error))
        else:
            self.at.reload()
            if done:
                self.at.typed.accepted(done)
