# SPDX-License-Identifier: GPL-3.0-or-later
"""Sphinx extension: the members of a JSON schema of docs/static, as a table.

    ```{schema} card coupon
    ```
"""
import json
import pathlib
from typing import Any

from docutils import nodes
from sphinx.application import Sphinx
from sphinx.util.docutils import SphinxDirective

SCHEMAS = pathlib.Path(__file__).resolve().parents[1] / "static"


def limits(rule: dict[str, Any]) -> str:
    """What a value may be, in words."""
    if "enum" in rule:
        return ", ".join(map(str, rule["enum"]))
    if "const" in rule:
        return str(rule["const"])
    if "anyOf" in rule:
        return " or ".join(limits(choice) for choice in rule["anyOf"])
    if rule.get("type") == "string":
        return f"text, up to {rule['maxLength']} letters" if "maxLength" in rule else "text"
    if rule.get("type") in ("array", "object", "boolean") or "$ref" in rule:
        return {"array": "list", "boolean": "true or false"}.get(rule.get("type", ""), "object")
    low = f"above {rule['exclusiveMinimum']:g}" if "exclusiveMinimum" in rule else ""
    if "minimum" in rule:
        low = f"{rule['minimum']:g} {'to' if 'maximum' in rule else 'or more'}"
    high = f"{'' if 'minimum' in rule else 'up to '}{rule['maximum']:g}" if "maximum" in rule else ""
    return ", ".join(filter(None, [low, high])).replace("to, ", "to ") or "any number"


def members(name: str, part: str = "") -> list[tuple[str, str, str]]:
    """Name, limits and text of each member; one that need not be there has its name in brackets."""
    schema = json.loads((SCHEMAS / f"{name}.schema.json").read_text(encoding="utf-8"))
    found = schema["$defs"][part] if part else schema
    return [(key if key in found["required"] else f"[{key}]", limits(rule), rule.get("description", ""))
            for key, rule in found["properties"].items()]


class Schema(SphinxDirective):
    """A table of the members of a schema, or of one of its parts."""

    required_arguments, optional_arguments = 1, 1

    def run(self) -> list[nodes.Node]:
        self.env.note_dependency(str(SCHEMAS / f"{self.arguments[0]}.schema.json"))
        rows = [nodes.row("", *(nodes.entry("", nodes.paragraph("", "", cell)) for cell in (
            nodes.literal("", key), nodes.inline("", may_be), nodes.inline("", text))))
            for key, may_be, text in members(*self.arguments)]
        head = nodes.row("", *(nodes.entry("", nodes.paragraph("", title)) for title in ("member", "may be", "what it is")))
        group = nodes.tgroup("", *(nodes.colspec(colwidth=width) for width in (28, 24, 48)), nodes.thead("", head),
                             nodes.tbody("", *rows), cols=3)
        return [nodes.table("", group)]


def setup(app: Sphinx) -> dict[str, bool]:
    app.add_directive("schema", Schema)
    return {"parallel_read_safe": True, "parallel_write_safe": True}
