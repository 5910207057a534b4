"""`make demo`: the main job on an invented club, through the client, against a real server process."""

import tempfile
from pathlib import Path

from rich.console import Console
from swardcost import Client, InvalidRequest
from swardcost_model.access import NewKey, Role

from swardcost_api.demo import prices, story
from swardcost_api.demo.server import DemoServer, demo_server
from swardcost_api.demo.tour import Tour

WIDTH = 132


def main() -> None:
    """Run the tour in a new folder, which is kept."""
    console = Console(width=max(WIDTH, Console().width) if not Console().is_terminal else None)
    folder = Path(tempfile.mkdtemp(prefix="swardcost-demo-"))
    tour = Tour(console)
    tour.say(f"{story.CLUB_NAME}: the club, its people, vendors and numbers exist in this tour only.")
    with demo_server(folder) as server:
        key = server.command("club", "create", story.CLUB, "--name", story.CLUB_NAME)
        with Client(server.url, club=story.CLUB, key=key) as client:
            run(client, tour, server)
        how_to_go_on(tour, server, key)


def run(client: Client, tour: Tour, server: DemoServer) -> None:
    """Every stage of the main job."""
    tour.stage(1, "Course, catalog and scope")
    planned = story.plan(client)
    tour.say(
        f"{planned.areas} areas and {planned.items} items came in as CSV; the edition “{planned.edition.name}” is "
        f"published; {planned.scope_items} scope items make up “{planned.project.name}”."
    )
    tour.price_list(client.items.list(planned.edition.id))

    tour.stage(2, "The estimate")
    estimate = story.price(client, planned)
    tour.estimate(estimate, client.estimates.lines(estimate.id))
    tour.say("The straw was asked for and has no price, so nothing is guessed.")

    tour.stage(3, "Quotes for the sand")
    request = prices.ask_for_sand(client, estimate)
    comparison = client.quote_requests.compare(request.id, as_of=prices.DECIDED_ON)
    tour.quotes(request, comparison)
    request = prices.choose(client, request, comparison)
    tour.say(f"Chosen: {comparison.best_single}. {request.reason}")
    estimate = story.price_again_with_straw(client, planned, estimate)
    tour.say(
        f"The price of the straw has come too. Revision {estimate.revision} is complete: {estimate.total.amount:,} "
        f"{estimate.total.currency}."
    )

    tour.stage(4, "How good is the estimate?")
    tour.quality(prices.write_basis(client, estimate))

    tour.stage(5, "Why this figure?")
    tour.derivation(client.estimates.explain(estimate.id, 1))

    tour.stage(6, "Does it fit the closure?")
    tour.say(story.put_on_the_calendar(client, planned))

    tour.stage(7, "Decision and budget")
    client.estimates.issue(estimate.id)
    committee = client.keys.issue(NewKey(name="Finance committee", role=Role.COMMITTEE))
    with Client(server.url, club=story.CLUB, key=committee.secret) as member:
        accepted = member.estimates.accept(estimate.id, note="Carried, 7 to 0")
    assert accepted.budget_id is not None
    budget = client.budgets.read(accepted.budget_id)
    tour.say(
        f"The committee accepted it; budget of {budget.total.amount:,} in {len(budget.lines)} lines by month."
    )

    tour.stage(8, "The ledger export")
    profile = story.ledger_profile(client)
    rules = story.add_rules(client, budget.id)
    try:
        client.imports.upload(profile.id, "october.csv", story.export_with_slips())
    except InvalidRequest as refused:
        tour.say(f"The first try is refused, and nothing of it is posted: {refused.problem.detail}")
        tour.faults(refused.faults)
    tour.say(f"The controller mends the two rows and imports again, with {rules} rules that assign postings:")
    tour.imported(client.imports.upload(profile.id, "october.csv", story.mended_export()))
    tour.say("The same file once more changes nothing:")
    tour.imported(client.imports.upload(profile.id, "october-again.csv", story.mended_export()))

    tour.stage(9, "Budget versus actual")
    tour.report(client.budgets.report(budget.id))


def how_to_go_on(tour: Tour, server: DemoServer, key: str) -> None:
    """What a reader may do next."""
    tour.stage(10, "How to go on")
    tour.say(
        f"""The tour's database is {server.database}. To look around in it:

  SWARDCOST_DATABASE_URL=sqlite:///{server.database} .venv/bin/swardcost serve
  KEY={key}
  curl -H "Authorization: Bearer $KEY" http://127.0.0.1:8787/v1/clubs/{story.CLUB}/estimates

The API is documented at http://127.0.0.1:8787/docs while the service runs. For a club of your own:

  .venv/bin/swardcost club create my-club --name "My club"
  .venv/bin/swardcost serve

Costs are estimates for planning, not an offer."""
    )


if __name__ == "__main__":
    main()
