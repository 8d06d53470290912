"""The job with one stage more: the dust filters behind all others."""

from pathlib import Path

from commission.__main__ import job
from commission.bench.job import Job
from tests.toy_stage.stage import FACE

PROCEDURE = Path(__file__).with_name("procedure.toml")


def toy_job() -> Job:
    """Return the program's own job and the dust filters."""
    usual = job()
    return Job(
        stages=lambda: (*usual.stages(), FACE),
        procedure=lambda: usual.procedure() + PROCEDURE.read_text(encoding="utf-8"),
    )
