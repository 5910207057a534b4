"""The demo runs, its figures agree from step to step, and the README shows what it really prints."""

import os
import re
import subprocess
from decimal import Decimal
from pathlib import Path

import pytest
from demo_played import ONCE, Played
from swardcost import Client

pytestmark = ONCE

README = Path(__file__).parents[2] / "README.md"
EXCERPT = re.compile(r"```text\n(.*?)```", re.DOTALL)
CONTROL = re.compile(r"### Keep a budget under control\n(.*?)\n```python\n(.*?)```", re.DOTALL)
CAPITAL = re.compile(r"### Plan the capital of the next years\n(.*?)\n```python\n(.*?)```", re.DOTALL)
PACKETS = re.compile(r"### Give the committee something to read\n(.*?)\n```python\n(.*?)```", re.DOTALL)
CHOOSING = re.compile(r"### Choose with open eyes\n(.*?)\n```python\n(.*?)```", re.DOTALL)


def test_the_demo_prints_what_the_readme_shows(played: Played) -> None:
    printed = {line.strip() for line in played.text.splitlines()}
    excerpts = EXCERPT.findall(README.read_text(encoding="utf-8"))
    assert len(excerpts) == 17
    for excerpt in excerpts:
        missing = [line for line in excerpt.splitlines() if line.strip() not in printed]
        assert missing == []


def test_the_ledger_of_the_month_can_be_followed_from_import_to_standing(played: Played) -> None:
    [_, october_export, _] = played.amounts(r"│ 2026-09 +│ +AMOUNT │ +AMOUNT │ +AMOUNT │ +\d+\.\d │\n")
    [debits, credits] = played.amounts(r"3 posted, 1 assigned by rules; debits AMOUNT, credits AMOUNT")
    [ledger, trial_balance, difference] = played.amounts(
        r"Postings of 2026-09 AMOUNT, trial balance AMOUNT: .*, difference AMOUNT\."
    )
    assert october_export + debits - credits == ledger
    assert ledger - trial_balance == difference
    [actual, unassigned, both, told] = played.amounts(
        r"Actual AMOUNT \+ unassigned AMOUNT = AMOUNT; the postings of 2026-09 are AMOUNT\."
    )
    assert actual + unassigned == both == told == ledger


def test_the_risk_of_the_estimate_agrees_with_its_total_and_is_known_well_enough(played: Played) -> None:
    [p80, low, high] = played.amounts(r"│ 80 +│ +AMOUNT │ AMOUNT to AMOUNT │")
    [mean, error] = played.amounts(r"│ mean +│ +AMOUNT │ +AMOUNT │")
    assert low < p80 < high
    assert error < (high - low) / 2 < mean * Decimal("0.002")
    [needed, base, carried, apart] = played.amounts(
        r"Contingency for 80 of 100: AMOUNT on AMOUNT .* carries AMOUNT, more than that by AMOUNT\."
    )
    assert base + needed == p80
    assert carried - needed == apart
    parts = re.search(r"  It is there for (.*), and ([\d,.]+) for \d+ more\.", played.text)
    assert parts is not None
    amounts = [*re.findall(r"([\d,]+\.\d\d)(?:,|$)", parts[1]), parts[2]]
    assert sum(Decimal(one.replace(",", "")) for one in amounts) == needed
    [planned_total, other_total] = played.amounts(r"│ Total +│ +AMOUNT │ +AMOUNT │\n│ Cash")
    assert base + carried == planned_total
    differences = re.findall(r"(-[\d,.]+) with it; otherwise the total would be ([\d,.]+)\n", played.text)
    assert len(differences) == 2
    for difference, otherwise in differences:
        assert Decimal(otherwise.replace(",", "")) + Decimal(difference.replace(",", "")) == other_total


def test_contingency_orders_and_reports_agree_with_the_standing(played: Played) -> None:
    five = " │ ".join([r" *AMOUNT"] * 5)
    [budget, actual, accrued, to_come, available] = played.amounts(f"│ Total +│ {five} │\n└.*\nActual")
    assert budget - actual - accrued - to_come == available
    [opening, drawn, left] = played.amounts(r"Contingency: AMOUNT at first - AMOUNT drawn = AMOUNT left")
    assert opening - drawn == left
    assert played.amounts(f"│ Contingency +│ {five} │")[0] == left
    [*_, not_billed, open_orders] = played.amounts(f"│ Total +│ +│ {five} │ +│")
    assert (not_billed, open_orders) == (accrued, to_come)
    [planned, cost, more] = played.amounts(r"Planned to date AMOUNT, cost AMOUNT, difference AMOUNT:")
    assert cost == actual + accrued == planned + more
    causes = played.amounts(r"scope AMOUNT, timing AMOUNT, quantity AMOUNT, price AMOUNT, spending AMOUNT")
    assert sum(causes) == more
    [at_completion] = played.amounts("At completion AMOUNT if")
    assert played.amounts(r"│ 2026-10 +│ " + " │ ".join([r" *AMOUNT"] * 7) + " │")[-1] == at_completion


def here(text: str, address: str) -> str:
    """What the README says, said to the club of the demo."""
    text = text.replace("http://127.0.0.1:8787", address)
    return text.replace("my-club/", "heron-mere/").replace('"my-club"', '"heron-mere"')


def test_what_the_readme_says_of_choosing_works_on_the_club_of_the_demo(
    played: Played, address: str, capsys: pytest.CaptureFixture[str]
) -> None:
    section = CHOOSING.search(README.read_text(encoding="utf-8"))
    assert section is not None
    with Client(address, club="heron-mere", key=played.key) as client:
        first = next(client.estimates.list())
        accepted = next(client.estimates.list(status="accepted"))
        code = here(section[2], address).replace("sward_my-club_...", played.key)
        code = code.replace("client.estimates.list()", "client.estimates.list(status='accepted')")
        exec(code, {})
        found = next(client.simulations.list(accepted.id))
        assert (found.seed, found.trials) == (7, 20_000)
        assert str(client.simulations.contingency(found.id).needed) in capsys.readouterr().out
        assert first.id != accepted.id
        command = here(section[1][section[1].index("    curl") :], address)
        done = subprocess.run(
            ["sh", "-c", command], env=os.environ | {"KEY": played.key, "ESTIMATE": str(accepted.id)},
            capture_output=True, check=True,
        )  # fmt: skip
        assert done.stdout.decode() == client.risk.swings_svg(accepted.id)


def test_what_the_readme_says_of_control_works_on_the_club_of_the_demo(
    played: Played, address: str, capsys: pytest.CaptureFixture[str]
) -> None:
    section = CONTROL.search(README.read_text(encoding="utf-8"))
    assert section is not None

    with Client(address, club="heron-mere", key=played.key) as client:
        budget = next(client.budgets.list())
        before = client.control.standing(budget.id, "2026-10").total
        exec(here(section[2], address).replace("sward_my-club_...", played.key), {})
        shown = capsys.readouterr().out
        assert all(str(money) in shown for money in (before.adjusted, before.exposure, before.available))
        assert [one.status for one in client.adjustments.list(budget.id)][-1] == "proposed"
        command = here(section[1][section[1].index("    curl") :], address)
        done = subprocess.run(
            ["sh", "-c", command], env=os.environ | {"KEY": played.key, "BUDGET": str(budget.id)},
            capture_output=True, check=True,
        )  # fmt: skip
        assert done.stdout.decode() == client.control.csv(budget.id, "standing", "2026-10")


def test_what_the_readme_says_of_capital_works_on_the_club_of_the_demo(
    played: Played, address: str, capsys: pytest.CaptureFixture[str]
) -> None:
    section = CAPITAL.search(README.read_text(encoding="utf-8"))
    assert section is not None
    exec(here(section[2], address).replace("sward_my-club_...", played.key), {})
    as_dated, enough = capsys.readouterr().out.splitlines()
    with Client(address, club="heron-mere", key=played.key) as client:
        years = client.capital_plans.figures(next(client.capital_plans.list()).id).years
    least = min(years, key=lambda year: year.closing.amount)
    assert as_dated == f"As dated {least.closing} {least.year}"
    assert enough.startswith("Enough ")
    assert enough != as_dated


def test_what_the_readme_says_of_packets_works_on_the_club_of_the_demo(
    played: Played, address: str, capsys: pytest.CaptureFixture[str]
) -> None:
    section = PACKETS.search(README.read_text(encoding="utf-8"))
    assert section is not None
    exec(here(section[2], address).replace("sward_my-club_...", played.key), {})
    path, digest = capsys.readouterr().out.split()
    with Client(address, club="heron-mere", key=played.key) as client:
        *_, packet = client.packets.list()
        assert digest == packet.files[0].sha256
        budget = next(client.budgets.list())
        command = here(section[1][section[1].index("    curl") :], address).replace("-o packet.pdf", "-o -")
        done = subprocess.run(
            ["sh", "-c", command], env=os.environ | {"KEY": played.key, "BUDGET": str(budget.id)},
            capture_output=True, check=True,
        )  # fmt: skip
        assert done.stdout.startswith(b"%PDF-")
    assert path.startswith("/p/view_heron-mere_")
