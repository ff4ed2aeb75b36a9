"""The reviewed record as JSON, and the published schema that it follows."""

import json
from importlib import resources

from extractor.record import Record

SCHEMA_NAME = "record.schema.json"


def record_schema() -> bytes:
    """The JSON Schema (2020-12) of the record, as made from its types."""
    schema = {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "Survey record, contract 1",
        **{key: value for key, value in Record.model_json_schema().items() if key != "title"},
    }
    return json.dumps(schema, indent=2, ensure_ascii=False).encode() + b"\n"


def published_schema() -> bytes:
    """The schema as it stands beside this module; a test keeps it the same as the types'."""
    return (resources.files("extractor.report") / SCHEMA_NAME).read_bytes()
