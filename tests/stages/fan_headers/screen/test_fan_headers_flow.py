"""Headers and chains line by line: the sheet, what may sit where, the best layout, and what sat where before."""

from pathlib import Path

import pytest

from commission.base.errors import CommissionError, InputError, NotAllowed
from commission.bench.card import verdict_word
from commission.stages.fan_headers.at_hand import View
from commission.stages.fan_headers.card.headers import HeadersFlow
from commission.stages.fan_headers.state import FanHeadersState
from commission.stages.fan_headers.typed.chain import FED_PUMP_EXAMPLE
from commission.ui.widgets.figure_table import table_lines
from tests.stages.fan_headers.screen.headers_bench import (
    CHAINS,
    DOWN_AND_UP,
    HEADERS,
    PLUGGED,
    PLUGGING,
    SWEEPING,
    plugged,
    powered,
    unpowered,
)
from tests.ui.bench import asked, led


def refused(flow: HeadersFlow, line: str) -> str:
    """Why a line is refused; nothing may have been stored."""
    head = flow.hand.book.head().seq
    with pytest.raises(CommissionError) as error:
        flow.answer(line)
    assert flow.hand.book.head().seq == head, "a refused line must store nothing"
    return str(error.value)


def test_the_header_of_the_pump_is_not_offered_to_fans_while_no_pump_is_written_down() -> None:
    book, _, _, build = unpowered()
    flow = HeadersFlow(book, build)
    led(flow, ["header PUMP 4-pin 3 A pwm lock", "header SYS2 4-pin 0.3 A pwm", "chain front 3 fans 4-wire 0.2 A"])
    prompt = flow.now()
    assert prompt is not None
    assert prompt.proposal is None
    assert "Write down the pump" in prompt.ask


def test_headers_and_chains_are_written_down_while_the_stage_is_still_locked() -> None:
    book, _, _, build = unpowered()
    flow = HeadersFlow(book, build)
    assert flow.hand.locked
    assert "first header" in asked(flow)
    led(flow, HEADERS)
    assert "first chain" in asked(flow)
    led(flow, CHAINS)
    there = book.build(build).plugged
    assert [header.name for header in there.headers] == ["PUMP", "CPU", "SYS1", "SYS2"]
    assert [chain.steady_ma for chain in there.chains] == [1500, 600, 750, 150, 400]
    assert there.chains[0].pump
    assert not there.chains[0].control_wanted


def test_a_line_is_told_back_before_it_is_stored() -> None:
    book, _, _, build = unpowered()
    flow = HeadersFlow(book, build)
    prompt = flow.now()
    assert prompt is not None
    told = prompt.understand("CPU 4-pin 2 A pwm")
    assert told == "header CPU: 4-pin, 2 A, pwm, set to pwm"
    assert book.build(build).plugged.headers == ()


def test_a_plug_that_sits_wrong_already_is_told_loudly_and_recorded() -> None:
    book, _, _, build = unpowered()
    flow = HeadersFlow(book, build)
    led(flow, [*HEADERS, *CHAINS])
    assert "can stop the pump" in refused(flow, "plug pump SYS1")
    prompt = flow.now()
    assert prompt is not None
    told = prompt.understand("found pump on SYS1 # as it came")
    assert "pump found on SYS1: WRONG. " in told
    assert "can stop the pump" in told
    led(flow, ["found pump on SYS1 # as it came"])
    while flow.caution_moment is not None:
        led(flow, ["read"])
    led(flow, ["found pump on SYS1 # as it came"])
    card = flow.card()
    assert card.verdict is not None
    assert card.table is not None
    assert "WRONG" in [row[-1] for row in card.table.rows]
    assert (card.verdict.word, "can stop the pump" in card.verdict.text) == ("fail", True)
    assert "override" in refused(flow, "found front on SYS2 override it runs cool")


def test_the_sheet_comes_from_a_file_too(tmp_path: Path) -> None:
    book, _, _, build = unpowered()
    flow = HeadersFlow(book, build)
    file = tmp_path / "sheet.txt"
    file.write_text("# the board\n" + "\n".join((*HEADERS, *CHAINS)) + "\n", encoding="utf-8")
    assert "no file" in refused(flow, f"file {tmp_path / 'other.txt'}")
    led(flow, [f"file {file}"])
    assert [header.name for header in book.build(build).plugged.headers] == ["PUMP", "CPU", "SYS1", "SYS2"]
    assert len(book.build(build).plugged.chains) == len(CHAINS)


def test_a_sheet_with_a_line_that_is_none_is_refused_before_anything_is_stored(tmp_path: Path) -> None:
    book, _, _, build = unpowered()
    flow = HeadersFlow(book, build)
    file = tmp_path / "sheet.txt"
    for line, said in (("header H2 4-pin 5 W", "is a power"), ("fan front 0.2 A", "begins with none of")):
        file.write_text(f"header H1 4-pin 1 A pwm\n{line}\n", encoding="utf-8")
        why = refused(flow, f"file {file}")
        assert "line 2" in why
        assert said in why


def test_doubles_and_contradictions_are_refused_and_nothing_is_stored() -> None:
    book, _, _, build = unpowered()
    flow = HeadersFlow(book, build)
    led(flow, [HEADERS[1], "chain front 4-wire 0.2 A"])
    assert "there is a header" in refused(flow, "header cpu 4-pin 1 A pwm")
    assert "has no pin for PWM" in refused(flow, "header SYS 3-pin 1 A pwm")
    assert "none of its modes" in refused(flow, "header SYS 4-pin 1 A pwm set voltage")
    assert "is a power" in refused(flow, "header SYS 4-pin 24 W")
    assert "there is a chain" in refused(flow, "chain FRONT 4-wire 0.2 A")
    assert "cannot be driven by PWM" in refused(flow, "chain rear 3-wire 0.2 A pwm")
    assert "a pump sits alone" in refused(flow, "chain wet 2 fans 4-wire 0.2 A + 1 fan 4-wire 0.2 A pump")
    assert "there is no header SYS9" in refused(flow, "chain rear 4-wire 0.2 A reach SYS9 20 cm")
    assert "outside 0 to 60000" in refused(flow, "chain rear 4-wire 0.2 A 61000 rpm")
    assert "is not understood" in refused(flow, "hello there")
    assert "type plug front on CPU, or found front on CPU" in refused(flow, "front on CPU")
    assert "type plug front on CPU, or found front on CPU" in refused(flow, "front cpu")
    assert "type leave front 50 750" in refused(flow, "front 50 750")
    assert "is not understood" in refused(flow, "front of it")


def test_cautions_come_before_the_first_plug_and_the_line_waits_for_them() -> None:
    book, _, _, build = unpowered()
    flow = HeadersFlow(book, build)
    led(flow, PLUGGED)
    assert flow.now() is not None
    flow.answer("plug front SYS1 # nearest")
    assert "Read the caution" in asked(flow)
    assert flow.card().cautions_open
    assert book.build(build).plugged.seats() == {}
    led(flow, ["", "", ""])
    assert asked(flow).startswith("The cautions are read. Plug it in now")
    flow.answer("plug front SYS1 # nearest")
    there = book.build(build).plugged
    assert list(there.seats()) == [there.chains[0].chain_id]
    assert there.moves[0].why == "nearest"


def test_escape_lets_the_line_go_that_waits_for_cautions() -> None:
    book, _, _, build = unpowered()
    flow = HeadersFlow(book, build)
    led(flow, [*PLUGGED, "plug front SYS1"])
    assert flow.back()
    assert "Read the caution" not in asked(flow)


def test_budgets_are_told_in_whole_milliamperes_with_the_default_factor_marked() -> None:
    # three fans of 0.20 A on a header of 1 A: 600 of 800 mA, and 1200 mA at start by the factor 2.0 (our own choice)
    flow, book, _, build = plugged("header SYS2 4-pin 1 A pwm", "chain top 3 fans 4-wire 0.2 A")
    why = refused(flow, "plug top SYS2")
    assert "1200 mA" in why
    assert "add: override and the reason" in why
    assert "type the reason" in refused(flow, "plug top SYS2 override")
    flow.answer("plug top SYS2 override measured 0.7 A at start")
    row = next(row for row in flow.card().figures if row.label == "SYS2")
    assert row.bounds == "steady 600 of 800, start 1200 by factor 2 of 1000 mA"
    moved = [entry.payload for entry in book.entries(build) if getattr(entry.payload, "start_overridden", "")]
    assert [getattr(payload, "start_overridden", "") for payload in moved] == ["measured 0.7 A at start"]


def test_current_above_the_rating_is_never_overridden_and_the_share_of_it_is() -> None:
    # six fans of 0.20 A: 1200 mA on a header of 1 A; five are 1000 mA, above the 800 mA that 80 % allow
    flow, _, _, _ = plugged(
        "header SYS2 4-pin 1 A pwm",
        "chain top 6 fans 4-wire 0.2 A start 0.2 A",
        "chain side 5 fans 4-wire 0.2 A start 0.2 A",
    )
    assert "BLOCKED" in refused(flow, "plug top SYS2 override I know better")
    assert "add: override and the reason" in refused(flow, "plug side SYS2")
    led(flow, ["plug side SYS2 override the manual allows all of it"])
    assert any("Let be: the manual allows all of it" in line for line in flow.card().notices)


def test_a_pump_on_a_header_that_can_stop_it_is_blocked_and_not_warned() -> None:
    flow, book, _, build = plugged(
        "header PUMP 4-pin 3 A pwm", "header SAFE 4-pin 3 A pwm lock", "pump 4-wire 1.5 A full"
    )
    assert "can stop the pump" in refused(flow, "plug pump PUMP override it runs cool")
    flow.answer("plug pump SAFE")
    assert "can stop the pump" in refused(flow, "set SAFE pwm zero")
    assert "sits alone" in refused(flow, "plug front SAFE")
    assert len(book.build(build).plugged.seats()) == 2


def test_a_drive_that_the_header_does_not_offer_is_named() -> None:
    flow, _, _, _ = plugged("header SYS2 4-pin 1 A pwm", "chain rear 3-wire 0.15 A start 0.3 A")
    assert "is driven by voltage, SYS2 offers pwm only" in refused(flow, "plug rear SYS2")
    assert "sits on no header" in refused(flow, "unplug rear")


def test_what_sat_where_on_an_earlier_day_is_answered_on_the_screen() -> None:
    flow, book, clock, build = plugged("header SYS2 4-pin 1 A pwm")
    clock.run(5 * 24 * 3600)
    flow.answer("plug front SYS2 # shorter cable")
    clock.run(3 * 24 * 3600)
    assert flow.answer("on 2026-09-22") == ""
    card = flow.card()
    assert [(row.label, row.value) for row in card.figures] == [("SYS1", "front")]
    flow.answer("on 2026-09-26")
    card = flow.card()
    assert [(row.label, row.value) for row in card.figures] == [("SYS2", "front")]
    assert any("front on SYS2" in line and "shorter cable" in line for line in card.listed)
    flow.answer("on 2026-09-01")
    assert "nothing was plugged in" in flow.card().listed[0]
    flow.answer("moves")
    assert "front on SYS2" in flow.card().listed[0], "the last move comes first"
    assert flow.back()
    assert flow.hand.view is View.BOARD
    assert len(book.build(build).plugged.moves) == 2


def test_history_still_names_a_header_that_is_gone() -> None:
    flow, _, clock, _ = plugged()
    clock.run(24 * 3600)
    assert "type why SYS1" in refused(flow, "remove header SYS1")
    flow.answer("remove header SYS1 board was changed")
    flow.answer("on 2026-09-21")
    assert [(row.label, row.value) for row in flow.card().figures] == [("SYS1", "front")]


def test_a_chain_is_taken_off_the_sheet_with_a_reason() -> None:
    flow, book, _, build = plugged()
    assert "type remove header or remove chain" in refused(flow, "remove front")
    flow.answer("remove chain front sold")
    assert [chain.name for chain in book.build(build).plugged.chains] == ["loop pump"]


def test_a_header_is_set_another_way_and_its_lock_is_kept_where_it_is_named() -> None:
    flow, book, _, build = plugged()
    flow.answer("set SYS1 voltage lock # swept in the wrong mode")
    header = book.build(build).plugged.headers[0]
    assert (str(header.set_to), header.full_speed_lock) == ("voltage", True)
    assert any("needs pwm" in notice for notice in flow.card().notices)
    assert "none of its modes" in refused(flow, "set SYS1 fixed")


# --- layouts -------------------------------------------------------------------------------------------------


def test_the_best_layout_of_the_worked_example_is_proposed_taken_and_plugged_move_by_move() -> None:
    # 98 cm and 118 cm, and the loads: by brute force over all 1024 layouts, and by milp for the best one
    book, _, _, build = unpowered()
    flow = HeadersFlow(book, build)
    led(flow, [*HEADERS, *CHAINS, "layout"])
    card = flow.card()
    assert card.verdict is not None
    assert card.verdict.text.startswith("98 cm")
    assert {row.label: row.value for row in card.figures} == {
        "PUMP": "pump",
        "CPU": "top",
        "SYS1": "floor + front",
        "SYS2": "rear",
    }
    loads = {row.label: row.bounds for row in card.figures}
    assert loads["SYS1"] == "steady 1000, start 1500 of 2000 mA"
    assert any(line.startswith("Next best, 118 cm") for line in card.listed)
    assert any(line.startswith("pump not on CPU, can stop the pump") for line in card.reasons)
    led(flow, [""])
    assert book.build(build).of(FanHeadersState).layout is not None
    assert book.build(build).plugged.seats() == {}, "taking a layout plugs nothing"
    led(flow, ["", "", "", "", *[""] * 5])  # the first plug, three cautions, five plugs
    names = {header.header_id: header.name for header in flow.hand.plugged.headers}
    seats = {chain.name: names[flow.hand.plugged.seats()[chain.chain_id]] for chain in flow.hand.plugged.chains}
    assert seats == {"pump": "PUMP", "top": "CPU", "front": "SYS1", "floor": "SYS1", "rear": "SYS2"}
    assert "All is plugged" in asked(flow)


def test_an_impossible_layout_says_the_smallest_change_that_would_help() -> None:
    # without the lock of the pump header there is no layout (worked example, brute force)
    book, _, _, build = unpowered()
    flow = HeadersFlow(book, build)
    led(flow, ["header PUMP 4-pin 3 A pwm", *HEADERS[1:], *CHAINS, "layout"])
    card = flow.card()
    assert card.verdict is not None
    assert card.verdict.word == "no layout"
    assert "lock it at full speed in the firmware" in card.verdict.text
    assert "none can be taken" in refused(flow, "take")
    led(flow, [""])
    assert flow.hand.view is View.BOARD


def test_layouts_of_equal_cost_are_counted_and_each_can_be_taken() -> None:
    book, _, _, build = unpowered()
    flow = HeadersFlow(book, build)
    led(
        flow,
        ["header A 4-pin 1 A pwm", "header B 4-pin 1 A pwm", "chain x 4-wire 0.2 A", "chain y 4-wire 0.2 A", "layout"],
    )
    card = flow.card()
    assert card.verdict is not None
    assert "2 layouts of that cost" in card.verdict.text
    assert "number from 1 to 2" in refused(flow, "take 3")
    flow.answer("take 2")
    layout = book.build(build).of(FanHeadersState).layout
    assert layout is not None
    assert [(seat.chain, seat.header) for seat in layout.seats] == [("x", "B"), ("y", "A")]


def test_a_layout_that_swaps_two_chains_asks_to_unplug_the_one_in_the_way_first() -> None:
    book, _, _, build = powered()
    flow = HeadersFlow(book, build)
    led(
        flow,
        [
            "header A 4-pin 1 A pwm",
            "header B 4-pin 1 A pwm",
            "chain x 3 fans 4-wire 0.2 A start 0.3 A reach A 90 cm, B 10 cm",
            "chain y 3 fans 4-wire 0.2 A start 0.3 A reach A 10 cm, B 90 cm",
            *("plug x A", "", "", "", ""),
            "plug y B",
            "layout",
            "",
        ],
    )
    said = led(flow, ["", "", ""])
    assert ["off B" in said[0], "on B" in said[1], "on A" in said[2]] == [True, True, True], said
    names = {header.header_id: header.name for header in flow.hand.plugged.headers}
    seated = {chain_id: names[header_id or ""] for chain_id, header_id in flow.hand.plugged.seats().items()}
    assert {c.name: seated.get(c.chain_id) for c in flow.hand.plugged.chains} == {
        "loop pump": None,
        "x": "B",
        "y": "A",
    }


# --- what is locked ------------------------------------------------------------------------------------------


def test_sweeps_and_the_end_wait_for_the_first_power_on_and_plugging_does_not() -> None:
    book, _, _, build = unpowered()
    flow = HeadersFlow(book, build)
    led(flow, [*PLUGGED, *PLUGGING])
    assert "No pump is written down" in asked(flow)
    led(flow, [FED_PUMP_EXAMPLE])
    assert "Sweeps wait for the first power-on" in asked(flow)
    assert "is locked" in refused(flow, "sweep front")
    assert "is locked" in refused(flow, "end")
    led(flow, [""])
    assert flow.go == "first_power"


def test_no_reason_opens_the_lock_of_a_machine_that_was_never_powered() -> None:
    book, log, _, build = unpowered()
    flow = HeadersFlow(book, build)
    led(flow, [*PLUGGED, *PLUGGING])
    assert "why the lock" in refused(flow, "override")
    head = log.head()
    said = refused(flow, "override it was powered before this record began")
    assert "cannot be overridden" in said
    assert "all four steps" in said
    assert log.head() == head
    assert flow.hand.locked


def test_a_read_only_record_refuses_in_words() -> None:
    book, log, _, build = unpowered()
    flow = HeadersFlow(book, build)
    log.read_only_because = "another window writes"
    assert "another window writes" in refused(flow, "header CPU 4-pin 2 A pwm")


def test_a_note_stands_in_the_record() -> None:
    flow, book, _, build = plugged("note fan 2 rattles")
    assert book.build(build).notes == ("fan 2 rattles",)
    with pytest.raises((InputError, NotAllowed)):
        flow.answer("note")


def test_the_result_calls_the_stage_as_the_ladder_does() -> None:
    flow, *_ = plugged()
    card = flow.card()
    assert flow.hand.rung.word == "open"
    assert card.verdict is not None
    assert verdict_word(card.verdict) == "OPEN", "nothing runs before the first sweep"
    led(flow, (*SWEEPING, *DOWN_AND_UP, "end", "end", "set SYS1 voltage"))
    assert flow.hand.rung.word == "stale"
    flow.hand.view = View.BOARD
    stale = flow.card()
    assert stale.verdict is not None
    assert verdict_word(stale.verdict) == "STALE"
    assert stale.verdict.text == "front on SYS1: not swept since it was plugged or set."


def test_the_board_is_a_map_whose_rows_never_wrap() -> None:
    flow, *_ = plugged(HEADERS[0], "chain top 3 fans 4-wire 0.25 A start 0.35 A")
    led(flow, (*SWEEPING, *DOWN_AND_UP, "end", "leave front 45 765"))
    flow.hand.view = View.BOARD
    table = flow.card().table
    assert table is not None
    # 3 fans of 0.2 A steady and 0.3 A at start, as typed: 600 mA and 900 mA; 3 of 0.25 A and 0.35 A: 750 and 1050 mA
    assert ("SYS1", "front", "600/900 of 2000", "45 %", "controlled") in table.rows
    assert ("PUMP", "empty", "of 3000", "", "") in table.rows
    assert ("no header", "top", "750/1050", "", "not plugged") in table.rows
    assert "600/900 of 2000" in "\n".join(map(str, table_lines(table, 40))), "the currents are cut last"
    for width in (66, 40, 20):
        lines = table_lines(table, width)
        assert len(lines) == 1 + len(table.rows)
        assert all(line.cell_length <= width for line in lines)


def test_from_a_passed_stage_enter_leads_to_the_one_whose_turn_it_is() -> None:
    flow, *_ = plugged(*SWEEPING, *DOWN_AND_UP, "", "leave front 45 640", "end")
    prompt = flow.now()
    assert prompt is not None
    assert (prompt.ask[:19], prompt.proposal) == ("Ended: PASS. Next: ", "next")
    flow.answer("next")
    assert flow.go == "bleed"  # which nobody has done yet


def test_a_chain_that_the_supply_feeds_is_none_that_was_swept() -> None:
    book, _, _, build = powered()
    flow = HeadersFlow(book, build)
    led(flow, [HEADERS[0]])
    prompt = flow.now()
    assert prompt is not None
    assert prompt.proposal is None
    assert prompt.ask.startswith("Write down the next header, or the first chain")


def test_a_sweep_warns_of_a_wide_gap_between_the_ways_while_it_can_still_be_typed_again() -> None:
    """Of 1498 rpm 3 % are 45; 985 on the way down and 1350 up at 60 % are 365 apart."""
    flow, *_ = plugged(*SWEEPING, "1498", "1258", "985", "842", "695", "548", "688", "835")
    assert not any("Way down" in one for one in flow.card().notices)
    led(flow, ["60 1350"])
    assert any(one.startswith("Warning: Way down and way up differ by 365 rpm") for one in flow.card().notices)


def test_a_level_without_a_sweep_is_told_what_comes_first() -> None:
    flow, *_ = plugged()
    with pytest.raises(InputError, match="none goes on; type sweep and the chain first"):
        flow.answer("100 1500")


def test_a_table_that_is_refused_leaves_none_of_its_comment_lines_behind(tmp_path: Path) -> None:
    flow, *_ = plugged(*SWEEPING)
    table = tmp_path / "sweep.csv"
    table.write_text("# side panel off\nduty [%],speed [rpm]\n80,1200\n60,900\n", encoding="utf-8")
    assert "no speed at 100 % was read" in refused(flow, f"file {table}")
