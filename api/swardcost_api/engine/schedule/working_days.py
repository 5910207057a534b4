"""Working days: the days on which work is done, numbered from zero, and the way from dates to numbers and back."""

from bisect import bisect_left, bisect_right
from collections.abc import Collection
from dataclasses import dataclass
from datetime import date, timedelta

ONE_DAY = timedelta(days=1)


class BeyondCalendar(ValueError):
    """Work does not fit into the working days given."""


@dataclass(frozen=True, slots=True)
class WorkingDays:
    """Working days in ascending order; a day's number is its place among them.

    Raises `ValueError` unless there is at least one and they ascend.
    """

    days: tuple[date, ...]

    def __post_init__(self) -> None:
        if not self.days or any(a >= b for a, b in zip(self.days, self.days[1:], strict=False)):
            raise ValueError("working days: expected at least one, each later than the one before")

    @classmethod
    def between(
        cls,
        *,
        first: date,
        last: date,
        weekdays: Collection[int],
        closed: Collection[date] = (),
        worked: Collection[date] = (),
    ) -> "WorkingDays":
        """The working days from `first` to `last`, both included.

        `weekdays` are numbers, Monday 0 to Sunday 6; `closed` days are not worked, `worked` days are, whatever
        their weekday and even if closed.
        """
        span = (first + timedelta(days=n) for n in range((last - first).days + 1))
        return cls(
            tuple(day for day in span if day in worked or (day.weekday() in weekdays and day not in closed))
        )

    def on_or_after(self, day: date) -> int:
        """Number of the first working day on or after a date. Raises `BeyondCalendar` where there is none."""
        return self._within(bisect_left(self.days, day))

    def on_or_before(self, day: date) -> int:
        """Number of the last working day on or before a date; 0 for a date before the first one."""
        return max(bisect_right(self.days, day) - 1, 0)

    def date(self, number: int) -> date:
        """Date of a working day. Raises `BeyondCalendar` after the last one."""
        return self.days[max(self._within(number), 0)]

    def _within(self, number: int) -> int:
        if number >= len(self.days):
            raise BeyondCalendar(
                f"the work goes on after {self.days[-1]}, the last of the {len(self.days)} working days given"
            )
        return number
