"""Cards of an invented pressure hold."""

from commission.base.errors import InputError
from commission.bench.card import CardContent, CautionLine, CautionMark, Figure, VerdictLine
from commission.bench.prompt import Prompt
from commission.record.ladder import StageWord
from commission.ui.widgets.stage_ladder import Rung

CAUTIONS = (
    "The air in this loop holds about 90 J at the test pressure: a fitting that lets go can take an eye.",
    "Everyone at the bench wears eye protection.",
    "The test pressure stays below the weakest part's rating, 1.0 bar.",
    "A regulator and a relief valve stand between the source and the loop.",
    "The gas is air or nitrogen, never oxygen.",
    "The loop is empty and nothing is powered.",
    "The source is shut off before the hold starts.",
    "The pressure is let down before a fitting is touched.",
)

RUNGS = tuple(
    Rung(key=name, name=name, state=state)
    for name, state in (
        ("build sheet", StageWord.PASSED),
        ("pressure hold", StageWord.RUNNING),
        ("fill", StageWord.LOCKED),
        ("bleed", StageWord.LOCKED),
        ("first power-on", StageWord.LOCKED),
        ("fan headers", StageWord.LOCKED),
        ("thermal soak", StageWord.LOCKED),
        ("handover", StageWord.LOCKED),
    )
)


def understand(text: str) -> str:
    """Understand two numbers."""
    parts = text.replace(",", ".").split()
    try:
        gauge, air = (float(part) for part in parts)
    except ValueError:
        raise InputError(
            f'"{text[:20]}" is not a gauge and an air temperature: type both with a space between, such as 497,5 21.3'
        ) from None
    return f"gauge {gauge:g} mbar · air {air:g} °C"


def cautions(now: int) -> tuple[CautionLine, ...]:
    """The cautions with all before `now` answered."""
    marks = [CautionMark.ANSWERED] * now + [CautionMark.NOW] + [CautionMark.OPEN] * len(CAUTIONS)
    return tuple(CautionLine(text=text, mark=mark) for text, mark in zip(CAUTIONS, marks, strict=False))


def running() -> CardContent:
    """A hold that has not decided yet."""
    return CardContent(
        proves="the empty loop leaks less than 0.01 mbar·L/s at 500 mbar",
        rests_on="the build sheet: 9 parts, 1.86 L, weakest part 1.0 bar",
        cautions=cautions(len(CAUTIONS)),
        step="6 of 9",
        prompt=Prompt(
            key="reading",
            ask="Read the gauge and the thermometer, and type both in one line.",
            hint="gauge in mbar, then air in °C",
            understand=understand,
        ),
        figures=(
            Figure(label="leak rate", value="0.0041 mbar·L/s", bounds="0.0022 to 0.0111", remark="at 500 mbar, 20 °C"),
            Figure(
                label="drop, compensated",
                value="1.3 mbar",
                bounds="± 0.4 mbar",
                remark="the plain drop is 2.9 mbar: the room cooled by 0.6 °C",
            ),
            Figure(label="volume", value="1.86 L", bounds="± 0.09 L", remark="sum of the parts"),
            Figure(label="smallest leak found", value="0.0069 mbar·L/s", remark="in this time"),
        ),
        verdict=VerdictLine(word="inconclusive", text="the upper bound 0.0111 mbar·L/s is beyond the limit."),
        missing="about 35 min more",
        plot=True,
        clock=True,
    )


def asking() -> CardContent:
    """The cautions, the sixth of which is asked."""
    return CardContent(
        proves="the empty loop leaks less than 0.01 mbar·L/s at 500 mbar",
        rests_on="the build sheet: 9 parts, 1.86 L, weakest part 1.0 bar",
        cautions=cautions(5),
        cautions_open=True,
        step="2 of 9",
        prompt=Prompt(key="caution 6", ask="Is the loop empty, and is nothing powered?", placeholder="yes"),
        figures=(Figure(label="volume", value="1.86 L", bounds="± 0.09 L", remark="sum of the parts"),),
    )


def failed() -> CardContent:
    """A hold that was closed with a fail."""
    return CardContent(
        proves="the empty loop leaks less than 0.01 mbar·L/s at 500 mbar",
        cautions=cautions(len(CAUTIONS)),
        step="9 of 9",
        prompt=Prompt(key="after", ask="Release the pressure slowly. What does the gauge show?"),
        figures=(Figure(label="leak rate", value="0.031 mbar·L/s", bounds="0.027 to 0.035"),),
        verdict=VerdictLine(word="fail", text="the lower bound 0.027 mbar·L/s is beyond the limit.", final=True),
        notices=("NOTE: the gauge reads to 10 bar, more than 5 times the test pressure.",),
        plot=True,
    )
