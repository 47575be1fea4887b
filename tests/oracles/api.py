#!/usr/bin/env python3
"""The server's API against its own description, by random requests: tests/oracles/api.py [--examples 40] SABULO

Starts SABULO on a data file of its own and lets schemathesis (pinned in requirements-api.txt) make requests from
/api/openapi.json, sound and unsound ones. No answer may be a 5xx; each status, content type and body must be described.
Afterwards the file must hold together and the server still answer. Run by hand.
"""

import argparse
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


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("program")
    parser.add_argument("--examples", type=int, default=40)
    arguments = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        data = pathlib.Path(folder) / "pieces.db"
        server, address = start(arguments.program, data)
        try:
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
        finally:
            server.terminate()
            server.wait()
    sys.exit(outcome)


if __name__ == "__main__":
    main()
