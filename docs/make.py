"""Write the pages of docs/ that are made from the code: python docs/make.py.

A test holds the files against what this script would write.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import typer

from tracegraph.cli.main import cli
from tracegraph.intake.mapping import IntakeSettings
from tracegraph.store import in_memory_build

HERE = Path(__file__).resolve().parent


def data_dictionary() -> str:
    """Every table and column of the store, from the schema itself."""
    build = in_memory_build(described=True)
    lines = [
        "# Data dictionary",
        "",
        "Made from the store's schema by `python docs/make.py`; do not edit by hand.",
        "`source_id` and `source_row` of the record tables name the file in `sources` and the",
        "line or sheet row that a record came from.",
        "",
    ]
    tables = build.rows("SELECT table_name, comment FROM duckdb_tables() ORDER BY table_oid")
    for table, meaning in tables:
        lines += [
            f"## {table}",
            "",
            meaning,
            "",
            "| column | type | required | meaning |",
            "|---|---|---|---|",
        ]
        columns = build.rows(
            "SELECT column_name, data_type, NOT is_nullable, comment FROM duckdb_columns() "
            "WHERE table_name = $table ORDER BY column_index",
            {"table": table},
        )
        for name, kind, required, comment in columns:
            text = (
                comment
                or {"source_id": "file it came from", "source_row": "line or sheet row"}[name]
            )
            lines.append(f"| {name} | {kind} | {'yes' if required else ''} | {text} |")
        lines.append("")
    build.close()
    return "\n".join(lines)


def _leaves(prefix: str, group: Any) -> Iterator[tuple[str, Any]]:
    for name, command in group.commands.items():
        if hasattr(command, "commands"):
            yield from _leaves(f"{prefix}{name} ", command)
        else:
            yield f"{prefix}{name}", command


def cli_reference() -> str:
    """Help of every command, as printed."""
    root = typer.main.get_command(cli)
    lines = [
        "# Command line",
        "",
        "Made from the commands' own help by `python docs/make.py`; do not edit by hand.",
        "",
    ]
    for name, command in sorted(_leaves("", root)):
        context = typer.Context(command, info_name=f"tracegraph {name}", terminal_width=88)
        lines += [
            f"## tracegraph {name}",
            "",
            "```text",
            command.get_help(context).rstrip(),
            "```",
            "",
        ]
    return "\n".join(lines)


def intake_schema() -> str:
    """JSON Schema of intake.toml, from the model that reads it."""
    schema = IntakeSettings.model_json_schema()
    schema["title"] = "intake.toml"
    return json.dumps(schema, indent=2, ensure_ascii=False) + "\n"


PAGES = {
    "data-dictionary.md": data_dictionary,
    "cli-reference.md": cli_reference,
    "intake.schema.json": intake_schema,
}


def main() -> None:
    """Write all pages."""
    for name, make in PAGES.items():
        (HERE / name).write_text(make(), encoding="utf-8")
        print(f"wrote docs/{name}")


if __name__ == "__main__":
    main()
