"""Print the licences of everything the bot runs on, from its bill of materials (CycloneDX JSON)."""

from __future__ import annotations

import json
import sys
from pathlib import Path
from typing import Any

HEAD = """# What Pitcrier runs on, and under which licence

Made from the bill of materials by `make sbom`; pinned in `requirements.run.lock`.

| library | version | licence |
|---|---|---|"""
TROVE = "License :: "
LONGEST = 60


def licence_of(component: dict[str, Any]) -> str:
    """Return what a component says of its licence, shortest form; 'not stated' if nothing."""
    said: list[str] = []
    for entry in component.get("licenses", ()):
        licence = entry.get("license", {})
        text = entry.get("expression") or licence.get("id") or licence.get("name") or ""
        if text.startswith(TROVE):
            text = text.rsplit(" :: ", 1)[1]
        if text and len(text) <= LONGEST and text not in said and text != "declared":
            said.append(text)
    return "; ".join(said[:2]) or "not stated"


def rows(bill: dict[str, Any]) -> list[str]:
    """Return one table row a component, by name."""
    found = sorted(bill["components"], key=lambda c: str(c["name"]).casefold())
    return [f"| {c['name']} | {c['version']} | {licence_of(c)} |" for c in found]


if __name__ == "__main__":
    print(HEAD)
    print("\n".join(rows(json.loads(Path(sys.argv[1]).read_text("utf-8")))))
