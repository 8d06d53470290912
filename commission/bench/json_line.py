"""What a program is told: one JSON object on one line."""

import json

from msgspec import to_builtins


def json_line(told: object) -> str:
    """Return what is made of named fields as one JSON object on one line, in ASCII."""
    return json.dumps(told, default=to_builtins, ensure_ascii=True, allow_nan=False)
