"""Collecting everything that is wrong with what a caller sent, before refusing it."""

from dataclasses import dataclass, field
from typing import Any

from pydantic import ValidationError
from pydantic_core import InitErrorDetails, PydanticCustomError


@dataclass
class Refusals:
    """What is well formed but cannot be stored. Places are fields, and fields within them after a slash."""

    title: str
    found: list[InitErrorDetails] = field(default_factory=list)

    def add(self, place: str, expected: str, got: Any) -> None:
        """Refuse what came at a place."""
        self.add_error(place, PydanticCustomError("unusable", "{expected}", {"expected": expected}), got)

    def add_error(self, place: str, error: PydanticCustomError, got: Any) -> None:
        """Refuse what came at a place for a reason found elsewhere."""
        self.found.append({"type": error, "loc": tuple(place.split("/")), "input": got})

    def raise_any(self) -> None:
        """Raise a validation error with all of them, if there are any."""
        if self.found:
            raise ValidationError.from_exception_data(self.title, self.found)
