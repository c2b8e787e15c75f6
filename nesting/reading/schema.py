"""The JSON Schema of the job file, for editors that check while one types."""

from __future__ import annotations

from nesting.reading.keys import MAX_NAME, MAX_TITLE, Key, Kind, Table
from nesting.reading.tables import JOB

DIALECT = "https://json-schema.org/draft/2020-12/schema"
"""The name by which JSON Schema itself knows its edition; nothing is fetched from there."""

LENGTH_TEXT = r"[0-9\u00bc-\u00be\u2150-\u215e]"
"""Any reading holds a digit or a printed fraction; what exactly it may be is for the reader to say."""

Schema = dict[str, object]

_CORNER: Schema = {
    "type": "array",
    "prefixItems": [{"$ref": "#/$defs/length"}, {"$ref": "#/$defs/length"}, {"type": "number"}],
    "minItems": 2,
    "maxItems": 3,
}


def job_schema() -> Schema:
    """A JSON Schema (2020-12) of the job file, as plain values for `json.dumps`.

    It knows every key, its kind, bounds and default; what two keys say together only the reader checks.
    """
    body = _table(JOB)
    either = [{"required": [name], "properties": {name: {"minItems": 1}}} for name in ("side", "patch")]
    return {
        "$schema": DIALECT,
        "title": "Job file of the re-skinning planner",
        **body,
        "anyOf": either,
        "$defs": {
            "length": _length('A number in the job\'s units, or a reading such as "28 3/8" or "721 mm".')
        },
    }


def _table(table: Table) -> Schema:
    schema: Schema = {
        "type": "object",
        "description": table.doc,
        "properties": {key.name: _key(key) for key in table.keys},
        "additionalProperties": False,
    }
    required = [key.name for key in table.keys if key.required]
    return {**schema, "required": required} if required else schema


def _key(key: Key) -> Schema:
    return {**_kind(key), "description": _description(key)}


def _description(key: Key) -> str:
    if key.otherwise:
        return f"{key.doc} Default: {key.otherwise}."
    if key.kind is Kind.LENGTH and key.default is not None:
        metric = (
            f" in, {key.default_mm} mm in a metric job" if key.default_mm not in (None, key.default) else ""
        )
        return f"{key.doc} Default: {key.default}{metric}."
    return key.doc


def _kind(key: Key) -> Schema:
    match key.kind:
        case Kind.LENGTH:
            return {"$ref": "#/$defs/length", **_length_bounds(key)}
        case Kind.LENGTHS:
            items = {"$ref": "#/$defs/length", **_length_bounds(key)}
            return {"type": "array", "items": items, **_most_items(key)}
        case Kind.WHOLES:
            return {"type": "array", "items": {"type": "integer", **_bounds(key)}, **_most_items(key)}
        case Kind.TEXTS:
            texts = {"type": "string", "maxLength": MAX_TITLE, "pattern": r"\S"}
            return {"type": "array", "items": texts, **_most_items(key)}
        case Kind.OUTLINE:
            return {"type": "array", "items": _CORNER, **_most_items(key)}
        case Kind.OUTLINES:
            return {"type": "array", "items": {"type": "array", "items": _CORNER}, **_most_items(key)}
        case Kind.NUMBER:
            return {"type": "number", **_bounds(key), **_default(key)}
        case Kind.WHOLE:
            return {"type": "integer", **_bounds(key), **_default(key)}
        case Kind.FLAG:
            return {"type": "boolean", **_default(key)}
        case Kind.CHOICE:
            return {"enum": list(key.choices), **_default(key)}
        case Kind.TEXT:
            return {"type": "string", "maxLength": MAX_TITLE}
        case Kind.NAME:
            return {"type": "string", "maxLength": MAX_NAME, "pattern": r"\S"}
        case Kind.TABLE:
            return _table(key.table) if key.table else {"type": "object"}
        case Kind.TABLES:
            least = {"minItems": 1} if key.required else {}
            items = _table(key.table) if key.table else {"type": "object"}
            return {"type": "array", "items": items, **least, **_most_items(key)}


def _length(doc: str) -> Schema:
    return {
        "description": doc,
        "anyOf": [{"type": "number"}, {"type": "string", "pattern": LENGTH_TEXT}],
    }


def _length_bounds(key: Key) -> Schema:
    """Only bounds at zero mean the same in every unit."""
    if key.above == 0:
        return {"exclusiveMinimum": 0}
    return {"minimum": 0} if key.least is not None else {}


def _bounds(key: Key) -> Schema:
    pairs = (("exclusiveMinimum", key.above), ("minimum", key.least), ("maximum", key.most))
    return {name: bound for name, bound in pairs if bound is not None}


def _default(key: Key) -> Schema:
    return {} if key.default is None else {"default": key.default}


def _most_items(key: Key) -> Schema:
    return {} if key.most_items is None else {"maxItems": key.most_items}
