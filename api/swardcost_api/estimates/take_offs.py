"""Taking off quantities: of one scope item with every step, or of a whole scope in figures."""

from collections.abc import Iterable, Sequence
from uuid import UUID

from pydantic import ValidationError
from swardcost_model import problems
from swardcost_model.estimates import ItemMeasures, ProjectTakeOff, TakeOff
from swardcost_model.problems import Fault, ProblemError

from swardcost_api.access.service import read_club
from swardcost_api.derivations import digits, figure, steps_for
from swardcost_api.estimates.projects import read_project
from swardcost_api.estimates.scope_choice import load_scope
from swardcost_api.estimates.scopes import KindOfWork, ScopeEntry, load_scope_items, read_scope_item
from swardcost_api.faults import faults_of
from swardcost_api.methods.frame import Measure
from swardcost_api.storage.work import UnitOfWork


def take_off(work: UnitOfWork, scope_item_id: UUID) -> TakeOff:
    """The measures of a scope item over its areas as they are now, with their derivations."""
    item = read_scope_item(work, scope_item_id)
    club = read_club(work)
    entry = next(one for one in load_scope_items(work, item.project_id) if one.id == scope_item_id)
    measures = measures_of(entry)
    return TakeOff(
        scope_item_id=scope_item_id,
        area=figure("area", entry.area_m2, "square_meter", club),
        measures=[figure(m.name, m.value, m.unit, club) for m in measures.values()],
        derivations={m.name: steps_for(m.derivation, club) for m in measures.values()},
        missing_sizes=[area.name for area in entry.areas if not area.size_m2],
        cautions=list(entry.method.cautions),
    )


def take_off_project(
    work: UnitOfWork, project_id: UUID, alternate_ids: Sequence[UUID] = ()
) -> ProjectTakeOff:
    """The measures of every scope item over its areas as they are now, and their sums, with these alternates taken."""
    read_project(work, project_id)
    club = read_club(work)
    tallies: dict[KindOfWork, _Tally | _ScaledTally] = {}
    items, grounds = [], set()
    for entry in load_scope(work, project_id, alternate_ids):
        try:
            if entry.kind not in tallies:
                tallies[entry.kind] = (_ScaledTally if entry.method.scales_with_area else _Tally)(entry.kind)
            tally = tallies[entry.kind]
            measures, units = tally.figures_over(entry.area_m2)
        except ValueError as error:
            raise _no_take_off(entry, error) from None
        items.append(
            ItemMeasures.model_construct(  # the figures are ours, and there may be tens of thousands
                _ITEM_FIELDS,
                scope_item_id=entry.id, number=entry.number, name=entry.name, method=entry.method.name,
                measures=measures, units=units, missing_sizes=entry.ground.missing_sizes,
            )
        )  # fmt: skip
        grounds.add(entry.ground)
    sums: dict[tuple[str, str], float] = {}
    for tally in tallies.values():
        for key, value in tally.sums():
            sums[key] = sums.get(key, 0.0) + value
    sizes = {area.id: area.size_m2 for ground in grounds for area in ground.areas if area.size_m2}
    if sizes:
        sums["area", "square_meter"] = sum(sizes.values())
    totals = [figure(name, value, unit, club) for (name, unit), value in sorted(sums.items())]
    return ProjectTakeOff.model_construct(
        project_id=project_id, alternate_ids=list(alternate_ids), items=items, totals=totals
    )


def measures_of(entry: ScopeEntry) -> dict[str, Measure]:
    """The measures of a scope item by name.

    Raises `invalid-values` where its parameters make no sense over these areas, or no longer to the method.
    """
    try:
        return entry.take_off()
    except ValueError as error:
        raise _no_take_off(entry, error) from None


def _no_take_off(entry: ScopeEntry, error: ValueError) -> ProblemError:
    root = f"scope item {entry.number}, /parameters"
    if isinstance(error, ValidationError):
        faults = [
            Fault(pointer=root + fault.pointer, expected=fault.expected, got=fault.got)
            for fault in faults_of(error)
        ]
    else:
        faults = [Fault(pointer=root, expected=str(error))]
    return ProblemError(problems.INVALID_VALUES, "The scope cannot be taken off.", faults)


_ITEM_FIELDS = set(ItemMeasures.model_fields)


class _Tally:
    """The figures of one kind of work, item by item, and the sums of what adds up over items."""

    def __init__(self, kind: KindOfWork) -> None:
        self._kind = kind
        self._sums: dict[tuple[str, str], float] = {}

    def figures_over(self, area_m2: float) -> tuple[dict[str, str], dict[str, str]]:
        """Value and unit by measure of a scope item over that area."""
        measures = self._kind.take_off(area_m2)
        for measure in measures:
            if _adds_up(measure):
                key = measure.name, measure.unit
                self._sums[key] = self._sums.get(key, 0.0) + measure.value
        return {one.name: digits(one.value) for one in measures}, {one.name: one.unit for one in measures}

    def sums(self) -> Iterable[tuple[tuple[str, str], float]]:
        """Sums by measure and unit."""
        return self._sums.items()


class _ScaledTally:
    """The same for a kind of work in proportion to its area, which is computed once, for one square metre."""

    def __init__(self, kind: KindOfWork) -> None:
        self._measures = kind.take_off(1.0)
        self._rates = [(one.name, one.value) for one in self._measures if one.shared_by_area]
        self._fixed = {one.name: digits(one.value) for one in self._measures if not one.shared_by_area}
        self._units = {one.name: one.unit for one in self._measures}
        self._area_m2 = 0.0

    def figures_over(self, area_m2: float) -> tuple[dict[str, str], dict[str, str]]:
        """Value and unit by measure of a scope item over that area."""
        if area_m2 <= 0:
            return {}, {}
        self._area_m2 += area_m2
        return {name: digits(rate * area_m2) for name, rate in self._rates} | self._fixed, self._units

    def sums(self) -> Iterable[tuple[tuple[str, str], float]]:
        """Sums by measure and unit."""
        if self._area_m2:
            for one in filter(_adds_up, self._measures):
                yield (one.name, one.unit), one.value * self._area_m2


def _adds_up(measure: Measure) -> bool:
    """Whether a measure adds up over scope items; ground does not, which several works do not make more of."""
    ground = measure.name == "area" or measure.name.endswith(("_touched_once", "_once"))
    return measure.shared_by_area and not ground
