"""What of a stated project does not fit its plan, and what it needs that would go round in a circle."""

from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass
from uuid import UUID

from swardcost_model.capital_plans import PlanFields, PlanProject, PlanProjectFields
from swardcost_model.problems import Fault

Node = UUID | str
"""A project by its id, or all projects of one `together_with`, which begin in one year."""


@dataclass(frozen=True, slots=True)
class Misfit:
    """Where a project does not fit its plan: the place in the project, and the place in the plan that it runs into."""

    in_project: str
    in_plan: str
    needed: str
    got: str


def beginnings(plan: PlanFields, project: PlanProjectFields) -> range:
    """The years in which a project can begin so that its last phase is in the plan; none where it is too long."""
    return range(plan.first_year, plan.first_year + plan.years - len(project.phases) + 1)


def misfits(plan: PlanFields, project: PlanProjectFields) -> Iterator[Misfit]:
    """Years outside the plan, and groups and criteria that it does not have."""
    can_begin = beginnings(plan, project)
    if not can_begin:
        yield Misfit(
            "/phases",
            "/years",
            f"at most {plan.years} phases, one for each year",
            f"{len(project.phases)} phases",
        )
    else:
        years = f"a year from {can_begin[0]} to {can_begin[-1]}, so that all phases are in the plan"
        for name in ("year", "earliest", "latest"):
            year = getattr(project, name)
            if year is not None and year not in can_begin:
                end = "/first_year" if year < can_begin[0] else "/years"
                yield Misfit(f"/{name}", end, years, str(year))
    groups = [one.name for one in plan.growth_groups]
    if project.growth_group is not None and project.growth_group not in groups:
        yield Misfit("/growth_group", "/growth_groups", _one_of("growth group", groups), project.growth_group)
    criteria = [one.name for one in plan.criteria]
    for place, score in enumerate(project.scores):
        if score.criterion not in criteria:
            pointer = f"/scores/{place}/criterion"
            yield Misfit(pointer, "/criteria", _one_of("criterion", criteria), score.criterion)


def _one_of(what: str, names: Collection[str]) -> str:
    return f"a {what} of the plan: {', '.join(names)}" if names else f"none, since the plan has no {what}"


def outside_window(project: PlanProjectFields) -> Iterator[Fault]:
    """A year that is before `earliest` or after `latest`."""
    year, earliest, latest = project.year, project.earliest, project.latest
    if year is not None and earliest is not None and year < earliest:
        yield Fault(pointer="/year", expected=f"a year not before `earliest`, {earliest}", got=str(year))
    if year is not None and latest is not None and year > latest:
        yield Fault(pointer="/year", expected=f"a year not after `latest`, {latest}", got=str(year))


def not_together(
    plan: PlanFields, project: PlanProjectFields, others: Mapping[UUID, PlanProject]
) -> Iterator[Fault]:
    """A name that it shares with projects none of whose years it can begin in."""
    name = project.together_with
    partners = [one for one in others.values() if name is not None and one.together_with == name]
    if not partners:
        return
    first, last = (
        end([_window(plan, one)[place] for one in partners]) for place, end in ((0, max), (1, min))
    )
    begins, ends = _window(plan, project)
    if max(first, begins) > min(last, ends):
        with_them = ", ".join(f"{one.number} ({one.name})" for one in partners)
        yield Fault(
            pointer="/together_with", expected=f"projects that can begin in one year; {with_them}: {first} to {last}",
            got=f"{begins} to {ends}",
        )  # fmt: skip


def _window(plan: PlanFields, project: PlanProjectFields) -> tuple[int, int]:
    can_begin = beginnings(plan, project)
    first, last = can_begin.start, can_begin.stop - 1
    return max(first, project.earliest or first), min(last, project.latest or last)


def prerequisite_faults(
    own_id: UUID, project: PlanProjectFields, others: Mapping[UUID, PlanProject]
) -> Iterator[Fault]:
    """Prerequisites that are not of this plan, and those that need this project in turn.

    Projects that begin together count as one, since what one of them waits for all of them wait for.
    """
    needs = _Needs.of(own_id, project, others)
    own = needs.nodes[own_id]
    for place, one in enumerate(project.prerequisites):
        pointer, got = f"/prerequisites/{place}", str(one.project_id)
        if one.project_id not in others:
            yield Fault(pointer=f"{pointer}/project_id", expected="another project of this plan", got=got)
            continue
        named = others[one.project_id].name
        if needs.nodes[one.project_id] == own:
            if one.years_before:
                yield Fault(
                    pointer=f"{pointer}/years_before", expected=f"0, since it begins together with {named!r}",
                    got=str(one.years_before),
                )  # fmt: skip
        elif own in needs.behind(needs.nodes[one.project_id]):
            expected = f"a project that does not need this one first, as {named!r} does"
            yield Fault(pointer=f"{pointer}/project_id", expected=expected, got=got)
    for partner in others.values():
        if needs.nodes[partner.id] != own:
            continue
        for one in partner.prerequisites:
            node = needs.nodes.get(one.project_id)
            apart = node == own and one.project_id == own_id and one.years_before
            if apart or (node is not None and node != own and own in needs.behind(node)):
                yield Fault(
                    pointer="/together_with", expected="projects that need not wait for each other",
                    got=f"{project.together_with}, in which {partner.name!r} has to wait",
                )  # fmt: skip
                return


@dataclass(frozen=True, slots=True)
class _Needs:
    """Which projects must be begun before which, partners taken as one."""

    nodes: Mapping[UUID, Node]
    before: Mapping[Node, frozenset[Node]]

    @classmethod
    def of(cls, own_id: UUID, project: PlanProjectFields, others: Mapping[UUID, PlanProject]) -> "_Needs":
        stated: dict[UUID, PlanProjectFields] = {**others, own_id: project}
        nodes: dict[UUID, Node] = {key: one.together_with or key for key, one in stated.items()}
        before: dict[Node, set[Node]] = {node: set() for node in nodes.values()}
        for key, one in stated.items():
            before[nodes[key]] |= {
                nodes[need.project_id] for need in one.prerequisites if need.project_id in nodes
            } - {nodes[key]}
        return cls(nodes, {node: frozenset(found) for node, found in before.items()})

    def behind(self, node: Node) -> frozenset[Node]:
        """Whatever must be begun before a node, directly or not."""
        found: set[Node] = set()
        waiting = [node]
        while waiting:
            new = self.before[waiting.pop()] - found
            found |= new
            waiting += new
        return frozenset(found)
