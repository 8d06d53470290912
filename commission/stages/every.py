"""All stages in the order of the job: the list from which record, bench, screens and commands know them."""

from importlib import import_module
from typing import TYPE_CHECKING

from commission.procedure.stage_ids import STAGE_IDS

if TYPE_CHECKING:
    from commission.bench.face import Face


def _face(stage_id: str) -> "Face":
    face: Face = import_module(f"commission.stages.{stage_id}.stage").FACE
    return face


STAGES = tuple(_face(stage_id) for stage_id in STAGE_IDS)
"""Their faces, each from the folder of its id."""
