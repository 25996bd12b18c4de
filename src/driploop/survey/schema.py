"""The job file as a JSON Schema, for editors that check and complete while one writes."""

from __future__ import annotations

from typing import Any

from pydantic import BaseModel

from driploop.installation.model import UNKNOWN
from driploop.survey.fields import Key, Shape, keys_of
from driploop.survey.layout import BY_ID, FORMAT, SINGLE, TABLES

_DIALECT = "https://json-schema.org/draft/2020-12/schema"
_ID_PATTERN = "^[a-z0-9][a-z0-9_-]*$"
_LIMITS = {"low": "minimum", "above": "exclusiveMinimum", "high": "maximum", "pattern": "pattern"}


def json_schema() -> dict[str, Any]:
    """A JSON Schema (2020-12) of the job file: every table, key, unit and allowed word; ``"unknown"`` everywhere."""
    tables: dict[str, Any] = {"format": {"const": FORMAT, "description": "format of this file"}}
    for name in TABLES:
        if name in SINGLE:
            tables[name] = {"$ref": f"#/$defs/{SINGLE[name].__name__}"}
        elif name in BY_ID:
            tables[name] = _by_id(BY_ID[name].__name__)
    models = {model.__name__: _part(model) for model in (*SINGLE.values(), *BY_ID.values())}
    return {
        "$schema": _DIALECT,
        "title": "Job file: the survey of an electrical service",
        "type": "object",
        "properties": tables,
        "required": ["format"],
        "additionalProperties": False,
        "$defs": models,
    }


def _by_id(model: str) -> dict[str, Any]:
    part = {"anyOf": [{"$ref": f"#/$defs/{model}"}, {"const": UNKNOWN}]}
    return {"type": "object", "patternProperties": {_ID_PATTERN: part}, "additionalProperties": False}


def _part(model: type[BaseModel]) -> dict[str, Any]:
    return {
        "type": "object",
        "description": _first_line(model),
        "properties": {key.name: _property(key) for key in keys_of(model).values()},
        "additionalProperties": False,
    }


def _first_line(model: type[BaseModel]) -> str:
    return (model.__doc__ or "").strip().splitlines()[0]


def _property(key: Key) -> dict[str, Any]:
    described = f"{key.described} [{key.unit}]" if key.unit and "[" not in key.described else key.described
    return {"description": described, "anyOf": [_shape(key.shape), {"const": UNKNOWN}]}


def _shape(shape: Shape) -> dict[str, Any]:
    limits = {word: getattr(shape, field) for field, word in _LIMITS.items() if getattr(shape, field) is not None}
    match shape.kind:
        case "yes or no":
            return {"enum": [True, False, "yes", "no"]}
        case "words":
            return {"enum": list(shape.words)}
        case "whole number":
            return {"type": "integer", **limits}
        case "number":
            return {"type": "number", **limits}
        case "size" | "text":
            return {"type": "string", **limits}
        case "list":
            return {"anyOf": [{"type": "array", "items": _item(shape)}, {"const": "none"}]}
        case "rows":
            rows = {"type": "array", "items": _row(shape.model) if shape.model else {}}
            return {"anyOf": [rows, {"const": "none"}]}
        case "parts":
            return _by_id(shape.model.__name__ if shape.model else "")
        case "table":
            return {"type": "object", "additionalProperties": {"anyOf": [_item(shape), {"const": UNKNOWN}]}}


def _row(model: type[BaseModel]) -> dict[str, Any]:
    properties = {key.name: _property(key) for key in keys_of(model).values()}
    return {"type": "object", "properties": properties, "additionalProperties": False}


def _item(shape: Shape) -> dict[str, Any]:
    return _shape(shape.item) if shape.item is not None else {}
