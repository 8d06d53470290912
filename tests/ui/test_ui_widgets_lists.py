"""The builds of the workshop and the record of one of them."""

from collections.abc import Sequence

from textual import on
from textual.app import App, ComposeResult

from commission.bench.entry_row import EntryRow
from commission.ui.theme import dress
from commission.ui.widgets.build_list import BuildList, BuildRow
from commission.ui.widgets.entry_table import EntryTable
from commission.ui.widgets.row_list import BLOCK, BLOCKS_KEPT
from tests.ui.pictures import text_of


class Record:
    """A record of any length that remembers what was asked of it."""

    def __init__(self, count: int) -> None:
        self.length = count
        self.asked: list[tuple[int, int]] = []

    def count(self) -> int:
        return self.length

    def fetch(self, start: int, stop: int) -> Sequence[EntryRow]:
        self.asked.append((start, stop))
        return [
            EntryRow(
                seq=i + 1,
                when="2031-04-05 10:22",
                who="Ada",
                kind="reading taken",
                what=f"gauge {500 - i / 1000:g} mbar",
                withdrawn=i % 7 == 3,
            )
            for i in range(start, stop)
        ]


class RecordApp(App[None]):
    """The record alone."""

    def __init__(self, count: int) -> None:
        super().__init__()
        self.record = Record(count)
        self.chosen: list[int] = []

    def compose(self) -> ComposeResult:
        yield EntryTable()

    @property
    def table(self) -> EntryTable:
        return self.query_one(EntryTable)

    def on_mount(self) -> None:
        dress(self)
        self.table.show(self.record, empty="Nothing was entered yet.")

    @on(EntryTable.Chosen)
    def _chosen(self, event: EntryTable.Chosen) -> None:
        self.chosen.append(event.row.seq)


async def test_a_hundred_thousand_entries_are_fetched_only_where_they_are_seen() -> None:
    app = RecordApp(100_000)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        app.table.action_last()
        await pilot.pause()
        assert "\n>100000  " in text_of(app)
        app.table.action_page(-100_000)
        await pilot.pause()
        assert "\n>     1  " in text_of(app)
        assert sum(stop - start for start, stop in app.record.asked) <= 6 * BLOCK
        assert all(stop - start <= BLOCK for start, stop in app.record.asked)


async def test_blocks_that_were_scrolled_past_are_forgotten() -> None:
    app = RecordApp(100_000)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        for number in range(0, 100_000, 997):
            app.table.row_at(number)
        assert len(app.table._blocks) <= BLOCKS_KEPT


async def test_the_heading_stays_while_the_rows_scroll() -> None:
    app = RecordApp(500)
    async with app.run_test(size=(80, 24)) as pilot:
        app.table.action_page(1)
        app.table.action_page(1)
        await pilot.pause()
        lines = text_of(app).split("\n")
        assert lines[0].split() == ["entry", "entered", "kind", "what"]
        assert lines[1].split()[0] == "25"


async def test_a_withdrawn_entry_says_so_in_a_word() -> None:
    app = RecordApp(10)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        row = next(line for line in text_of(app).split("\n") if line.strip().startswith("4 "))
        assert "WITHDRAWN · gauge" in row
        assert text_of(app).count("WITHDRAWN") == 1


async def test_the_cursor_is_moved_and_a_click_on_it_chooses() -> None:
    app = RecordApp(100)
    async with app.run_test(size=(80, 24)) as pilot:
        app.table.action_move(2)
        assert app.table.row is not None
        assert app.table.row.seq == 3
        await pilot.click(EntryTable, offset=(10, 6))
        assert app.chosen == []
        assert app.table.cursor == 5
        await pilot.click(EntryTable, offset=(10, 6))
        assert app.chosen == [6]
        assert app.focused is None
        await pilot.click(EntryTable, offset=(10, 0))
        assert app.table.cursor == 5


async def test_an_empty_record_says_so_and_has_no_row() -> None:
    app = RecordApp(0)
    async with app.run_test(size=(80, 24)) as pilot:
        app.table.action_last()
        await pilot.click(EntryTable, offset=(10, 1))
        assert app.chosen == []
        assert app.table.row is None
        assert "Nothing was entered yet." in text_of(app)


async def test_a_shrinking_list_keeps_its_cursor_on_a_row() -> None:
    app = RecordApp(100)
    async with app.run_test(size=(80, 24)) as pilot:
        app.table.action_last()
        app.table.show(Record(5))
        await pilot.pause()
        assert app.table.cursor == 4


BUILDS = [
    BuildRow(key="b1", name="Heron", state="running", needs="read the gauge in 2:43", last="10:22"),
    BuildRow(key="b2", name="Wren", state="failed", needs="find the leak", last="yesterday"),
    BuildRow(key="b3", name="Kite", state="open", needs="describe the loop"),
]


async def test_the_builds_say_what_they_need_and_which_runs() -> None:
    class Home(App[None]):
        chosen = ""

        def compose(self) -> ComposeResult:
            yield BuildList()

        def on_mount(self) -> None:
            self.query_one(BuildList).show_rows(BUILDS)

        @on(BuildList.Chosen)
        def _chosen(self, event: BuildList.Chosen) -> None:
            self.chosen = event.row.key

    app = Home()
    async with app.run_test(size=(80, 24)) as pilot:
        app.query_one(BuildList).action_move(1)
        app.query_one(BuildList).show_rows(BUILDS[::-1])
        app.query_one(BuildList).action_choose()
        await pilot.pause()
        assert app.chosen == "b2"
        shown = text_of(app)
        for row in BUILDS:
            line = next(line for line in shown.split("\n") if row.name in line)
            assert row.state in line
            assert row.needs in line


async def test_no_build_yet_says_what_that_means() -> None:
    class Home(App[None]):
        def compose(self) -> ComposeResult:
            yield BuildList()

        def on_mount(self) -> None:
            self.query_one(BuildList).show_rows([], empty="No build yet: press N to open one.")

    app = Home()
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        assert "press N to open one" in text_of(app)


def test_each_state_of_a_build_that_wants_a_look_has_an_ink_of_its_own() -> None:
    shown = BuildList()
    inks = {
        state: shown.inks(BuildRow(key="b", name="Desk", state=state, needs=""))
        for state in ("running", "passed", "failed", "stale", "open", "locked")
    }
    assert (inks["open"], inks["locked"]) == ({}, {})
    told = [tuple(inks[state].items()) for state in ("running", "passed", "failed", "stale")]
    assert len(set(told)) == len(told)
