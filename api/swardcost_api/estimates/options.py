"""Which scope items a choice of alternates leaves in the scope, and what else is decided along with one of them."""

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import combinations
from typing import Literal
from uuid import UUID

from swardcost_model.alternates import AlternateKind
from swardcost_model.problems import Fault

from swardcost_api.estimates.scopes import ScopeEntry


@dataclass(frozen=True, slots=True)
class Option:
    """An alternate as the scope needs it."""

    id: UUID
    number: int
    name: str
    brings: frozenset[UUID] = frozenset()
    leaves_out: frozenset[UUID] = frozenset()
    needs: frozenset[UUID] = frozenset()
    choose_one: str | None = None

    @property
    def kind(self) -> AlternateKind:
        """What taking it does to the scope."""
        if not self.leaves_out:
            return AlternateKind.ADD
        return AlternateKind.SUBSTITUTE if self.brings else AlternateKind.DEDUCT


@dataclass(frozen=True, slots=True)
class Contradiction:
    """Why an alternate can never be taken: the part of it that says so, in words, and which alternates clash there."""

    of: Option
    kind: Literal["needs", "choose_one", "leaves_out"]
    words: str
    by: frozenset[UUID] = frozenset()


@dataclass(frozen=True, slots=True)
class Options:
    """The alternates of a project, in the order of their numbers."""

    options: Sequence[Option] = ()
    by_id: Mapping[UUID, Option] = field(init=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "by_id", {one.id: one for one in self.options})

    def __iter__(self) -> Iterator[Option]:
        return iter(self.options)

    def with_its_needs(self, option_id: UUID) -> set[UUID]:
        """An alternate with all that it needs, and that those need."""
        found: set[UUID] = set()
        waiting = [option_id]
        while waiting:
            one = waiting.pop()
            if one not in found:
                found.add(one)
                waiting += self.by_id[one].needs
        return found

    def flipped(self, taken: Collection[UUID], option_id: UUID) -> frozenset[UUID]:
        """What is taken where this one is decided the other way.

        Given up, it takes along what needs it. Taken, it brings what it needs; another one of a group that this fills
        goes out, with what needs it.
        """
        if option_id in taken:
            return self._without(taken, {option_id})
        added = self.with_its_needs(option_id)
        groups = {self.by_id[one].choose_one for one in added} - {None}
        displaced = {one for one in taken if one not in added and self.by_id[one].choose_one in groups}
        return self._without(taken, displaced) | added

    def _without(self, taken: Collection[UUID], given_up: Collection[UUID]) -> frozenset[UUID]:
        return frozenset(one for one in taken if self.with_its_needs(one).isdisjoint(given_up))

    def scope_of(self, entries: Iterable[ScopeEntry], taken: Collection[UUID]) -> list[ScopeEntry]:
        """The scope items of a project that are in the scope where these alternates are taken."""
        optional = {item for one in self.options for item in one.brings}
        chosen = [self.by_id[one] for one in taken]
        brought = {item for one in chosen for item in one.brings}
        left_out = {item for one in chosen for item in one.leaves_out}
        return [
            entry
            for entry in entries
            if (entry.id not in optional or entry.id in brought) and entry.id not in left_out
        ]

    def faults_of_choice(self, taken: Sequence[UUID]) -> Iterator[Fault]:
        """Alternates that there are not, that miss one that they need, or of which one group has two."""
        groups: dict[str, Option] = {}
        for place, option_id in enumerate(taken):
            pointer, option = f"/alternate_ids/{place}", self.by_id.get(option_id)
            if option is None:
                yield Fault(pointer=pointer, expected="an alternate of this project", got=str(option_id))
                continue
            for needed in sorted(option.needs - set(taken), key=str):
                expected = f"{self.by_id[needed].name!r} as well, which this one needs"
                yield Fault(pointer=pointer, expected=expected, got=option.name)
            if option.choose_one is not None:
                first = groups.setdefault(option.choose_one, option)
                if first is not option:
                    expected = f"one of {option.choose_one!r} at most; {first.name!r} is taken"
                    yield Fault(pointer=pointer, expected=expected, got=option.name)

    def contradictions(self) -> Iterator[Contradiction]:
        """Why alternates can never be taken, or say of the scope what contradicts others."""
        for option in self.options:
            if any(option.id in self.with_its_needs(needed) for needed in option.needs):
                yield Contradiction(option, "needs", f"{option.name!r} needs itself, by what it needs")
                continue
            together = [self.by_id[one] for one in sorted(self.with_its_needs(option.id), key=str)]
            for first, second in combinations(together, 2):
                if first.choose_one is not None and first.choose_one == second.choose_one:
                    words = f"of {first.choose_one!r} one is taken at most; {option.name!r} would take two"
                    yield Contradiction(option, "choose_one", words, frozenset({first.id, second.id}))
            brought = {item for one in together if one is not option for item in one.brings}
            others = [one for one in self.options if one is not option]
            if by := frozenset(one.id for one in others if option.leaves_out & one.brings - brought):
                words = (
                    f"{option.name!r} leaves out what only another alternate, which it does not need, brings"
                )
                yield Contradiction(option, "leaves_out", words, by)
