"""The schedule as CSV."""

from swardcost_model.schedule import Schedule

from swardcost_api.csv_files import write_rows

COLUMNS = (
    "number", "scope_item", "starts_on", "finishes_on", "working_days", "opens_on", "earliest_starts_on",
    "latest_starts_on", "total_float", "free_float", "critical", "days_late", "crew", "people", "machine", "machines",
    "why",
)  # fmt: skip


def as_csv(schedule: Schedule) -> str:
    """The tasks, and after them the scope items without days."""
    rows = [
        (
            one.number, one.name, one.starts_on, one.finishes_on, one.working_days, one.opens_on,
            one.earliest_starts_on, one.latest_starts_on, one.total_float, one.free_float,
            "yes" if one.critical else "no", one.days_late, one.crew, one.people, one.machine, one.machines,
            one.why.text,
        )
        for one in schedule.tasks
    ]  # fmt: skip
    left_out = [
        (one.number, one.name, *[None] * (len(COLUMNS) - 3), f"not scheduled: {one.text}")
        for one in schedule.unscheduled
    ]
    return write_rows(COLUMNS, [*rows, *left_out])
