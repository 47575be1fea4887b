#!/usr/bin/env python3
"""Fifty people change the recipe at once, for two minutes: tests/load.py [--clients 50] [--seconds 120] SABULO

Starts SABULO (target/release/sabulo) on a data file of its own. Each client changes the recipe of one of the three
demonstration pieces, waits for the new plan, and changes it again; no two changes are alike, so that no plan is kept
from before. Says how long they waited, whether one of them waited longer than the others, and how much memory the
server took. Fails on any answer but 200, on a wait of more than three times the median, and on more than 2 GB. Run by
hand, on a machine that does nothing else.
"""

import argparse
import asyncio
import pathlib
import random
import statistics
import subprocess
import sys
import tempfile
import time
from urllib.parse import urlencode

PIECES = {1: ("depth-1", 1.5, 2.6), 2: ("depth-1", 0.2, 0.5), 3: ("depth-1", 1.0, 3.0)}


def start(program: str, folder: str) -> tuple[subprocess.Popen, int]:
    command = [program, "serve", "--port", "0", "--data", f"{folder}/pieces.db"]
    server = subprocess.Popen(command, stdout=subprocess.PIPE, text=True)
    for line in server.stdout:
        if "http://" in line:
            return server, int(line.strip().rstrip("/").rsplit(":", 1)[1])
    raise SystemExit("the server did not start")


async def ask(port: int, method: str, path: str, body: str = "") -> tuple[int, int]:
    """Status of the answer and its length."""
    reader, writer = await asyncio.open_connection("127.0.0.1", port)
    head = f"{method} {path} HTTP/1.1\r\nHost: 127.0.0.1:{port}\r\nConnection: close\r\n"
    if body:
        head += f"Content-Type: application/x-www-form-urlencoded\r\nContent-Length: {len(body)}\r\n"
    writer.write(f"{head}\r\n{body}".encode())
    await writer.drain()
    answer = await reader.read()
    writer.close()
    return int(answer[9:12]), len(answer)


async def client(number: int, port: int, until: float, waits: list[float], faults: list[str]) -> None:
    luck = random.Random(number)
    piece = 1 + number % len(PIECES)
    field, low, high = PIECES[piece]
    while time.monotonic() < until:
        form = urlencode({"revision": 1, field: f"{luck.uniform(low, high):.6f}mm"})
        begun = time.monotonic()
        status, length = await ask(port, "POST", f"/piece/{piece}/try", form)
        waits.append(time.monotonic() - begun)
        if status != 200 or length < 5000:
            faults.append(f"client {number}: status {status}, {length} bytes")


def resident_mb(pid: int) -> float:
    status = pathlib.Path(f"/proc/{pid}/status").read_text()
    return next(int(line.split()[1]) for line in status.splitlines() if line.startswith("VmRSS")) / 1024


async def watch(pid: int, until: float, sizes: list[float]) -> None:
    while time.monotonic() < until:
        sizes.append(resident_mb(pid))
        await asyncio.sleep(0.5)


async def run(arguments: argparse.Namespace) -> list[str]:
    with tempfile.TemporaryDirectory() as folder:
        server, port = start(arguments.program, folder)
        try:
            until = time.monotonic() + arguments.seconds
            waits: list[list[float]] = [[] for _ in range(arguments.clients)]
            faults: list[str] = []
            sizes: list[float] = []
            clients = [client(n, port, until, waits[n], faults) for n in range(arguments.clients)]
            await asyncio.gather(watch(server.pid, until, sizes), *clients)
            faults += [f"the page answers {status} afterwards" for status, _ in [await ask(port, "GET", "/pieces")] if status != 200]
        finally:
            server.terminate()
            server.wait()
    return told(waits, sizes, faults, arguments.seconds)


def told(waits: list[list[float]], sizes: list[float], faults: list[str], seconds: float) -> list[str]:
    every = sorted(wait for client in waits for wait in client)
    median = statistics.median(every)
    print(f"{len(waits)} clients, {seconds:.0f} s: {len(every)} plans, {len(every) / seconds:.1f} a second")
    print(f"waits: median {median:.2f} s, 95 % below {every[int(0.95 * len(every))]:.2f} s, longest {every[-1]:.2f} s")
    means = [statistics.mean(client) for client in waits if client]
    print(f"mean wait of a client: {min(means):.2f} to {max(means):.2f} s; plans of a client: {min(map(len, waits))} to {max(map(len, waits))}")
    half = len(sizes) // 2
    print(f"memory: {max(sizes):.0f} MB at most; {max(sizes[:half]):.0f} MB in the first half, {max(sizes[half:]):.0f} MB in the second")
    if every[-1] > 3 * median:
        faults.append(f"somebody waited {every[-1]:.2f} s, more than three times the median")
    if max(sizes) > 2048:
        faults.append(f"the server took {max(sizes):.0f} MB")
    return faults


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("program")
    parser.add_argument("--clients", type=int, default=50)
    parser.add_argument("--seconds", type=float, default=120.0)
    faults = asyncio.run(run(parser.parse_args()))
    print(*faults[:10], sep="\n")
    sys.exit(1 if faults else 0)


if __name__ == "__main__":
    main()
