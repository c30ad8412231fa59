import io
import json

from captriage.reform.procedures import PROCEDURES
from captriage.report.reform_procedures import write_json, write_table


def written(write):
    out = io.StringIO()
    write(PROCEDURES, out)
    return out.getvalue()


def test_every_procedure_is_listed_with_its_source():
    text = written(write_table)
    lines = text.splitlines()
    whole = " ".join(text.split())
    for procedure in PROCEDURES:
        assert procedure.name in lines
        assert f"[{procedure.standing}]" in whole
        if procedure.reject:
            assert f"Rejects at {procedure.reject}" in whole
    assert text.count("For good stock of known history alone") == 2


def test_lines_keep_to_80_columns_but_for_addresses():
    lines = [line for line in written(write_table).splitlines() if len(line) > 80]
    assert all(line.strip().startswith("https://") and " " not in line.strip() for line in lines)


def test_json_lists_them_in_the_same_order():
    listed = json.loads(written(write_json))["procedures"]
    assert [each["name"] for each in listed] == [procedure.name for procedure in PROCEDURES]
    assert all(each["source"] and each["standing"] for each in listed)
