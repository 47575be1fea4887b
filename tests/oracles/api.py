#!/usr/bin/env python3
"""The server's API against its own description, by random requests: tests/oracles/api.py [--examples 40] SABULO

Starts SABULO on a data file of its own and lets schemathesis (pinned in requirements-api.txt) make requests from
/api/openapi.json, sound and unsound ones. No answer may be a 5xx; each status, content type and body must be described.
Afterwards the file must hold together and the server still answer. Run by hand.
"""

import argparse
import json
import pathlib
import sqlite3
import subprocess
import sys
import tempfile
import urllib.request

CHECKS = [
    "not_a_server_error",
    "status_code_conformance",
    "content_type_conformance",
    "response_headers_conformance",
    "response_schema_conformance",
    # Not "missing_required_header": it does not know 428 (RFC 6585), which is what a change without If-Match is answered.
    "unsupported_method",
]


def start(program: str, data: pathlib.Path) -> tuple[subprocess.Popen, str]:
    server = subprocess.Popen([program, "serve", "--port", "0", "--data", str(data)], stdout=subprocess.PIPE, text=True)
    for line in server.stdout:
        if "http://" in line:
            return server, "http://" + line.strip().rstrip("/").rsplit("http://", 1)[1]
    raise SystemExit("the server did not start")


LOG = {
    "key": "seed", "revision": 1, "started_utc": "2026-03-01T10:00:00Z", "ended_utc": "2026-03-01T10:30:00Z",
    "stages": [{"stage": 1, "blast_s": 120.0, "rest_s": 30.0}], "events": [], "depths": [], "resist": "sound",
}


def seed(address: str) -> None:
    """A log, an entry and an order, so that their addresses lead somewhere."""
    entry = {"key": "a.1", "item": "tape", "verb": "bought", "amount": "1m2"}
    order = {"key": "seed", "names": "name\nAnsel\n", "layouts_s": 0}
    for path, body in [("pieces/1/logs", LOG), ("shops/1/stock/entries", entry), ("pieces/1/orders", order)]:
        data, kind = json.dumps(body).encode(), {"Content-Type": "application/json"}
        with urllib.request.urlopen(urllib.request.Request(f"{address}/api/{path}", data, kind)) as answer:
            print("seeded", path, answer.status)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("program")
    parser.add_argument("--examples", type=int, default=40)
    arguments = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        data = pathlib.Path(folder) / "pieces.db"
        server, address = start(arguments.program, data)
        try:
            seed(address)
            command = [
                *(sys.executable, "-m", "schemathesis.cli", "run", f"{address}/api/openapi.json"),
                *("--checks", ",".join(CHECKS), "--max-examples", str(arguments.examples), "--seed", "1"),
                *("--continue-on-failure", "--phases", "examples,coverage,fuzzing", "--request-timeout", "60", "--warnings", "off"),
                *("--suppress-health-check", "all"),
            ]
            outcome = subprocess.run(command, cwd=folder, check=False).returncode
            with urllib.request.urlopen(f"{address}/api/pieces") as answer:
                print("afterwards the list answers", answer.status)
            with sqlite3.connect(data) as db:
                print("integrity_check:", db.execute("PRAGMA integrity_check").fetchone()[0])
                for table in ("movement", "piece", "revision", "run"):
                    print(table, "rows:", db.execute(f"SELECT count(*) FROM {table}").fetchone()[0])
        finally:
            server.terminate()
            server.wait()
    sys.exit(outcome)


if __name__ == "__main__":
    main()
