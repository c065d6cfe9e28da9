"""JSON Schemas, published from the very types that are saved."""

from __future__ import annotations

from typing import Any

import msgspec

from takeoff.plan.model import SCHEMA, Job

DIALECT = "https://json-schema.org/draft/2020-12/schema"


def json_schema(kind: type, name: str) -> dict[str, Any]:
    """The JSON Schema of ``kind``; ``name`` is its format and version ("takeoff-job/1").

    A field "schema" is always required in a file, although the type has a default for it.
    """
    schema = msgspec.json.schema(kind)
    definitions = schema.get("$defs", {})
    root = definitions.get(schema.get("$ref", "").rpartition("/")[2], schema)
    if "schema" in root.get("properties", {}):
        root["required"] = sorted({"schema", *root.get("required", [])})
    urn = "urn:" + name.replace("/", ":")
    return {"$schema": DIALECT, "$id": urn, "title": name, **schema}


def job_schema() -> dict[str, Any]:
    """The JSON Schema of a job file."""
    return json_schema(Job, SCHEMA)
