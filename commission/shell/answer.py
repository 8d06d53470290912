"""What a calculator answers as one JSON object on one line."""

import json
from dataclasses import asdict


def answer_line(answer: object) -> str:
    """Return an answer, which is a dataclass, as one JSON object on one line, in ASCII."""
    return json.dumps(answer, default=asdict, ensure_ascii=True, allow_nan=False)
