"""Read the tables beside this file, and the expected figures in their comment lines."""

import csv
import re
from pathlib import Path

HERE = Path(__file__).parent
NUMBER = re.compile(r"(?<![\w.])[-+]?\d+\.?\d*(?:[eE][-+]?\d+)?(?![\w.])")


def table(name: str) -> dict[str, list[float]]:
    """Return the columns of a table by their names."""
    lines = (HERE / f"{name}.csv").read_text(encoding="utf-8").splitlines()
    rows = list(csv.DictReader(line for line in lines if not line.startswith("#")))
    return {key: [float(row[key]) for row in rows] for key in rows[0]}


def expected(name: str, what: str) -> list[float]:
    """Return the numbers right of the equals sign in the one comment line that starts with ``what``."""
    lines = (HERE / f"{name}.csv").read_text(encoding="utf-8").splitlines()
    found = [line for line in lines if line.startswith(f"# {what}")]
    if len(found) != 1:
        raise LookupError(f"{len(found)} lines start with {what!r} in {name}.csv")
    _label, _, values = found[0].partition(" = ")
    return [float(number) for number in NUMBER.findall(values)]
