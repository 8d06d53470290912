"""The program with one stage more: ``python -m tests.toy_stage``."""

from commission.shell import run
from tests.toy_stage.job import toy_job

run(toy_job())
