"""The OpenAPI document: committed, fresh, valid, and saying what each operation needs and answers."""

import json
from typing import Any

import pytest
from openapi_spec_validator import OpenAPIV31SpecValidator
from paths import OPENAPI, TOP
from swardcost_api.settings import Settings
from swardcost_api.web.openapi import document
from swardcost_api.web.rooms import ROOMS
from swardcost_model.problems import MEDIA_TYPE

DOCUMENT: dict[str, Any] = document(ROOMS)
OPERATIONS = [
    pytest.param(path, verb, operation, id=operation["operationId"])
    for path, verbs in DOCUMENT["paths"].items()
    for verb, operation in verbs.items()
]


def test_the_committed_document_is_fresh() -> None:
    committed = json.loads((OPENAPI / "swardcost.json").read_text(encoding="utf-8"))
    assert committed == DOCUMENT, "run `make openapi` and commit the outcome"


def test_the_document_is_valid_openapi_3_1() -> None:
    OpenAPIV31SpecValidator(DOCUMENT).validate()


@pytest.mark.parametrize(("path", "verb", "operation"), OPERATIONS)
def test_every_operation_says_what_it_does_needs_and_answers(
    path: str, verb: str, operation: dict[str, Any]
) -> None:
    assert operation["summary"]
    said = ("No key is needed.", "Needs a key; every role may use it.", "Needs a key with one of the roles: ")
    assert any(words in operation["description"] for words in said)
    problems = [status for status in operation["responses"] if status[0] in "45"]
    if path.startswith("/v1/clubs"):
        assert {"401", "403", "404"} <= set(problems)
    for status in problems:
        content = operation["responses"][status]["content"]
        assert list(content) == [MEDIA_TYPE]
        for slug, example in content[MEDIA_TYPE]["examples"].items():
            assert example == {"$ref": f"#/components/examples/{slug}"}
            assert str(DOCUMENT["components"]["examples"][slug]["value"]["status"]) == status


@pytest.mark.parametrize(("path", "verb", "operation"), OPERATIONS)
def test_every_operation_shows_a_recorded_example(path: str, verb: str, operation: dict[str, Any]) -> None:
    for content in operation.get("requestBody", {}).get("content", {}).values():
        assert content.get("example") or not content["schema"], operation["operationId"]
    for status, response in operation["responses"].items():
        if status.startswith("2") and status != "204":
            assert response["content"]["application/json"]["example"], operation["operationId"]


def test_the_readme_lists_every_setting_with_its_default() -> None:
    readme = (TOP / "README.md").read_text(encoding="utf-8")
    for name, field in Settings.model_fields.items():
        row = next(
            (line for line in readme.splitlines() if line.startswith(f"| `SWARDCOST_{name.upper()}`")), None
        )
        assert row is not None, f"README.md does not list SWARDCOST_{name.upper()}"
        assert field.description is not None
        assert field.description in row, row
        if field.default_factory is None:
            assert f"`{field.default}`" in row, row
