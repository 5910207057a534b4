"""Requests made up from the OpenAPI document against a real server process, on both databases.

No 5xx and no answer that the document does not allow. Where a made-up request is well formed, its ids are
those of real things half the time, so that it reaches the use cases.
With SWARDCOST_TEST_THOROUGH=1 many more are made up, the bounds of every field among them; that takes some minutes.
"""

import random
import sys
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Any

import httpx
import pytest
import requests
import schemathesis
from conftest import THOROUGH
from hypothesis import HealthCheck, settings, strategies
from schemathesis.config import SchemathesisConfig
from schemathesis.generation import GenerationMode
from story import tell
from swardcost import Client
from swardcost_api.operations import XLSX
from swardcost_api.web.openapi import document
from swardcost_api.web.rooms import ROOMS

sys.path.insert(0, str(Path(__file__).parents[1] / "service"))
from server import run_command, running_server

CLUB = "heron-mere"
LISTS = {
    "layout_id": "account-layouts",
    "course_id": "courses", "area_id": "areas", "vendor_id": "vendors", "edition_id": "editions",
    "project_id": "projects", "estimate_id": "estimates", "budget_id": "budgets", "profile_id": "ledger/profiles",
    "import_id": "ledger/imports", "posting_id": "ledger/postings", "rule_id": "ledger/rules", "key_id": "keys",
    "tax_rate_id": "tax-rates", "exemption_id": "exemptions", "index_series_id": "index-series",
    "request_id": "quote-requests", "commitment_id": "commitments", "receipt_id": "receipts",
    "invoice_id": "invoices", "job_id": "jobs", "reversal_id": "ledger/reversals",
    "comparison_id": "comparisons", "asset_id": "assets", "plan_id": "capital-plans", "study_id": "life-cycle-studies",
    "packet_id": "packets",
}  # fmt: skip
OF_BUDGETS = {
    "adjustment_id": "adjustments", "measure_id": "measures", "unplanned_work_id": "unplanned-work",
}  # fmt: skip
CONFIG = SchemathesisConfig.from_dict(
    {
        "phases": {"coverage": {"enabled": THOROUGH}},
        "checks": {
            # An edit without If-Match is 428 (RFC 6585), an unknown method or unit is 422.
            "missing_required_header": {"expected-statuses": [400, 401, 403, 404, 428]},
            "negative_data_rejection": {
                "expected-statuses": [400, 401, 403, 404, 405, 409, 412, 413, 415, 422, 428]
            },
            # Rules across fields (dates in order, units of the right dimension) are not in the schemas.
            "positive_data_acceptance": {"enabled": False},
        },
    }
)


@dataclass(frozen=True)
class Target:
    """A served club in which a story has happened, and ids of the things in it."""

    url: str
    session: requests.Session
    secret: str
    known: dict[str, list[Any]]


@pytest.fixture(scope="session")
def target(served_database_url: str) -> Iterator[Target]:
    """The service on each database, with a club that has one of everything."""
    with running_server(served_database_url, log_level="error", pool_size="4") as server:
        made = run_command(server.environment, "club", "create", CLUB, "--name", "Heron Mere Golf Club")
        assert made.returncode == 0, made.stderr
        secret = made.stdout.strip()
        with Client(server.url, club=CLUB, key=secret) as client:
            tell(client)
        with requests.Session() as session:
            yield Target(server.url, session, secret, known_ids(server.url, secret))


def known_ids(url: str, secret: str) -> dict[str, list[Any]]:
    """Ids of real things, by path parameter."""
    known: dict[str, list[Any]] = {
        "club_id": [CLUB], "code": ["SAND-TD", "CREW"], "number": [1, 2],
        "name": ["topdressing", "our_light_dressing"], "scope_item_id": [], "alternate_id": [],
        "month": ["2026-06", "2026-07", "2026-08"],
    }  # fmt: skip
    with httpx.Client(
        base_url=f"{url}/v1/clubs/{CLUB}/", headers={"Authorization": f"Bearer {secret}"}
    ) as club:
        for name, path in LISTS.items():
            known[name] = [one["id"] for one in club.get(path).json()["items"]]
        known["quote_id"] = [
            one["id"]
            for request in known["request_id"]
            for one in club.get(f"quote-requests/{request}/quotes").json()["items"]
        ]
        for name, path in OF_BUDGETS.items():
            known[name] = [
                one["id"]
                for budget in known["budget_id"]
                for one in club.get(f"budgets/{budget}/{path}").json()["items"]
            ]
        known["simulation_id"] = [
            one["id"]
            for estimate in known["estimate_id"]
            for one in club.get(f"estimates/{estimate}/simulations").json()["items"]
        ]
        known["packet_link_id"] = [
            one["id"]
            for packet in known["packet_id"]
            for one in club.get(f"packets/{packet}/links").json()["items"]
        ]
        known["plan_project_id"] = [
            one["id"]
            for plan in known["plan_id"]
            for one in club.get(f"capital-plans/{plan}/projects").json()["items"]
        ]
        for project in known["project_id"]:
            items = club.get(f"projects/{project}/scope-items").json()["items"]
            known["scope_item_id"] += [one["id"] for one in items]
            options = club.get(f"projects/{project}/alternates").json()["items"]
            known["alternate_id"] += [one["id"] for one in options]
    return known


schemathesis.openapi.format(
    "date", strategies.dates(date(1800, 1, 1), date(2299, 12, 31)).map(date.isoformat)
)


@schemathesis.serializer(XLSX)
def workbook(_context: Any, value: Any) -> bytes:
    """A made-up workbook is any bytes."""
    return value if isinstance(value, bytes) else str(value).encode("utf-8", "replace")


SCHEMA = schemathesis.openapi.from_dict(document(ROOMS), config=CONFIG)


@SCHEMA.parametrize()
@settings(
    max_examples=20 if THOROUGH else 4, deadline=None, derandomize=True,
    suppress_health_check=list(HealthCheck), database=None,
)  # fmt: skip
def test_made_up_requests_get_documented_answers(case: Any, target: Target) -> None:
    chance = random.Random(repr((case.path, case.path_parameters, case.query, case.headers)))
    generation = getattr(case.meta, "generation", None)
    if generation is None or generation.mode is GenerationMode.POSITIVE:
        for name in case.path_parameters or {}:
            if name == "club_id" or chance.random() < 0.7:
                case.path_parameters[name] = chance.choice(target.known[name])
        if "If-Match" in (case.headers or {}) and chance.random() < 0.7:
            case.headers["If-Match"] = '"1"'
    if case.operation.definition.raw["operationId"] == "revoke_key":
        case.path_parameters["key_id"] = target.known["key_id"][
            -1
        ]  # the owner's own key is needed to the end
    case.call_and_validate(
        base_url=target.url, session=target.session, headers={"Authorization": f"Bearer {target.secret}"}
    )
