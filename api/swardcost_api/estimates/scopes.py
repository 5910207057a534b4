"""The scope of a project: methods on areas with their parameters, and what they take."""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from functools import cache
from itertools import groupby
from operator import itemgetter
from typing import Any
from uuid import UUID

from pydantic import ValidationError
from pydantic_core import from_json
from sqlalchemy import Row, String, Text, cast, delete, func, insert, select
from swardcost_model import problems
from swardcost_model.paging import Page
from swardcost_model.problems import Fault, ProblemError
from swardcost_model.projects import NewScopeItem, Resource, ScopeItem, ScopeItemChange, ScopeItemFields

from swardcost_api.access.service import record
from swardcost_api.course.service import AreaFacts, area_facts, areas_with_ids
from swardcost_api.engine.pricing.allocation import whole_weights
from swardcost_api.estimates.projects import hold_project, read_project
from swardcost_api.estimates.tables import (
    AlternateRow,
    AlternateScopeRow,
    ProjectRow,
    ScopeAreaRow,
    ScopeItemRow,
    ScopeMethodRow,
)
from swardcost_api.faults import faults_of
from swardcost_api.methods.frame import AnyMethod, Measure
from swardcost_api.methods.registry import METHODS
from swardcost_api.methods.service import method_to_use, pinned_methods
from swardcost_api.storage.paging import read_page
from swardcost_api.storage.rows import by_id, delete_row, edit_row, read_row
from swardcost_api.storage.work import UnitOfWork
from swardcost_api.units import UNITS

_REVISION = (
    select(ScopeMethodRow.revision)
    .where(ScopeMethodRow.club_id == ScopeItemRow.club_id, ScopeMethodRow.scope_item_id == ScopeItemRow.id)
    .scalar_subquery()
)
_SCOPE_ITEM = (
    ScopeItemRow.id, ScopeItemRow.project_id, ScopeItemRow.number, ScopeItemRow.name, ScopeItemRow.method,
    _REVISION.label("method_revision"), ScopeItemRow.parameters, ScopeItemRow.resources, ScopeItemRow.note,
    ScopeItemRow.starts_on, ScopeItemRow.ends_on, ScopeItemRow.group, ScopeItemRow.version,
)  # fmt: skip
_SCOPE_ITEM_BY_ID = by_id(ScopeItemRow, _SCOPE_ITEM)

ScopeCheck = Callable[[UnitOfWork, UUID, AnyMethod, Sequence[Measure]], Iterator[Fault]]
"""Looks at the method and measures that a scope item is about to have, and names what would not work with them."""
_CHECKS: list[ScopeCheck] = []


def checks_scope_changes(check: ScopeCheck) -> ScopeCheck:
    """Have a room that builds on scope items look at each one before it is replaced; its faults refuse the change."""
    _CHECKS.append(check)
    return check


@dataclass(frozen=True, slots=True, eq=False)
class Ground:
    """The areas that a scope item works, in order; scope items on the same areas share one."""

    areas: tuple[AreaFacts, ...] = ()
    area_m2: float = field(init=False)
    """Total of the known sizes."""
    sized: tuple[AreaFacts, ...] = field(init=False)
    """The areas with a size."""
    weights: Sequence[int] = field(init=False)
    """Their sizes as whole numbers in the same proportion, by which amounts are split over them."""

    def __post_init__(self) -> None:
        sized = tuple(area for area in self.areas if area.size_m2)
        object.__setattr__(self, "area_m2", sum(area.size_m2 or 0.0 for area in sized))
        object.__setattr__(self, "sized", sized)
        weights = whole_weights([area.size_m2 or 0.0 for area in sized]) if sized else ()
        object.__setattr__(self, "weights", weights)

    @property
    def missing_sizes(self) -> int:
        """How many of the areas have no size."""
        return len(self.areas) - len(self.sized)


NO_GROUND = Ground()


@dataclass(frozen=True, slots=True, eq=False)
class KindOfWork:
    """A method with its parameters; scope items of a scope that say the same share one."""

    method: AnyMethod
    parameters: Mapping[str, Any]

    def take_off(self, area_m2: float) -> tuple[Measure, ...]:
        """The measures for that total area; none where the method needs areas and there is no size."""
        if self.method.needs_areas and area_m2 <= 0:
            return ()
        return self.method.take_off(self.method.parameters_as_stored(self.parameters), area_m2)


@dataclass(frozen=True, slots=True)
class ScopeEntry:
    """A scope item as pricing needs it: with its areas' facts."""

    id: UUID
    number: int
    name: str
    kind: KindOfWork
    resources: Sequence[Mapping[str, Any]]
    ground: Ground
    starts_on: date
    ends_on: date
    group: str | None

    @property
    def method(self) -> AnyMethod:
        """How the work is done."""
        return self.kind.method

    @property
    def parameters(self) -> Mapping[str, Any]:
        """Its parameters as they are stored."""
        return self.kind.parameters

    @property
    def areas(self) -> Sequence[AreaFacts]:
        """The areas in their order."""
        return self.ground.areas

    @property
    def area_m2(self) -> float:
        """Total of the known sizes."""
        return self.ground.area_m2

    def take_off(self) -> dict[str, Measure]:
        """The measures of the method over all areas, by name; none where no size is known."""
        return {measure.name: measure for measure in self.kind.take_off(self.area_m2)}


def create_scope_item(work: UnitOfWork, project_id: UUID, new: NewScopeItem) -> ScopeItem:
    """Add a scope item at the end of a project's scope. Raises `invalid-values` with each fault's place."""
    hold_project(work, project_id)
    method, _ = _checked_method(work, new)
    highest = work.session.scalar(
        select(func.max(ScopeItemRow.number)).where(
            ScopeItemRow.club_id == work.club_id, ScopeItemRow.project_id == project_id
        )
    )
    item = ScopeItem(
        id=work.new_id(), project_id=project_id, number=(highest or 0) + 1, method_revision=method.revision,
        version=1, **new.model_dump(),
    )  # fmt: skip
    work.session.execute(
        insert(ScopeItemRow).values(
            club_id=work.club_id,
            id=item.id,
            project_id=project_id,
            number=item.number,
            version=1,
            **_columns(new),
        )
    )
    _put_areas(work, item.id, new.area_ids)
    _pin_method(work, item.id, method)
    record(work, "create", "scope_item", item.id, after=item)
    return item


def list_scope_items(work: UnitOfWork, project_id: UUID, limit: int, cursor: str | None) -> Page[ScopeItem]:
    """A project's scope, in order."""
    read_project(work, project_id)
    statement = select(*_SCOPE_ITEM).where(
        ScopeItemRow.club_id == work.club_id, ScopeItemRow.project_id == project_id
    )
    rows, following = read_page(work, statement, (ScopeItemRow.number,), limit, cursor)
    areas = _area_ids(work, [row.id for row in rows])
    return Page[ScopeItem](items=[_scope_item(row, areas.get(row.id, [])) for row in rows], next=following)


def read_scope_item(work: UnitOfWork, scope_item_id: UUID) -> ScopeItem:
    """One scope item."""
    row = read_row(work, _SCOPE_ITEM_BY_ID, scope_item_id, "scope item")
    return _scope_item(row, _area_ids(work, [scope_item_id]).get(scope_item_id, []))


def change_scope_item(
    work: UnitOfWork, scope_item_id: UUID, change: ScopeItemChange, if_match: int
) -> ScopeItem:
    """Replace a scope item. Estimates already made stay as they are.

    Raises `invalid-values` also where something that builds on it, such as its task, would not work any more.
    """
    before = _held(work, scope_item_id)
    method, measures = _checked_method(work, change)
    faults = [fault for check in _CHECKS for fault in check(work, scope_item_id, method, measures)]
    if faults:
        raise _refused(faults)
    edit_row(work, ScopeItemRow, scope_item_id, if_match, "scope item", **_columns(change))
    _drop(work, ScopeAreaRow, scope_item_id)
    _put_areas(work, scope_item_id, change.area_ids)
    _drop(work, ScopeMethodRow, scope_item_id)
    _pin_method(work, scope_item_id, method)
    after = ScopeItem(
        id=scope_item_id, project_id=before.project_id, number=before.number, method_revision=method.revision,
        version=if_match + 1, **change.model_dump(),
    )  # fmt: skip
    record(work, "change", "scope_item", scope_item_id, before, after)
    return after


def delete_scope_item(work: UnitOfWork, scope_item_id: UUID, if_match: int) -> None:
    """Take a scope item out of the scope. Estimates already made stay as they are. Raises `in-use` where an alternate
    brings it or leaves it out."""
    before = _held(work, scope_item_id)
    _refuse_optional(work, scope_item_id)
    _drop(work, ScopeAreaRow, scope_item_id)
    _drop(work, ScopeMethodRow, scope_item_id)
    delete_row(work, ScopeItemRow, scope_item_id, if_match, "scope item")
    record(work, "delete", "scope_item", scope_item_id, before)


def _refuse_optional(work: UnitOfWork, scope_item_id: UUID) -> None:
    """Raise `in-use` for a scope item that an alternate brings or leaves out."""
    named = work.session.scalars(
        select(AlternateRow.name)
        .join(
            AlternateScopeRow,
            (AlternateScopeRow.club_id == AlternateRow.club_id) & (AlternateScopeRow.alternate_id == AlternateRow.id),
        )
        .where(AlternateScopeRow.club_id == work.club_id, AlternateScopeRow.scope_item_id == scope_item_id)
        .order_by(AlternateRow.number)
    ).all()  # fmt: skip
    if named:
        raise ProblemError(
            problems.IN_USE,
            f"The scope item is in the alternates {', '.join(map(repr, named))}; change those first.",
        )


def _held(work: UnitOfWork, scope_item_id: UUID) -> ScopeItem:
    """A scope item whose project's scope nobody else changes or prices until this transaction ends."""
    hold_project(work, read_scope_item(work, scope_item_id).project_id)
    return read_scope_item(work, scope_item_id)


def load_scope_items(work: UnitOfWork, project_id: UUID) -> list[ScopeEntry]:
    """All scope items of a project with their areas and methods, those of alternates too, in four queries at most."""
    statement = (
        select(
            ScopeItemRow.id, ScopeItemRow.number, ScopeItemRow.name, ScopeItemRow.method,
            _REVISION.label("method_revision"), cast(ScopeItemRow.parameters, Text).label("parameters"),
            cast(ScopeItemRow.resources, Text).label("resources"), ScopeItemRow.group,
            func.coalesce(ScopeItemRow.starts_on, ProjectRow.starts_on),
            func.coalesce(ScopeItemRow.ends_on, ProjectRow.ends_on),
        )
        .join(
            ProjectRow,
            (ProjectRow.club_id == ScopeItemRow.club_id) & (ProjectRow.id == ScopeItemRow.project_id),
        )
        .where(ScopeItemRow.club_id == work.club_id, ScopeItemRow.project_id == project_id)
        .order_by(ScopeItemRow.number)
    )  # fmt: skip
    rows = work.session.execute(statement).all()
    grounds = _grounds(work, project_id)
    pinned = pinned_methods(
        work, {(row.method, row.method_revision) for row in rows if row.method_revision is not None}
    )
    document = cache(from_json)

    @cache  # a long scope says the same again and again
    def kind_of_work(method: str, revision: int | None, parameters: str) -> KindOfWork:
        found = METHODS[method] if revision is None else pinned[method, revision]
        return KindOfWork(found, document(parameters))

    entries = []
    for item_id, number, name, method, revision, parameters, resources, group, starts_on, ends_on in rows:
        kind = kind_of_work(method, revision, parameters)
        named = document(resources) or kind.method.resources
        ground = grounds.get(item_id, NO_GROUND)
        last_day = max(starts_on, ends_on)
        entries.append(ScopeEntry(item_id, number, name, kind, named, ground, starts_on, last_day, group))
    return entries


def _grounds(work: UnitOfWork, project_id: UUID) -> dict[UUID, Ground]:
    """The ground of each scope item of a project; one for all scope items that name the same areas."""
    place = cast(ScopeAreaRow.position, String) + " " + cast(ScopeAreaRow.area_id, String)
    statement = (
        select(ScopeAreaRow.scope_item_id, func.aggregate_strings(place, ","))
        .where(
            ScopeAreaRow.club_id == work.club_id,
            ScopeAreaRow.scope_item_id.in_(
                select(ScopeItemRow.id).where(
                    ScopeItemRow.club_id == work.club_id, ScopeItemRow.project_id == project_id
                )
            ),
        )
        .group_by(ScopeAreaRow.scope_item_id)
    )
    facts = area_facts(work)

    @cache
    def ground(places: str) -> Ground:
        placed = sorted((int(position), area_id) for position, area_id in map(str.split, places.split(",")))
        return Ground(tuple(facts[UUID(area_id)] for _, area_id in placed))

    return {scope_item_id: ground(places) for scope_item_id, places in work.session.execute(statement).all()}


def _checked_method(work: UnitOfWork, fields: ScopeItemFields) -> tuple[AnyMethod, tuple[Measure, ...]]:
    """The method of a scope item that pricing can use, and what it measures on a square metre.

    Raises `invalid-values` for an unknown method, bad parameters, unknown measures and areas.
    """
    method = method_to_use(work, fields.method)
    if method is None:
        expected = "a method of the club's own or one of " + ", ".join(METHODS)
        raise _refused([Fault(pointer="/method", expected=expected, got=fields.method)])
    faults: list[Fault] = []
    measures: tuple[Measure, ...] = ()
    try:
        parameters = method.parameters_as_typed(fields.parameters)
    except ValidationError as error:
        faults += faults_of(error, ("parameters",))
    else:
        try:
            measures = method.take_off(parameters, 1.0)
        except (ValueError, OverflowError) as error:
            faults.append(Fault(pointer="/parameters", expected=str(error)))
        else:
            names = [measure.name for measure in measures]
            faults += _resource_faults(fields.resources, names)
            if not fields.resources:
                faults += _line_faults(method, names)
    if len(set(fields.area_ids)) != len(fields.area_ids):
        faults.append(Fault(pointer="/area_ids", expected="each area once"))
    if method.needs_areas and not fields.area_ids:
        faults.append(Fault(pointer="/area_ids", expected="at least one area for this method", got="none"))
    known = areas_with_ids(work, fields.area_ids)
    for index, area_id in enumerate(fields.area_ids):
        if area_id not in known:
            faults.append(
                Fault(pointer=f"/area_ids/{index}", expected="an area of this club", got=str(area_id))
            )
    if faults:
        raise _refused(faults)
    return method, measures


def _resource_faults(resources: Sequence[Resource], measures: Sequence[str]) -> Iterator[Fault]:
    """Resources driven by a measure that these parameters do not give, or stated in an unknown unit."""
    for index, resource in enumerate(resources):
        if resource.quantity is not None and resource.quantity.unit not in UNITS:
            yield Fault(
                pointer=f"/resources/{index}/quantity/unit", expected="a unit listed at /v1/units",
                got=resource.quantity.unit,
            )  # fmt: skip
        if resource.measure is not None and resource.measure not in measures:
            yield Fault(
                pointer=f"/resources/{index}/measure",
                expected="a measure that the method gives with these parameters: " + ", ".join(measures),
                got=resource.measure,
            )


def _line_faults(method: AnyMethod, measures: Sequence[str]) -> Iterator[Fault]:
    """Lines of the club's own method that these parameters leave without a measure."""
    for line in method.resources:
        if line["measure"] not in measures:
            yield Fault(
                pointer="/resources",
                expected=f"parameters that say how much the method's line {line['measure']} needs, or resources here "
                "instead of its lines",
                got="none",
            )


def _refused(faults: list[Fault]) -> ProblemError:
    return ProblemError(
        problems.INVALID_VALUES, "The scope item cannot be used; nothing was changed.", faults
    )


def _columns(fields: ScopeItemFields) -> dict[str, Any]:
    document = fields.model_dump(mode="json")
    stated = ("name", "method", "parameters", "resources", "group", "note")
    return {name: document[name] for name in stated} | {
        "starts_on": fields.starts_on, "ends_on": fields.ends_on
    }  # fmt: skip


def _put_areas(work: UnitOfWork, scope_item_id: UUID, area_ids: Sequence[UUID]) -> None:
    if area_ids:
        work.session.execute(
            insert(ScopeAreaRow),
            [
                {
                    "club_id": work.club_id,
                    "scope_item_id": scope_item_id,
                    "area_id": area_id,
                    "position": position,
                }
                for position, area_id in enumerate(area_ids)
            ],
        )


def _pin_method(work: UnitOfWork, scope_item_id: UUID, method: AnyMethod) -> None:
    """Keep which revision of the club's own method a scope item was saved with."""
    if method.revision is not None:
        work.session.execute(
            insert(ScopeMethodRow).values(
                club_id=work.club_id,
                scope_item_id=scope_item_id,
                method=method.name,
                revision=method.revision,
            )
        )


def _drop(work: UnitOfWork, table: Any, scope_item_id: UUID) -> None:
    work.session.execute(
        delete(table).where(table.club_id == work.club_id, table.scope_item_id == scope_item_id)
    )


def _area_ids(work: UnitOfWork, scope_item_ids: Sequence[UUID]) -> dict[UUID, list[UUID]]:
    """The areas of scope items, in order."""
    statement = (
        select(ScopeAreaRow.scope_item_id, ScopeAreaRow.area_id)
        .where(ScopeAreaRow.club_id == work.club_id, ScopeAreaRow.scope_item_id.in_(scope_item_ids))
        .order_by(ScopeAreaRow.scope_item_id, ScopeAreaRow.position)
    )
    return {
        scope_item_id: [area_id for _, area_id in rows]
        for scope_item_id, rows in groupby(work.session.execute(statement), key=itemgetter(0))
    }


def _scope_item(row: Row[*tuple[Any, ...]], area_ids: list[UUID]) -> ScopeItem:
    return ScopeItem(
        id=row.id, project_id=row.project_id, number=row.number, name=row.name, method=row.method,
        method_revision=row.method_revision, parameters=row.parameters, area_ids=area_ids,
        resources=[Resource(**one) for one in row.resources], starts_on=row.starts_on, ends_on=row.ends_on,
        group=row.group, note=row.note, version=row.version,
    )  # fmt: skip
