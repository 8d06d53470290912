"""``bottle``, ``pour``, ``withdraw``, ``finding``, ``cure`` and what ``show`` tells of coolant.

Outside: every total is added up by hand beside it, with densities of CoolProp 8.0.0 (MPG 0.30: 1022.855 kg/m3 at 22 °C;
water: 997.77 kg/m3 at 22 °C) and nothing of the program. Status: computed.
"""

import shutil
from pathlib import Path

import pytest

from commission.base.pump_supply import PumpSupply
from commission.stages.fill.work.fills import Fills
from commission.stages.pressure_hold.entries import Ending
from commission.stages.pressure_hold.work.holds import Holds
from tests.answers import OF_A_FILL
from tests.fakes import HandClock
from tests.holds import gauge_reads, ready_build, start_hold, type_hold
from tests.registered import open_logbook
from tests.shell.running import Ran, called, one_line
from tests.wet_builds import bleeding_build, run_cycle

BUILD = "Blue Heron"


@pytest.fixture(scope="module")
def proved(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A logbook with a build whose hold passed, and one whose hold did not begin; not to be written to."""
    path = tmp_path_factory.mktemp("proved") / "proved.logbook"
    clock = HandClock()
    book = open_logbook(path, clock=clock).book
    build = ready_build(book, BUILD)
    start_hold(book, build)
    type_hold(book, clock, build, start_mbar=500, fall_mbar=0.1)
    assert book.work(Holds).close(build, Ending.PLANNED).outcome == "pass"
    book.work(Holds).let_down(build, gauge_reads(0.0))
    book.work(Fills).choose_pump_supply(build, PumpSupply.OWN)
    ready_build(book, "Shelf box")
    book.close()
    return path


@pytest.fixture
def logbook(proved: Path, tmp_path: Path) -> Path:
    """A copy of it with two bottles."""
    path = tmp_path / "bench.logbook"
    shutil.copy(proved, path)
    for bottle in (
        ("premix", "--base", "propylene-glycol", "--mass-fraction", "0.30", "--size", "1 L"),
        ("water", "--base", "water", "--size", "2 L"),
    ):
        done = called("bottle", "add", *bottle, logbook=path)
        assert (done.status, done.err) == (0, "")
    return path


def poured(logbook: Path, *arguments: str) -> Ran:
    done = called("amount", BUILD, *arguments, logbook=logbook)
    assert done.status == 0, done.err
    return done


def fact(logbook: Path, key: str) -> str:
    """Return what ``show`` says after a key."""
    lines = called("show", BUILD, logbook=logbook).lines
    (line,) = [line for line in lines if line.startswith(f"{key}: ")]
    return line.removeprefix(f"{key}: ")


def head_of(logbook: Path) -> str:
    return called("verify", logbook=logbook).lines[2]


# --- bottles ---------------------------------------------------------------------------------------------------------


def test_bottles_are_listed_as_their_labels_say(logbook: Path) -> None:
    assert called("bottle", "list", logbook=logbook).lines == [
        "bottle premix: 1000 mL, left of 1000 mL; propylene glycol 30 % by mass",
        "bottle water: 2000 mL, left of 2000 mL; water",
    ]


def test_a_whole_label_is_shown_back(logbook: Path) -> None:
    done = called(
        "bottle", "add", "blue can", "--base", "ready-mix", "--size", "1 L", "--density", "1.035 g/mL",
        "--freezing=-18 degC", "--product", "Sky", "--lot", "A12", "--opened", "2026-03-31", logbook=logbook,
    )  # fmt: skip
    assert done.status == 0
    assert done.lines[0] == (
        "bottle blue can: 1000 mL, left of 1000 mL; ready mix · 1.035 g/mL at 20 °C · freezes at -18 °C · "
        "product Sky · lot A12 · opened 2026-03-31"
    )


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (("premix", "--base", "water", "--size", "1 L"), "already"),
        (("x", "--base", "propylene-glycol", "--size", "1 L"), "by mass or by volume"),
        (("x", "--base", "water", "--size", "1 L", "--mass-fraction", "0.3"), "means nothing"),
        (("x", "--base", "ready-mix", "--size", "1 L"), "density"),
        (("x", "--base", "ready-mix", "--size", "1 L", "--density", "1.035 kg/m3"), "outside 500"),
        (("x", "--base", "water", "--size", "0 L"), "outside"),
        (("x", "--base", "water", "--size", "32 fl oz"), "32 US fl oz or 32 imp fl oz"),
        (("x", "--base", "water", "--size", "1 L", "--opened", "31.3.2026"), "year-month-day"),
        (("x", "--base", "water", "--size", "1 L", "--density-at", "20 degC"), "without a density"),
        ((" ", "--base", "water", "--size", "1 L"), "a name is wanted"),
    ],
)
def test_a_label_that_makes_no_sense_is_refused_and_nothing_stored(
    logbook: Path, arguments: tuple[str, ...], said: str
) -> None:
    before = head_of(logbook)
    done = called("bottle", "add", *arguments, logbook=logbook)
    assert (done.status, done.out) == (2, "")
    assert said in one_line(done.err)
    assert head_of(logbook) == before


def test_a_retired_bottle_is_listed_no_more(logbook: Path) -> None:
    assert called("bottle", "retire", "WATER", "--reason", "empty", logbook=logbook).status == 0
    assert len(called("bottle", "list", logbook=logbook).lines) == 1
    assert 'no bottle "water"' in one_line(called("amount", BUILD, "1 mL", "--bottle", "water", logbook=logbook).err)


# --- pours -----------------------------------------------------------------------------------------------------------


def test_cautions_are_printed_before_the_first_pour_and_the_record_says_so(logbook: Path) -> None:
    first = poured(logbook, "100 mL", "--bottle", "water")
    cautions = [line for line in first.err.splitlines() if line.startswith("caution: ")]
    assert len(cautions) == len(OF_A_FILL) - 3  # those before the pump runs and after the verdict come then
    assert "mains plug out at the computer" in cautions[0]
    assert any("a teaspoon can kill a cat" in line for line in cautions)
    second = poured(logbook, "100 mL", "--bottle", "water")
    assert "caution" not in second.err
    entries = called("show", BUILD, "--entries", logbook=logbook).lines
    printed = [line for line in entries if ": cautions printed: " in line]
    assert len(printed) == 1
    assert "glycol is poison" in printed[0]


def test_three_ways_of_measuring_add_up(logbook: Path) -> None:
    # By mass, CoolProp 8.0.0: 250 and 100 mL of water at 22 °C are 349.22 g, with 653.4 g of premix 1002.62 g at
    # 19.551 %; its density at 20 °C is 1014.376 kg/m3: 988.41 mL. Less 20 mL spilled at 22 °C (19.99 mL at
    # 20 °C): 968.42 mL.
    shown = poured(logbook, "250 mL", "--bottle", "water", "--temp", "22 degC")
    assert shown.lines[0] == "understood: 250 mL ± 10 mL at 22 °C, by volume (250 mL, 22 degC), from water"
    shown = poured(logbook, "--weighed", "1184.6 g", "531.2 g", "--bottle", "premix", "--temp", "22 degC")
    assert shown.lines[0].startswith("understood: 639 mL ")  # 653.4 g / 1022.855 kg/m3
    assert shown.lines[-1].startswith("bottle premix: 361 mL, left of 1000 mL; ")
    poured(logbook, "--marks", "900 mL", "800 mL", "--bottle", "water", "--temp", "22 degC")
    last = poured(logbook, "20 mL", "--spill", "--from-filler", "--temp", "22 degC", "--note", "on the paper")
    assert last.lines[0].endswith("estimated (20 mL, 22 degC), spilled out of the loop (on the paper)")
    assert fact(logbook, "fill added").startswith("968 mL, ")
    # glycol by mass: 196.02 g in 653.4 + 249.44 + 99.78 = 1002.62 g: 19.55 %, and a spill does not change it
    assert fact(logbook, "fill coolant") == "propylene glycol, 19.6 % by mass"


def test_a_weight_alone_is_an_amount(logbook: Path) -> None:
    shown = poured(logbook, "653,4 g", "--bottle", "premix", "--temp", "22 degC")
    assert shown.lines[0].startswith("understood: 639 mL ")


def test_everything_that_leaves_the_loop_is_taken_off(logbook: Path) -> None:
    poured(logbook, "1000 mL +- 1 mL", "--bottle", "water", "--temp", "20 degC")
    out = (("100 mL", "--drain"), ("5 mL", "--syringe"), ("3 mL", "--evaporated"), ("2 mL", "--spill", "--from-filler"))
    for way in out:
        poured(logbook, *way, "--temp", "20 degC")
    poured(logbook, "10 mL", "--spill", "--bottle", "water", "--temp", "20 degC")
    assert fact(logbook, "fill added").startswith("880 mL")  # 1000 − 100 − 5 − 3 − 2 − 10
    assert fact(logbook, "bottle water") == "1000 mL, left of 2000 mL; water"  # what was spilled had been poured


def test_a_temperature_that_nobody_typed_is_the_rooms_and_said(logbook: Path) -> None:
    shown = poured(logbook, "100 mL", "--bottle", "water")
    assert "assumed: the liquid is at 21 °C, as in the hold" in shown.err


def test_a_wrong_pour_is_withdrawn_and_stays_in_the_record(logbook: Path) -> None:
    poured(logbook, "250 mL", "--bottle", "water", "--temp", "20 degC")
    wrong = poured(logbook, "520 mL", "--bottle", "water", "--temp", "20 degC")
    seq = wrong.lines[1].rpartition(" ")[2]
    done = called("withdraw", BUILD, seq, "--reason", "typed 520 for 250", logbook=logbook)
    assert done.status == 0
    assert done.lines[0].startswith(f"withdrawn: entry {seq}: coolant added: 520 mL ")
    assert fact(logbook, "fill added").startswith("250 mL")
    assert fact(logbook, "bottle water").startswith("1750 mL, left of ")
    again = called("withdraw", BUILD, seq, "--reason", "again", logbook=logbook)
    assert "already" in one_line(again.err)


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        ((), "type how much"),
        (("250 mL", "--weighed", "2 g", "1 g"), "one of them"),
        (("250 mL",), 'from which bottle? type --bottle and one of "premix", "water"'),
        (("250 mL", "--bottle", "rum"), 'no bottle "rum"'),
        (("250", "--bottle", "water"), "no unit"),
        (("8 fl oz", "--bottle", "water"), "8 US fl oz or 8 imp fl oz"),
        (("0 mL", "--bottle", "water"), "above 0"),
        (("2.5 L", "--bottle", "water"), "2000 mL left as logged"),
        (("250 mL", "--bottle", "water", "--temp=-5 degC"), "below the freezing point"),
        (("250 mL", "--bottle", "premix", "--temp=-20 degC"), "below the freezing point"),
        (("250 mL", "--bottle", "water", "--temp", "22"), "no unit"),
        (("--weighed", "531.2 g", "1184.6 g", "--bottle", "water"), "nothing came out"),
        (("--weighed", "531.2 mL", "1184.6 g", "--bottle", "water"), "unit of volume"),
        (("--marks", "300 mL", "900 mL", "--bottle", "water"), "nothing came out"),
        (("20 mL", "--spill", "--from-filler"), "nothing was added yet"),
        (("20 mL", "--spill"), "by itself is a leak: commission defect"),
        (("20 mL", "--from-filler"), "goes with --spill alone"),
        (("20 mL", "--drain", "--syringe"), "one amount moves one way"),
        (("20 mL", "--drain", "--bottle", "water"), "comes from no bottle"),
        (("--weighed", "20 g", "10 g", "--drain"), "the AMOUNT that left the loop"),
        (("--marks", "20 mL", "10 mL", "--estimated", "--bottle", "water"), "leave --estimated out"),
        (("1 mL +- 2 mL", "--bottle", "water"), "as large as the value itself"),
    ],
)
def test_a_pour_that_cannot_be_is_one_line_and_nothing_stored(
    logbook: Path, arguments: tuple[str, ...], said: str
) -> None:
    before = head_of(logbook)
    done = called("amount", BUILD, *arguments, logbook=logbook)
    assert (done.status, done.out) == (2, "")
    assert said in one_line(done.err)
    assert head_of(logbook) == before


def test_more_cannot_come_out_than_went_in(logbook: Path) -> None:
    poured(logbook, "250 mL", "--bottle", "water")
    before = head_of(logbook)
    done = called("amount", BUILD, "500 mL", "--drain", logbook=logbook)
    assert "more than the 249." in one_line(done.err.splitlines()[-1])
    assert (done.status, head_of(logbook)) == (2, before)


def test_what_was_drained_says_where_it_went_and_is_in_its_bottle_again(logbook: Path) -> None:
    """Of 250 mL poured 100 mL go back: the bottle lacks 150 mL then, whatever it held."""
    poured(logbook, "250 mL", "--bottle", "water")
    (full,) = (line for line in called("show", BUILD, logbook=logbook).lines if line.startswith("bottle water: "))
    assert called("amount", BUILD, "100 mL", "--drain", "--into", "Water", logbook=logbook).status == 0
    assert called("amount", BUILD, "10 mL", "--drain", logbook=logbook).status == 0
    shown = called("show", BUILD, logbook=logbook).lines
    (now,) = (line for line in shown if line.startswith("bottle water: "))
    left, before = (int(line.removeprefix("bottle water: ").split()[0]) for line in (now, full))
    assert left - before == 100
    gone = [line for line in shown if line.startswith("coolant drained: ")]
    assert gone[0].startswith("coolant drained: 100 mL, into water, 20")
    assert gone[1].startswith("coolant drained: 10 mL, not said where to, 20")
    wrong = called("amount", BUILD, "10 mL", "--syringe", "--into", "water", logbook=logbook)
    assert (wrong.status, "--into goes with --drain" in one_line(wrong.err)) == (2, True)


def test_a_loop_that_was_not_proved_tight_takes_no_coolant(logbook: Path) -> None:
    before = head_of(logbook)
    done = called("amount", "Shelf box", "250 mL", "--bottle", "water", logbook=logbook)
    assert done.status == 2
    assert "Fill is locked: it rests on Pressure hold" in one_line(done.err)
    assert head_of(logbook) == before


# --- show ------------------------------------------------------------------------------------------------------------


def test_show_tells_what_is_in_what_is_missing_and_what_that_proves(logbook: Path) -> None:
    # By hand: 1200 ± 30 mL expected from the sheet, 1000 ± 0.5 mL of water at 20 °C in, since the typed
    # ± 1 mL is 95 %: 200 ± 30.0 mL missing; one-sided 95 % (1.645·30.006 = 49.36): 150.6 to 249.4.
    # Water freezes at 0 °C.
    poured(logbook, "1000 mL +- 1 mL", "--bottle", "water", "--temp", "20 degC")
    assert fact(logbook, "fill added") == "1000 mL, ± 1 mL (95 %); 1 amount, at 20 °C"
    assert fact(logbook, "fill expected") == "1200 mL, ± 60 mL (95 %); sum of the parts"
    assert fact(logbook, "fill still to add") == "200 mL, 151 to 249 mL; 83 % filled"
    assert fact(logbook, "fill proves") == "some is missing"
    assert fact(logbook, "fill coolant") == "water"
    assert fact(logbook, "fill freezes below").startswith("0.0 °C, density ")


def test_a_build_without_coolant_tells_nothing_of_it(logbook: Path) -> None:
    lines = called("show", "Shelf box", logbook=logbook).lines
    assert not [line for line in lines if line.startswith(("fill ", "coolant", "bottle", "freezing"))]


def test_mixed_coolants_have_no_fraction(logbook: Path) -> None:
    called(
        "bottle",
        "add",
        "green",
        "--base",
        "ethylene-glycol",
        "--mass-fraction",
        "0.3",
        "--size",
        "1 L",
        logbook=logbook,
    )
    poured(logbook, "250 mL", "--bottle", "premix")
    poured(logbook, "250 mL", "--bottle", "green")
    assert "no fraction: propylene glycol and ethylene glycol are mixed" in fact(logbook, "fill coolant")
    assert fact(logbook, "fill freezes below").startswith("not known")


def test_while_a_bleed_goes_on_coolant_counts_towards_it_and_show_tells_how_it_stands(tmp_path: Path) -> None:
    path = tmp_path / "bleeding.logbook"
    clock = HandClock()
    book = open_logbook(path, clock=clock).book
    build = bleeding_build(book, clock)
    for ml in (40, 12):
        run_cycle(book, clock, build, ml)
    book.close()
    shown = poured(path, "5 mL", "--bottle", "can", "--temp", "20 degC")
    assert "caution" not in shown.err
    assert fact(path, "fill added").startswith("1157 mL")  # 1100 + 40 + 12 + 5
    assert fact(path, "bleed clean cycles").startswith("0 in a row, over 0 s; needed: 3 over 2 h")
    assert fact(path, "bleed air out") == "52 mL, in 2 cycles"
    assert fact(path, "bleed air left") == "not known, too few cycles"
    assert fact(path, "bleed verdict so far") == "inconclusive"
    lines = called("show", BUILD, logbook=path).lines
    assert "bleed: running, attempt 1" in lines
    assert "fill: passed, attempt 1" in lines


# --- faults ----------------------------------------------------------------------------------------------------------


def test_a_fault_and_its_cure_are_recorded_in_the_shell(logbook: Path) -> None:
    done = called("hold-defect", BUILD, "--where", "seal", "bubbles", "--part", "TOP radiator", logbook=logbook)
    assert done.status == 0
    assert "defect: hold 1, seal: bubbles; not repaired yet" in called("show", BUILD, logbook=logbook).lines
    cured = called("repaired", BUILD, "new seal", logbook=logbook)
    assert cured.status == 0
    assert "seal: bubbles" in cured.lines[0]
    assert "defect: hold 1, seal: bubbles; repaired: new seal" in called("show", BUILD, logbook=logbook).lines


def test_which_of_several_faults_is_cured_is_asked(logbook: Path) -> None:
    assert "no defect is open" in one_line(called("repaired", BUILD, "new seal", logbook=logbook).err)
    numbers = []
    for where in ("seal", "fitting"):
        done = called("hold-defect", BUILD, "--where", where, "drops", logbook=logbook)
        numbers.append(done.lines[1].removeprefix("stored: entry "))
    asked = one_line(called("repaired", BUILD, "new seal", logbook=logbook).err)
    assert f"{numbers[0]} (seal: drops), {numbers[1]} (fitting: drops)" in asked
    assert called("repaired", BUILD, "turned home", "--defect", numbers[1], logbook=logbook).status == 0
    assert "no part" in one_line(
        called("hold-defect", BUILD, "--where", "seal", "x", "--part", "lamp", logbook=logbook).err
    )


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (("withdraw", BUILD, "1", "--reason", "x"), "entry 1 is none of"),
        (("withdraw", BUILD, "999", "--reason", "x"), "entry 999 is none of"),
        (("withdraw", BUILD, "6", "--reason", "x"), "cannot be withdrawn"),
        (("withdraw", BUILD, "7", "--reason", " "), "needs a reason"),
        (("withdraw", BUILD, "0", "--reason", "x"), "SEQ"),
        (("hold-defect", BUILD, "--where", "moon", "x", "--part", "Top radiator"), "--where"),
        (("hold-defect", BUILD, "--where", "seal", " "), "say what was found"),
        (("repaired", BUILD, "x", "--defect", "6"), "no defect of this build"),
    ],
)
def test_a_slip_changes_nothing(logbook: Path, arguments: tuple[str, ...], said: str) -> None:
    before = head_of(logbook)
    done = called(*arguments, logbook=logbook)
    assert (done.status, done.out) == (2, "")
    assert said in one_line(done.err)
    assert head_of(logbook) == before


def test_nothing_is_poured_into_a_loop_that_holds_pressure_by_the_book(tmp_path: Path) -> None:
    clock = HandClock()
    path = tmp_path / "pressed.logbook"
    book = open_logbook(path, clock=clock).book
    build = ready_build(book, BUILD)
    start_hold(book, build)
    type_hold(book, clock, build, start_mbar=500, fall_mbar=0.1)
    book.work(Holds).close(build, Ending.PLANNED)
    book.close()
    assert called("bottle", "add", "can", "--base", "water", "--size", "1 L", logbook=path).status == 0
    refused = called("amount", BUILD, "100 mL", "--bottle", "can", logbook=path)
    assert (refused.status, "Vent it to 0" in refused.err) == (2, True)
    high = called("vented", BUILD, "340 mbar", logbook=path)
    assert (high.status, "zero is at most 0.1 mbar" in high.err) == (2, True)
    assert called("vented", BUILD, "3 mbar", logbook=path).status == 2
    # a bare number is in the gauge's unit, as on the screen
    assert called("vented", BUILD, "3", "--valve-open", logbook=path).status == 0
    assert called("pump-supply", BUILD, "own", logbook=path).status == 0
    assert called("amount", BUILD, "100 mL", "--bottle", "can", logbook=path).status == 0


def test_nothing_is_poured_before_the_pumps_supply_is_named_and_the_bridge_waits(tmp_path: Path) -> None:
    path = tmp_path / "asked.logbook"
    book = open_logbook(path, clock=HandClock()).book
    ready_build(book, BUILD)
    book.close()
    early = called("pump-supply", BUILD, "bridged", logbook=path)
    assert (early.status, "supply alone" in early.err) == (2, True)
    assert called("pump-supply", BUILD, "both", logbook=path).status == 2
    assert "pump supply" not in called("show", BUILD, logbook=path).out
    done = called("pump-supply", BUILD, "own", logbook=path)
    assert (done.status, "a supply of its own" in done.out) == (0, True)
    assert fact(path, "pump supply in fill and bleed") == "own, a supply of its own"
