"""The published schema is the types' own, and records keep to it (checked by the jsonschema library)."""

import json

import jsonschema
import pytest

from extractor.job.folder import record_bytes
from extractor.record import Record
from extractor.report.record_json import published_schema, record_schema
from tests.report.made_records import hostile_record, record_of, visit_record

SCHEMA = json.loads(published_schema())


def test_the_published_schema_is_current() -> None:
    # make it again: python -c "from extractor.report.record_json import *; print(record_schema().decode(), end='')"
    assert published_schema() == record_schema()


def test_it_is_a_schema_of_2020_12() -> None:
    jsonschema.Draft202012Validator.check_schema(SCHEMA)


@pytest.mark.parametrize("record", [Record(), record_of(30), visit_record(), hostile_record()])
def test_records_keep_to_it(record: Record) -> None:
    jsonschema.Draft202012Validator(SCHEMA).validate(json.loads(record_bytes(record)))


def test_what_is_no_record_does_not_keep_to_it() -> None:
    wrong = json.loads(record_bytes(visit_record()))
    wrong["runs"][0]["direction"] = "sideways"
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.Draft202012Validator(SCHEMA).validate(wrong)
