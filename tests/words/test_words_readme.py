"""What the README shows of the program is what the program says."""

from pathlib import Path

from tests.shell.running import called

README = (Path(__file__).parents[2] / "README.md").read_text(encoding="utf-8")


def test_the_verdict_in_the_readme_is_the_one_of_the_sample_file() -> None:
    shown = README.partition("sample_logs/tight-loop.csv`):\n\n```\n")[2].partition("```")[0].splitlines()
    told = called("judge", "hold", str(Path(__file__).parents[2] / "sample_logs" / "tight-loop.csv")).lines
    assert len(shown) == 2
    assert [line for line in told if line in shown] == shown


def test_safety_stands_before_the_first_hold() -> None:
    assert 0 < README.index("## Safety") < README.index("## A first hold")
