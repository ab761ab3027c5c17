"""What profile and entry models share: a strict base and short forms."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from pydantic import (
    BaseModel,
    ConfigDict,
    GetCoreSchemaHandler,
    GetJsonSchemaHandler,
    create_model,
)
from pydantic_core import core_schema


class Record(BaseModel):
    """Base of every model: unknown keys are errors, instances do not change."""

    # Of the models only the two at the top are ever asked: the others build no reader of their own.
    model_config = ConfigDict(
        extra="forbid", frozen=True, arbitrary_types_allowed=True, allow_inf_nan=False,
        defer_build=True,
    )  # fmt: skip


def keyed_record(name: str, fields: Mapping[str, Any], base: type[Record] = Record) -> Any:
    """Give a model with one field for each parameter: (type, default) by key."""
    definitions: dict[str, Any] = dict(fields)
    return create_model(name, __base__=base, **definitions)


@dataclass(frozen=True, slots=True)
class ShortForm:
    """Annotation: a plain value stands for a mapping with this one key.

    ``upkeep: [glass]`` means ``upkeep: [{task: glass}]``.
    """

    key: str

    def __get_pydantic_core_schema__(
        self, source: Any, handler: GetCoreSchemaHandler
    ) -> core_schema.CoreSchema:
        return core_schema.no_info_before_validator_function(self._unfold, handler(source))

    def __get_pydantic_json_schema__(
        self, schema: core_schema.CoreSchema, handler: GetJsonSchemaHandler
    ) -> dict[str, Any]:
        return {"anyOf": [{"type": ["string", "number"]}, handler(schema)]}

    def _unfold(self, written: Any) -> Any:
        return written if isinstance(written, Mapping) else {self.key: written}


@dataclass(frozen=True, slots=True)
class OneOrMany:
    """Annotation: a single item, or nothing yet, may stand where a list is wanted."""

    def __get_pydantic_core_schema__(
        self, source: Any, handler: GetCoreSchemaHandler
    ) -> core_schema.CoreSchema:
        return core_schema.no_info_before_validator_function(self._unfold, handler(source))

    def __get_pydantic_json_schema__(
        self, schema: core_schema.CoreSchema, handler: GetJsonSchemaHandler
    ) -> dict[str, Any]:
        many = handler(schema)
        return {"anyOf": [many["items"], many, {"type": "null"}]}

    def _unfold(self, written: Any) -> Any:
        if written is None:
            return []
        return written if isinstance(written, list | tuple) else [written]
