"""A plan that breaks limits of its years, made one that keeps them by leaving projects out, and improved plans."""

from collections.abc import Iterator

from swardcost_api.engine.capital.candidates import Bundle, Question, Starts
from swardcost_api.engine.capital.kept_limits import broken_limits, broken_of_years
from swardcost_api.engine.capital.nearby_plans import NearbyPlans


def mended(question: Question, starts: Starts) -> dict[str, int]:
    """The starts without projects that are not required, so that every limit of a year is kept.

    One after the other is left out, with all that need it first: the one with which the fewest limits stay broken, of
    several the one worth least. Empty where leaving out does not do it.
    """
    found = dict(starts)
    while any(broken_of_years(question, found)):
        choices = [
            (sum(1 for _ in broken_of_years(question, kept)), -question.worth_of(kept), key, kept)
            for key, kept in _without_each(question, found)
        ]
        if not choices:
            return {}
        found = min(choices)[-1]
    return found


def _without_each(question: Question, starts: Starts) -> Iterator[tuple[str, dict[str, int]]]:
    for bundle in question.bundles:
        if bundle.key in starts:
            out = _with_followers(question, bundle)
            if not any(question.candidates[key].required for key in out):
                yield bundle.key, {key: start for key, start in starts.items() if key not in out}


def _with_followers(question: Question, bundle: Bundle) -> set[str]:
    """The projects of a bundle and all that cannot be done without them."""
    found: set[str] = set()
    waiting = [bundle]
    while waiting:
        for one in waiting.pop().members:
            if one.key not in found:
                found.add(one.key)
                waiting += [
                    question.bundle_of[later.key]
                    for later in question.candidates.values()
                    if any(link.key == one.key for link in later.after)
                ]
    return found


def improved(question: Question, starts: Starts) -> dict[str, int]:
    """A plan in which nothing can start earlier, or come in, by itself without breaking a limit or losing worth.

    Required projects are tried first, then the others by what they are worth; `starts` may leave required projects
    out, and the answer then still may.
    """
    found = dict(starts)
    order = sorted(
        question.bundles,
        key=lambda one: (
            not one.required,
            -max((question.worth_of_bundle(one, s) for s in one.starts), default=0),
            one.key,
        ),
    )
    moved = True
    while moved:
        moved = False
        for bundle in order:
            earlier = _earlier(question, bundle, found)
            if earlier is not None:
                found |= {one.key: earlier for one in bundle.members}
                moved = True
    return found


def polished(question: Question, starts: Starts, most_moves: int) -> dict[str, int]:
    """A plan within all limits, made better by moving up to so many projects at once as long as that does it."""
    nearby = NearbyPlans(question, starts)
    while (better := nearby.better(most_moves)) is not None:
        nearby = NearbyPlans(question, better, nearby.weights)
    return nearby.starts


def _earlier(question: Question, bundle: Bundle, starts: Starts) -> int | None:
    """The first year, before its own if it has one, in which a bundle can start beside the others as they are."""
    now = starts.get(bundle.key)
    worth = question.worth_of_bundle(bundle, now)
    for start in bundle.starts:
        if now is not None and start >= now:
            return None
        if question.worth_of_bundle(bundle, start) < worth:
            return None
        tried = dict(starts) | {one.key: start for one in bundle.members}
        if all(broken.family == "required" for broken in broken_limits(question, tried)):
            return start
    return None
