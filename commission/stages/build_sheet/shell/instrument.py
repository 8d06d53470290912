"""``commission instrument``: what reads the loop, described once for the whole workshop."""

from __future__ import annotations

import click

from commission.shell.recording import recording, records


@records()
@click.argument("what", metavar="INSTRUMENT")
@click.option("--face", type=click.Choice(["digital", "dial"]), help="Of a gauge: digits, or a needle.")
@click.option("--marks", metavar="MARKS", help='Of a dial: how it is read, such as "20 mbar mark" or "... quarter".')
@click.option("--tapped", type=click.Choice(["yes", "no"]), help="Of a dial: whether it is tapped before each reading.")
@click.option("--unit", metavar="UNIT", help="Unit on its face.")
@click.option("--range", "span", metavar="RANGE", help='What it can show, such as "0 to 1000 mbar".')
@click.option("--step", metavar="STEP", help="One step of its display.")
@click.option("--accuracy", metavar="ERROR", help='Largest error its maker states, such as "1.6 %".')
@click.option("--calibrated", metavar="DATE", help="Date of its last calibration, year-month-day.")
@click.option("--name", metavar="NAME", help="What it is called.")
@click.option("--columns", metavar="NAMES", help='How its logger heads them: "time=Zeit, gauge=Druck [mbar]".')
@click.option("--port", metavar="PORT", help='Serial port on which it prints lines: "/dev/ttyUSB0 9600".')
@click.option("--pattern", metavar="LINE", help='Such a line, {} where its number stands: "P={} mbar T={air [degC]}".')
@click.option("--edit", is_flag=True, help="INSTRUMENT is the name of one in use: describe it again.")
def instrument(what: str, span: str | None, *, edit: bool, as_json: bool, **figures: str | None) -> None:
    """Describe an instrument: INSTRUMENT is such as gauge, thermometer or barometer, or the usual one's name.

    What is not typed is the usual figure of such an instrument; with --edit, the figure as it was. A hold that was
    planned before keeps the instrument as it was then.

    \b
    Example:
      commission instrument "digital gauge" --step "0.1 mbar" --name "bench gauge"
      commission instrument "bench gauge" --edit --accuracy "1 mbar"
      commission instrument "dial gauge" --marks "20 mbar quarter" --tapped yes
    """
    from commission.bench.deed import said
    from commission.bench.figures import instrument_line
    from commission.bench.instrument.whole import corrected_instrument, whole_instrument

    changes = {"range" if key == "span" else key: typed for key, typed in {**figures, "span": span}.items()}
    with recording(None, as_json=as_json) as job:
        typed = {key: text for key, text in changes.items() if text is not None}
        found = (corrected_instrument if edit else whole_instrument)(job.book, what, typed)
        job.do(said(f"{found.name}: {instrument_line(found)}", lambda: job.book.add_instrument(found)))
