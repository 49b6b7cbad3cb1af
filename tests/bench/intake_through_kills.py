#!/usr/bin/env python3
"""Sends 10,000 reports from 50 senders while the server is killed (kill -9) and started again at least 20 times; then counts.

Usage: tests/bench/intake_through_kills.py PROGRAM [POSTGRES_URL]
    PROGRAM: a built bartack (a release build: see README). Without POSTGRES_URL the books are in SQLite.

Each sender sends a report by its unit's link until it is acknowledged, under one client key, as the form does. In the end every
acknowledged report must be in the exported books once, none twice, or the run fails. Then, without kills, as many again for the
rate with durable commit; and a bare loop of durable SQLite inserts as the limit of the machine. Prints a Markdown table.
"""

import csv
import http.client
import os
import pathlib
import random
import re
import secrets
import signal
import socket
import sqlite3
import subprocess
import sys
import tempfile
import threading
import time
import urllib.parse

REPORTS = int(os.environ.get("REPORTS", "10000"))
SENDERS = int(os.environ.get("SENDERS", "50"))
KILLS = int(os.environ.get("KILLS", "20"))
# One link stands for all units here, so it may bring all their reports.
os.environ["BARTACK_LINK_REPORTS"] = "65535"
LINE = "----------------bartack"


class Server:
    """The program on one address and one set of books, that may be killed and started again."""

    def __init__(self, program, environment):
        self.program, self.environment = program, environment
        with socket.socket() as probe:
            probe.bind(("127.0.0.1", 0))
            self.port = probe.getsockname()[1]
        self.process = self.start("demo")
        self.form = next(found[1] for line in self.process.stdout if (found := re.search(r"(/report/[0-9a-f]{64})", line)))
        threading.Thread(target=lambda: [None for _ in self.process.stdout], daemon=True).start()
        self.until_ready()

    def start(self, command):
        words = [self.program, command, "--listen", f"127.0.0.1:{self.port}"]
        log = subprocess.PIPE if command == "demo" else subprocess.DEVNULL
        return subprocess.Popen(words, env=self.environment, stdout=log, stderr=subprocess.DEVNULL, text=True)

    def until_ready(self):
        """Until it takes reports: that doesn't wait for the analysis."""
        for _ in range(6000):
            try:
                connection = http.client.HTTPConnection("127.0.0.1", self.port, timeout=5)
                connection.request("GET", self.form)
                if connection.getresponse().status == 200:
                    return
            except OSError:
                pass
            time.sleep(0.02)
        raise SystemExit("the server didn't come up")

    def kill_and_start(self):
        self.process.send_signal(signal.SIGKILL)
        self.process.wait()
        self.process = self.start("serve")
        self.until_ready()

    def stop(self):
        self.process.terminate()
        self.process.wait()


def body(story, key):
    fields = {"client_key": key, "story": story, "harm": "none", "item": "LP-200"}
    parts = [f'--{LINE}\r\nContent-Disposition: form-data; name="{name}"\r\n\r\n{value}\r\n' for name, value in fields.items()]
    return ("".join(parts) + f"--{LINE}--\r\n").encode()


def send_until_acknowledged(server, story, address):
    """Tries under one key until a receipt comes back; how many tries it took."""
    sent = body(story, secrets.token_hex(32))
    headers = {"Content-Type": f"multipart/form-data; boundary={LINE}", "X-Forwarded-For": address}
    for tries in range(1, 10_000):
        try:
            connection = http.client.HTTPConnection("127.0.0.1", server.port, timeout=30)
            connection.request("POST", server.form, sent, headers)
            answer = connection.getresponse()
            answer.read()
            connection.close()
            if answer.status == 303 and "/follow/" in answer.headers["Location"]:
                return tries
            if answer.status not in (429, 503):
                raise SystemExit(f"a report was answered {answer.status}")
        except (OSError, http.client.HTTPException):
            pass
        time.sleep(random.uniform(0.01, 0.1))
    raise SystemExit("a report was never acknowledged")


def send_all(server, word, acknowledged):
    """Sends every report once from many senders; seconds and tries."""
    numbers, lock, tries = iter(range(REPORTS)), threading.Lock(), []

    def sender():
        while True:
            with lock:
                n = next(numbers, None)
            if n is None:
                return
            story = f"{word} report number {n} of the count"
            tried = send_until_acknowledged(server, story, f"10.2.{n % 4000 // 250}.{n % 250}")
            with lock:
                acknowledged.append(story)
                tries.append(tried)

    began = time.time()
    threads = [threading.Thread(target=sender) for _ in range(SENDERS)]
    for thread in threads:
        thread.start()
    return threads, began, tries


def counted(program, environment, folder):
    subprocess.run([program, "export", folder], env=environment, check=True, stdout=subprocess.DEVNULL)
    counts = {}
    with open(folder / "reports.csv", newline="", encoding="utf-8") as file:
        for row in csv.DictReader(file):
            counts[row["narrative"]] = counts.get(row["narrative"], 0) + 1
    return counts


def bare_inserts(folder, count=2000):
    """Durable inserts a second of SQLite alone, one a transaction, from one connection."""
    books = sqlite3.connect(folder / "bare.sqlite", isolation_level=None)
    books.execute("PRAGMA journal_mode = WAL")
    books.execute("PRAGMA synchronous = FULL")
    books.execute("CREATE TABLE report (id INTEGER PRIMARY KEY, story TEXT, client_key TEXT UNIQUE)")
    began = time.time()
    for n in range(count):
        books.execute("INSERT INTO report (story, client_key) VALUES (?, ?)", (f"story {n}" * 10, secrets.token_hex(32)))
    return count / (time.time() - began)


def main(program, postgres=None):
    with tempfile.TemporaryDirectory() as place:
        folder = pathlib.Path(place)
        database = postgres or f"sqlite://{folder}/bartack.sqlite"
        environment = os.environ | {"BARTACK_DATA": place, "DATABASE_URL": database, "BARTACK_BEHIND_PROXY": "yes"}
        server = Server(program, environment)
        acknowledged = []
        threads, began, tries = send_all(server, "killed", acknowledged)
        kills = 0
        # Kills go on until there were enough and every report is acknowledged, at times nobody can foresee.
        while kills < KILLS or any(thread.is_alive() for thread in threads):
            time.sleep(random.uniform(0.1, 0.7))
            if not any(thread.is_alive() for thread in threads):
                break
            server.kill_and_start()
            kills += 1
        for thread in threads:
            thread.join()
        through_kills = time.time() - began
        calm = []
        threads, began, _ = send_all(server, "calm", calm)
        for thread in threads:
            thread.join()
        rate = len(calm) / (time.time() - began)
        server.stop()
        counts = counted(program, environment, folder / "books")
        sent = acknowledged + calm
        lost = [story for story in sent if counts.get(story, 0) == 0]
        twice = [story for story in sent if counts.get(story, 0) > 1]
        kind = "PostgreSQL" if postgres else "SQLite"
        print("| books | reports acknowledged | kills | tries | lost | twice | seconds through kills | a second without kills | bare inserts a second |")
        print("|---|---|---|---|---|---|---|---|---|")
        print(
            f"| {kind} | {len(acknowledged)} | {kills} | {sum(tries)} | {len(lost)} | {len(twice)} | {through_kills:.0f} "
            f"| {rate:.0f} | {bare_inserts(folder):.0f} |"
        )
        if lost or twice or kills < KILLS or len(acknowledged) != REPORTS:
            raise SystemExit(f"FAILED: {lost[:3]} lost, {twice[:3]} twice, {kills} kills of {KILLS}")


if __name__ == "__main__":
    if len(sys.argv) not in (2, 3):
        raise SystemExit(__doc__)
    main(*sys.argv[1:])
