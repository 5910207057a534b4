"""A page of a list, and how to ask for the next."""

from typing import Any, Generic, TypeVar

from pydantic import Field

from swardcost_model.values import Answer

T = TypeVar("T")


class Page(Answer, Generic[T]):
    """One page. `next` is the cursor of the following page, absent on the last."""

    @classmethod
    def model_parametrized_name(cls, params: tuple[Any, ...]) -> str:
        """The name that the OpenAPI document gives to a page of something."""
        return f"PageOf{params[0].__name__}"

    items: list[T]
    next: str | None = Field(default=None, description="Cursor of the following page; null on the last page.")
