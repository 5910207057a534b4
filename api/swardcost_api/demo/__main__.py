"""`make demo`: the main job on an invented club, through the client, against a real server process."""

import tempfile
from contextlib import ExitStack
from dataclasses import dataclass
from decimal import Decimal
from pathlib import Path
from uuid import UUID

from rich.console import Console
from swardcost import Client, InvalidRequest
from swardcost_model.access import NewKey, Role
from swardcost_model.adjustments import Adjustment
from swardcost_model.estimates import Estimate
from swardcost_model.ledger_months import Reconciliation

from swardcost_api.demo import books, capital, choosing, control, packets, prices, story
from swardcost_api.demo.capital_tour import CapitalTour
from swardcost_api.demo.choosing_tour import ChoosingTour
from swardcost_api.demo.control_tour import ControlTour
from swardcost_api.demo.server import DemoServer, demo_server
from swardcost_api.demo.tour import Tour, table, words

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
            budget_id = run(client, tour, server)
            keep_control(client, tour, server, budget_id)
            plan_id = plan_the_capital(client, tour, server, budget_id)
            give_them_something_to_read(client, tour, server, budget_id, plan_id)
        how_to_go_on(tour, server, key, budget_id)


def run(client: Client, tour: Tour, server: DemoServer) -> UUID:
    """Every stage of the main job, up to budget versus actual; gives the budget's id."""
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

    weigh_risks(client, tour, estimate)
    look_at_other_ways(client, tour, estimate)

    tour.stage(9, "Decision and budget")
    client.estimates.issue(estimate.id)
    committee = client.keys.issue(NewKey(name="Finance committee", role=Role.COMMITTEE))
    with Client(server.url, club=story.CLUB, key=committee.secret) as member:
        accepted = member.estimates.accept(estimate.id, note="Carried, 7 to 0")
    assert accepted.budget_id is not None
    budget = client.budgets.read(accepted.budget_id)
    tour.say(
        f"The committee accepted it; budget of {budget.total.amount:,} in {len(budget.lines)} lines by month."
    )

    tour.stage(10, "The ledger export")
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

    tour.stage(11, "Budget versus actual")
    tour.report(client.budgets.report(budget.id))
    return budget.id


def weigh_risks(client: Client, tour: Tour, estimate: Estimate) -> None:
    """What may go otherwise than estimated, and what contingency that takes."""
    tour.stage(7, "What may go otherwise?")
    stated = choosing.write_down_ranges(client, estimate)
    tour.say(
        f"The superintendent writes down {len(stated.figures)} ranges, {len(stated.events)} events and "
        f"{len(stated.scenarios)} scenarios. A job prices the estimate in every trial by its own rules:"
    )
    told = ChoosingTour(tour)
    simulation = choosing.simulate(client, estimate, told.progress)
    told.outcome(simulation)
    told.contingency(simulation)
    told.scenarios(client.risk.scenarios(estimate.id))


def look_at_other_ways(client: Client, tour: Tour, estimate: Estimate) -> None:
    """Options of the scope, two estimates side by side, and choices that hang on a figure."""
    tour.stage(8, "What could be done instead?")
    told = ChoosingTour(tour)
    other = choosing.price_another_way(client, estimate)
    tour.say(f"Two options of the scope are priced in “{other.estimate.name}”:")
    told.alternates(other.alternates)
    told.comparison(other.comparison)
    told.studies(
        choosing.buy_or_hire(client), choosing.study_the_loader(client), choosing.how_deep(client, estimate)
    )


@dataclass(frozen=True)
class People:
    """Who keeps control of the money, each with a key of their own."""

    superintendent: Client
    controller: Client
    chair: Client


def keep_control(owner: Client, tour: Tour, server: DemoServer, budget_id: UUID) -> None:
    """Every stage of the control of money, up to the end of September."""
    control.set_limits(owner)
    roles = {
        "Superintendent": Role.SUPERINTENDENT,
        "Controller": Role.CONTROLLER,
        "Committee chair": Role.COMMITTEE,
    }
    keys = [owner.keys.issue(NewKey(name=name, role=role)).secret for name, role in roles.items()]
    with ExitStack() as stack:
        clients = (stack.enter_context(Client(server.url, club=story.CLUB, key=key)) for key in keys)
        people = People(*clients)
        told = ControlTour(tour)
        draw = change_the_budget(people, tour, told, budget_id)
        match_orders(people.controller, tour, told, budget_id, draw)
        found = close_the_month(people.controller, tour, told, budget_id)
        measured = control.measure(people.superintendent, budget_id)
        follow_the_money(people.controller, tour, told, budget_id, found, measured)


def change_the_budget(people: People, tour: Tour, told: ControlTour, budget_id: UUID) -> Adjustment:
    """A transfer, a draw from contingency and unplanned work, each approved by who may; gives the draw."""
    superintendent, controller = people.superintendent, people.controller
    tour.stage(12, "Changes of the budget")
    transfer, draw = control.propose_changes(superintendent, budget_id)
    pump = control.price_the_pump(superintendent, budget_id)
    controller.adjustments.approve(transfer.id)
    tour.say(
        "The controller approves the transfer and the repair, but not the draw, which goes to the committee:"
    )
    tour.say(f"  {control.try_to_approve(controller, draw)}")
    people.chair.adjustments.approve(draw.id)
    controller.adjustments.approve(pump.adjustment.id)
    log = controller.budgets.contingency(budget_id)
    told.changes(controller.adjustments.list(budget_id), log, controller.budgets.read(budget_id))
    return draw


def match_orders(
    controller: Client, tour: Tour, told: ControlTour, budget_id: UUID, draw: Adjustment
) -> None:
    """Orders with their tickets and invoices, and an invoice that differs from its order."""
    tour.stage(13, "Orders, tickets and invoices")
    orders = control.place_orders(controller, budget_id, draw)
    tour.say(
        f"{orders.tickets} tickets and {orders.invoices} invoices have come for the orders of the season."
    )
    register = controller.commitments.register(budget_id=budget_id, on=control.MONTH_END)
    told.orders(register, controller.commitments.match(orders.sand.id, on=control.MONTH_END))
    refusal = control.try_to_approve_invoice(controller, orders.dear_invoice)
    tour.say(f"{control.DEAR_INVOICE} without a reason: {refusal}")
    for difference in controller.invoices.match(orders.dear_invoice).differences:
        tour.say(f"  {difference.words}")
    invoice = controller.invoices.approve(orders.dear_invoice, control.DEAR_BECAUSE)
    tour.say(f"With one it is {invoice.status}, {invoice.to_pay.amount:,} to pay: {invoice.reason}.")


def close_the_month(controller: Client, tour: Tour, told: ControlTour, budget_id: UUID) -> Reconciliation:
    """Late entries, what is decided by hand, the trial balance and the closing."""
    tour.stage(14, "Closing September")
    tour.say("Late entries come as a printed ledger, a form that the club has no profile for:")
    proposal = books.propose_profile(controller)
    told.proposal(proposal)
    tour.say(
        "The controller adds Document as the reference, saves the profile, and imports the file as a job:"
    )
    late = books.import_by_job(controller, books.save_profile(controller, proposal))
    told.late_import(late, controller.imports.control_totals(late.id))
    tour.say("What no rule can know is decided by hand:")
    told.mended(
        books.take_back(controller),
        books.split_service(controller, late, budget_id),
        books.pay_the_pump(controller, budget_id),
    )
    closed = books.close(controller, books.reconcile(controller))
    found = controller.ledger_months.reconcile(control.MONTH)
    told.month(found, closed)
    return found


def follow_the_money(
    controller: Client, tour: Tour, told: ControlTour, budget_id: UUID, found: Reconciliation, measured: int
) -> None:
    """Where the money of the closed month stands, why it differs, where it goes, and a file for the accounts."""
    month = control.MONTH
    tour.stage(15, "Where the money stands")
    told.standing(controller.control.standing(budget_id, month), found)

    tour.stage(16, "Why it differs, and where it goes")
    tour.say(f"The superintendent measured {measured} lines of work on {control.MONTH_END}.")
    told.explanation(controller.control.explanation(budget_id, month))
    told.earned_value(
        controller.control.forecast(budget_id, month),
        controller.control.forecast(budget_id, month, "current_rate"),
    )
    told.cash(controller.control.cash_flow(budget_id, month))

    tour.stage(17, "A file for the accounts")
    layout = books.accrual_layout(controller)
    tour.say(controller.control.account_file_csv(budget_id, layout.id, month).decode().rstrip())


def plan_the_capital(owner: Client, tour: Tour, server: DemoServer, budget_id: UUID) -> UUID:
    """Assets, a capital plan, the committee's decisions, its projects' money, and the plan of the next year.

    Gives the id of the plan that was decided on.
    """
    told = CapitalTour(tour)
    tour.stage(18, "What the course is made of")
    told.register(capital.register_assets(owner))

    tour.stage(19, "The capital plan")
    estimate = owner.estimates.read(owner.budgets.read(budget_id).estimate_id)
    plan = capital.begin_plan(owner, estimate)
    told.figures(owner.capital_plans.figures(plan.id))
    told.least(owner.capital_plans.least_contribution(plan.id, percent_a_year=Decimal(3)))
    told.deferrals(owner.capital_plans.deferrals(plan.id, years=2))

    told.scenarios(capital.other_ways(owner, plan))
    told.futures(capital.futures(owner, plan))

    tour.stage(20, "Decided, opened and followed")
    committee = owner.keys.issue(NewKey(name="Capital committee", role=Role.COMMITTEE))
    with Client(server.url, club=story.CLUB, key=committee.secret) as member:
        counts = capital.decide(owner, member, plan)
    tour.say(
        "The committee decides line by line and locks the plan: "
        f"{', '.join(f'{count} {word}' for word, count in counts.items())}."
    )
    opened = capital.open_autumn(owner, plan)
    tour.say(f"“{opened.plan_project.name}” is opened as “{opened.project.name}”, with its budget:")
    told.standing(owner.plan_progress.standing(plan.id, control.MONTH))
    following = capital.go_on(owner, plan.id)
    tour.say(f"“{following.plan.name}” goes on from it:")
    told.moves(owner.plan_progress.moves(following.plan.id))
    return plan.id


def give_them_something_to_read(
    owner: Client, tour: Tour, server: DemoServer, budget_id: UUID, plan_id: UUID
) -> None:
    """Packets as page, PDF and workbook, and a link to one of them."""
    tour.stage(21, "Something to read")
    issued = packets.issue_all(owner, budget_id, plan_id)
    shown = table(
        "Packets as issued", ("#", "right"), ("Kind", "left"), ("Title", "left"), ("Locale", "left"),
        ("Files", "right"), ("PDF, SHA-256", "left"),
    )  # fmt: skip
    for packet in issued:
        shown.add_row(
            str(packet.number), words(packet.kind), packet.title, packet.locale, str(len(packet.files)),
            f"{packets.pdf_digest(packet)[:16]}...",
        )  # fmt: skip
    tour.show(shown)
    shared = packets.share_and_take_back(owner, server.url, issued[1])
    tour.say(
        f"A link opens packet {issued[1].number} without a key ({shared.opened}), until it is taken back "
        f"({shared.since})."
    )
    tour.say(
        f"Pages, PDFs and workbooks are in {packets.write_files(owner, issued, server.database.parent)}."
    )


def how_to_go_on(tour: Tour, server: DemoServer, key: str, budget_id: UUID) -> None:
    """What a reader may do next."""
    tour.stage(22, "How to go on")
    tour.say(
        f"""The tour's database is {server.database}. To look around in it:

  SWARDCOST_DATABASE_URL=sqlite:///{server.database} .venv/bin/swardcost serve
  KEY={key}
  curl -H "Authorization: Bearer $KEY" http://127.0.0.1:8787/v1/clubs/{story.CLUB}/estimates
  curl -H "Authorization: Bearer $KEY" -H "Accept: text/csv" \\
       "http://127.0.0.1:8787/v1/clubs/{story.CLUB}/budgets/{budget_id}/standing?through={control.MONTH}"

The API is documented at http://127.0.0.1:8787/docs while the service runs. For a club of your own:

  .venv/bin/swardcost club create my-club --name "My club"
  .venv/bin/swardcost serve

Costs are estimates for planning, not an offer."""
    )


if __name__ == "__main__":
    main()
