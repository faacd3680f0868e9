"""How a request about training is answered, and refused."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from calc.files.canon import FileRefusal

Request = Mapping[str, Any]
Answer = dict[str, Any]


class Refused(ValueError):
    """A request that names nothing that there is: the field, and a sentence."""

    def __init__(self, field: str, message: str) -> None:
        super().__init__(message)
        self.field, self.message = field, message


def answered(known: Mapping[str, Callable[[Request], Answer]], op: str, request: Request) -> Answer:
    """Answer a request by its name; a refusal comes as ``{"errors": [{"field", "message"}]}``."""
    asked = known.get(op)
    if asked is None:
        raise ValueError(f"unknown request {op!r}")
    try:
        return asked(request)
    except (Refused, FileRefusal) as refused:
        return {"errors": [{"field": refused.field, "message": refused.message}]}
