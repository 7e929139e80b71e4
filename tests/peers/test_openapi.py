"""The document of the machine interface: a general validator, and requests made up from it."""

import json
import pathlib
import re
import subprocess
import sys
import urllib.request

from openapi_spec_validator import validate

# A status that is told, a body of its schema, and never a fault of ours.
CHECKS = "not_a_server_error,status_code_conformance,content_type_conformance,response_schema_conformance"


def test_the_document_is_valid(service):
    with urllib.request.urlopen(f"{service.site}/api/openapi.json") as answer:
        document = json.load(answer)
    assert document["openapi"].startswith("3.1")
    validate(document)


def test_requests_made_up_from_it_find_nothing_undocumented(service, tmp_path):
    command = [
        pathlib.Path(sys.executable).with_name("schemathesis"),
        "run",
        f"{service.site}/api/openapi.json",
        "--include-path-regex=^/api/calc",
        f"--checks={CHECKS}",
        "--phases=examples,coverage,fuzzing",
        "--max-examples=10",
        "--seed=20261125",
        "--workers=2",
        "--no-color",
    ]
    run = subprocess.run(command, cwd=tmp_path, capture_output=True, text=True, timeout=480)
    assert run.returncode == 0, run.stdout[-6000:] + run.stderr[-2000:]
    with urllib.request.urlopen(f"{service.site}/api/calc") as answer:
        calculations = len(json.load(answer)["calculations"])
    # the list itself is an address too
    assert number(run.stdout, r"Tested: (\d+)") == calculations + 1
    assert number(run.stdout, r"(\d+) generated") > 5000


def number(text, pattern):
    """The number that a line of the summary tells."""
    found = re.search(pattern, text)
    assert found, text[-2000:]
    return int(found[1])
