"""The large install: two copies that are no root, see secrets as files only, and are waited for."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import pytest
import yaml  # type: ignore[import-untyped]  # it has no hints

from bot.settings import read_settings

LARGE = Path(__file__).parents[2] / "deploy" / "large"
COPIES = ("one", "two")


@pytest.fixture(scope="module")
def compose() -> dict[str, Any]:
    read: dict[str, Any] = yaml.safe_load((LARGE / "compose.yaml").read_text("utf-8"))
    return read


@pytest.mark.parametrize("name", ["db", *COPIES])
def test_no_service_is_root_or_writes_where_it_need_not(compose: dict[str, Any], name: str) -> None:
    service = compose["services"][name]
    assert re.fullmatch(r"[1-9]\d*:[1-9]\d*", service["user"])
    assert service["read_only"] is True
    assert service["cap_drop"] == ["ALL"]
    assert service["security_opt"] == ["no-new-privileges:true"]
    assert "ports" not in service


@pytest.mark.parametrize("name", COPIES)
def test_a_copy_starts_when_the_database_is_well_and_has_time_to_end(
    compose: dict[str, Any], name: str
) -> None:
    service = compose["services"][name]
    assert service["depends_on"]["db"]["condition"] == "service_healthy"
    assert compose["services"]["db"]["healthcheck"]["test"][1] == "pg_isready"
    assert int(service["stop_grace_period"].rstrip("s")) >= 20


def test_secrets_are_files_that_somebody_is_given(compose: dict[str, Any]) -> None:
    used = [name for service in compose["services"].values() for name in service["secrets"]]
    assert set(used) == set(compose["secrets"])
    environments = [compose["services"][name]["environment"] for name in ("db", *COPIES)]
    secret = [k for e in environments for k in e if re.search(r"PASSWORD|TOKEN|_DB$", k)]
    assert all(key.endswith("_FILE") or key == "POSTGRES_DB" for key in secret)


@pytest.mark.parametrize("name", COPIES)
def test_the_settings_of_a_copy_are_understood(
    compose: dict[str, Any], name: str, tmp_path: Path
) -> None:
    secrets = {"db_address": "postgresql://pitcrier:x@db/pitcrier", "telegram_token": "1:a"}
    for file, text in secrets.items():
        (tmp_path / file).write_text(text, "utf-8")
    environment = {
        key: value.replace("/run/secrets", str(tmp_path))
        for key, value in compose["services"][name]["environment"].items()
    }
    settings = read_settings(environment)
    assert settings.db_url == secrets["db_address"]
    assert settings.telegram is not None
    assert settings.health_port == 9617


def test_the_copies_share_what_lies_beside_the_database(compose: dict[str, Any]) -> None:
    assert {tuple(compose["services"][name]["volumes"]) for name in COPIES} == {("work:/data",)}
