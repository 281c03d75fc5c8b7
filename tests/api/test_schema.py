"""The OpenAPI document: complete, without a warning, and the one that is on file.

When the door changes on purpose:
    .venv/bin/python manage.py spectacular --fail-on-warn --validate --file tests/api/openapi.yaml
"""

import json
import re
from io import StringIO
from pathlib import Path
from typing import Any

import pytest
from django.core.management import call_command
from drf_spectacular.renderers import OpenApiYamlRenderer
from openapi_spec_validator import validate

from api.urls import urlpatterns
from tests.api.conftest import V1, Client

ON_FILE = Path(__file__).with_name("openapi.yaml")
REFRESH = __doc__.splitlines()[-1].strip() if __doc__ else ""


@pytest.fixture(scope="module")
def document() -> Any:
    out = StringIO()
    call_command("spectacular", fail_on_warn=True, validate=True, format="openapi-json", stdout=out)
    return json.loads(out.getvalue())


def test_it_is_the_one_on_file(document: Any) -> None:
    renderer: Any = OpenApiYamlRenderer()
    text = renderer.render(document, renderer_context={}).decode()
    assert text.strip() == ON_FILE.read_text(encoding="utf-8").strip(), f"refresh it: {REFRESH}"


def test_it_is_openapi_by_the_reference_validator(document: Any) -> None:
    validate(document)


def _operations(document: Any) -> list[tuple[str, dict[str, Any]]]:
    return [
        (f"{method.upper()} {path}", operation)
        for path, methods in document["paths"].items()
        for method, operation in methods.items()
    ]


def test_every_address_of_the_door_is_in_it(document: Any) -> None:
    shown = {re.sub(r"{\w+}", "{}", path) for path in document["paths"]}
    beside = ("api-schema", "api-documents", "api-nowhere")
    routes = {
        re.sub(r"<\w+:\w+>", "{}", f"/api/{pattern.pattern}")
        for pattern in urlpatterns
        if pattern.name not in beside
    }
    assert shown == routes


def test_every_operation_says_what_it_is_for(document: Any) -> None:
    silent = [name for name, operation in _operations(document) if not operation["description"]]
    assert silent == []


def test_every_operation_answers_wrongs_with_problem_details(document: Any) -> None:
    for name, operation in _operations(document):
        for status, answer in operation["responses"].items():
            if int(status) >= 400:
                assert set(answer["content"]) == {"application/problem+json"}, (name, status)
                assert answer["description"], (name, status)


def test_every_body_has_an_example(document: Any) -> None:
    bare = [
        name
        for name, operation in _operations(document)
        if "requestBody" in operation
        for kind, content in operation["requestBody"]["content"].items()
        # A picture is its own example.
        if not kind.startswith("image/") and "examples" not in content
    ]
    assert bare == []


def test_names_of_operations_are_single(document: Any) -> None:
    names = [operation["operationId"] for _name, operation in _operations(document)]
    assert len(names) == len(set(names))
    assert not [name for name in names if re.search(r"_\d+$", name)]


def test_posts_that_record_say_the_key_and_the_replay(document: Any) -> None:
    post = document["paths"]["/api/v1/complaints/"]["post"]
    headers = {p["name"]: p for p in post["parameters"] if p["in"] == "header"}
    assert headers["Idempotency-Key"]["required"] is True
    assert "Idempotency-Replayed" in post["responses"]["201"]["headers"]


def test_changes_say_the_version_they_need(document: Any) -> None:
    patch = document["paths"]["/api/v1/vehicles/{unit_number}/"]["patch"]
    headers = {p["name"]: p for p in patch["parameters"] if p["in"] == "header"}
    assert headers["If-Match"]["required"] is True
    assert {"412", "428"} <= set(patch["responses"])
    assert "ETag" in patch["responses"]["200"]["headers"]


def test_the_document_is_served_to_whoever_is_signed_in(technician: Client) -> None:
    answer = technician.get("schema/", Accept="application/vnd.oai.openapi+json")
    assert answer.status_code == 200
    assert json.loads(answer.content)["info"]["title"] == "Axlekeep"


class TestPage:
    def test_nobody_is_sent_to_sign_in(self, client: Any, db: None) -> None:
        answer = client.get(V1 + "documents/")
        assert answer.status_code == 302
        assert "/accounts/login/" in answer["Location"]

    def test_it_holds_under_the_strict_policy(self, client: Any, technician: Client) -> None:
        client.force_login(technician.person)
        answer = client.get(V1 + "documents/")
        page = answer.content.decode()
        assert answer.status_code == 200
        assert "script-src 'self'" in answer["Content-Security-Policy"]
        assert "unsafe" not in answer["Content-Security-Policy"]
        assert not re.search(r"<script(?![^>]*\bsrc=)|<style|\sstyle=|\son\w+=", page)
        assert all(re.match(r"/(?!/)", address) for address in _addresses(page))

    def test_its_script_and_styles_are_our_own(self, client: Any, technician: Client) -> None:
        client.force_login(technician.person)
        page = client.get(V1 + "documents/").content.decode()
        for address in _addresses(page):
            answer = client.get(address)
            assert answer.status_code == 200, address
            assert len(b"".join(answer)) > 100, address


def _addresses(page: str) -> list[str]:
    found = re.findall(r'(?:src|href)="([^"]+)"', page)
    return [address.replace("&amp;", "&") for address in found]
