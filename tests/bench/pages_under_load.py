#!/usr/bin/env python3
"""Serves the books of a million reports from SQLite while reports come in at 200 a second and an engineer sorts ten a
second, asks for recurrence pages twenty times a second, and prints how long each took, as a Markdown table.

Usage: tests/bench/pages_under_load.py PROGRAM [PACK]
    PROGRAM: a built bartack (a release build: see README); PACK: a folder of books, simulated where none is given

Open loop: every request has a time at which it is due, whether or not those before it were answered, and what is printed
counts from then, so that waiting in the sender counts as waiting. Senders and readers are processes of their own, on the
machine that serves. In the end the pages must count every report that was sorted, or the run fails. Other loads are asked for
by SECONDS_OF_LOAD, REPORTS_A_SECOND, SORTED_A_SECOND (0 for none) and PAGES_A_SECOND in the environment.
"""

import csv
import datetime
import http.client
import itertools
import json
import multiprocessing
import os
import pathlib
import queue
import re
import subprocess
import sys
import tempfile
import threading
import time
import urllib.parse

SECONDS = int(os.environ.get("SECONDS_OF_LOAD", "60"))
REPORTS_A_SECOND = int(os.environ.get("REPORTS_A_SECOND", "200"))
SORTED_A_SECOND = int(os.environ.get("SORTED_A_SECOND", "10"))
PAGES_A_SECOND = int(os.environ.get("PAGES_A_SECOND", "20"))


def request(connection, method, path, body=None, headers=None):
    """One request on a kept connection; the status, the headers and the whole answer."""
    connection.request(method, path, body, headers or {})
    answer = connection.getresponse()
    return answer.status, answer.headers, answer.read()


def connect(port):
    return http.client.HTTPConnection("127.0.0.1", port, timeout=60)


def open_loop(port, a_second, begin, workers, send):
    """Calls `send(connection, n)` so many times a second from `begin` on; seconds from due to done, and from due to sent."""
    due = queue.SimpleQueue()
    taken, lock = [], threading.Lock()

    def work():
        connection = connect(port)
        while (n := due.get()) is not None:
            at = begin + n / a_second
            started = time.time()
            send(connection, n)
            with lock:
                taken.append((time.time() - at, started - at))

    threads = [threading.Thread(target=work) for _ in range(workers)]
    for thread in threads:
        thread.start()
    for n in range(SECONDS * a_second):
        time.sleep(max(0.0, begin + n / a_second - time.time()))
        due.put(n)
    for _ in threads:
        due.put(None)
    for thread in threads:
        thread.join()
    return taken


def send_reports(port, key, rows, begin, sent, out):
    def send(connection, n):
        row = rows[n % len(rows)]
        report = {
            "client_key": f"load-{n:09d}",
            "unit": row["unit"],
            "item_part_no": row["item_part_no"],
            "narrative": row["narrative"] or "came apart",
            "harm": "none",
            "part_no": row["part_no"] or None,
        }
        if row["lot_text"]:
            report |= {"lot_known": "read", "lot_text": row["lot_text"]}
        headers = {
            "Authorization": f"Bearer {key}",
            "Content-Type": "application/json",
            # Units far apart: each address has a pace of its own.
            "X-Forwarded-For": f"10.1.{n % 2000 // 250}.{n % 250}",
        }
        status, _, body = request(connection, "POST", "/api/v1/reports", json.dumps(report), headers)
        if status != 201:
            raise SystemExit(f"a report was answered {status}: {body[:300]}")
        sent.put(json.loads(body)["report_ref"])

    out.put(("report until its receipt", open_loop(port, REPORTS_A_SECOND, begin, 24, send)))


def sort_reports(port, cookie, recurrences, begin, sent, out):
    def send(connection, n):
        part, mode = recurrences[n % len(recurrences)]
        form = {"part": part, "mode": mode, "relevant": "yes", "chargeable": "yes"}
        headers = {"Cookie": cookie, "Content-Type": "application/x-www-form-urlencoded"}
        path = f"/sorting/{sent.get()}"
        status, _, body = request(connection, "POST", path, urllib.parse.urlencode(form), headers)
        if status != 303:
            raise SystemExit(f"a sorting was answered {status}: {body[-2000:]}")

    # Begins a second later, when there is something to sort.
    out.put(("sorting a report", open_loop(port, SORTED_A_SECOND, begin + 1, 4, send)))


def read_pages(port, cookie, recurrences, begin, out):
    def send(connection, n):
        part, mode = recurrences[n % len(recurrences)]
        path = f"/recurrences/{urllib.parse.quote(part)}/{urllib.parse.quote(mode)}"
        status, _, body = request(connection, "GET", path, None, {"Cookie": cookie})
        if status != 200 or b"How often" not in body:
            raise SystemExit(f"a page was answered {status}: {body[:300]}")

    out.put(("recurrence page", open_loop(port, PAGES_A_SECOND, begin, 8, send)))


def memory_mb(process, field):
    """Memory of its own: each connection maps the database file, which the whole would count as often."""
    status = pathlib.Path(f"/proc/{process.pid}/status").read_text()
    return int(re.search(rf"{field}:\s+(\d+) kB", status)[1]) / 1024


def sign_in(program, environment, port, name, *more):
    link = subprocess.run([program, "link", name, *more], env=environment, check=True, capture_output=True, text=True)
    path = urllib.parse.urlsplit(link.stdout.strip()).path
    status, headers, _ = request(connect(port), "POST", path)
    assert status == 303, status
    return headers["set-cookie"].split(";")[0]


def main(program, pack=None):
    work = tempfile.TemporaryDirectory()
    folder = pathlib.Path(work.name)
    if pack is None:
        pack = folder / "pack"
        size = "--seed 1 --years 8 --items 2500000 --reports 1070000 --movements 260000 --lots 20000 --units 400"
        subprocess.run([program, "simulate", pack, *size.split()], check=True, capture_output=True)
    environment = os.environ | {
        "BARTACK_DATA": str(folder / "data"),
        "DATABASE_URL": f"sqlite://{folder}/data/bartack.sqlite",
        "BARTACK_LISTEN": "127.0.0.1:0",
        "BARTACK_BEHIND_PROXY": "yes",
        "RUST_LOG": "info",
    }
    (folder / "data").mkdir()
    subprocess.run([program, "import", pack], env=environment, check=True, capture_output=True)
    log = open(folder / "log", "w+")
    began = time.time()
    server = subprocess.Popen([program, "serve"], env=environment, stdout=subprocess.PIPE, stderr=log, text=True)
    try:
        port = int(re.search(r":(\d+)$", server.stdout.readline().strip())[1])
        first_page = time.time() - began
        while request(connect(port), "GET", "/health/ready")[0] != 200:
            time.sleep(0.2)
        ready = time.time() - began
        admin = sign_in(program, environment, port, "holm", "--new-administrator")
        form = {"Content-Type": "application/x-www-form-urlencoded", "Cookie": admin}
        request(connect(port), "POST", "/people", "name=fell&full_name=Oda+Fell&role=engineer&unit=", form)
        body = request(connect(port), "POST", "/api-keys", "purpose=load&role=engineer&unit=", form)[2].decode()
        key = re.search(r'id="key">([^<]+)<', body)[1]
        engineer = sign_in(program, environment, port, "fell")
        asked = {"Authorization": f"Bearer {key}"}

        def figures():
            """Every recurrence with its reports."""
            listed = json.loads(request(connect(port), "GET", "/api/v1/recurrences?limit=200", None, asked)[2])
            figures = [one["figures"] for one in listed["recurrences"]]
            return {(one["part_no"], one["mode"]): one["reports"] for one in figures}

        before = figures()
        with open(pathlib.Path(pack) / "reports.csv", newline="") as table:
            rows = list(itertools.islice(csv.DictReader(table), 0, None, 50))
        sent, out = multiprocessing.Queue(), multiprocessing.Queue()
        recurrences = sorted(before)
        begin = time.time() + 2
        at_rest = memory_mb(server, "RssAnon")
        loads = [
            multiprocessing.Process(target=send_reports, args=(port, key, rows, begin, sent, out)),
            multiprocessing.Process(target=sort_reports, args=(port, engineer, recurrences, begin, sent, out)),
            multiprocessing.Process(target=read_pages, args=(port, engineer, recurrences, begin, out)),
        ]
        for load in loads:
            load.start()
        results = dict(out.get(timeout=SECONDS + 120) for _ in loads)
        while not sent.empty():
            sent.get()
        for load in loads:
            load.join()
        counted = sum(figures().values()) - sum(before.values())
        in_the_end = memory_mb(server, "RssAnon")
    except BaseException:
        log.seek(0)
        print(log.read()[-4000:], file=sys.stderr)
        raise
    finally:
        server.terminate()
        server.wait()

    def at(values, share):
        return sorted(values)[min(len(values) - 1, int(share * len(values)))] * 1000

    machine = re.search(r"model name\s*:\s*(.*)", pathlib.Path("/proc/cpuinfo").read_text())[1]
    print(f"{datetime.date.today()}, {os.cpu_count()} cores of an {machine}, senders and readers on the same machine")
    print(f"{sum(before.values())} sorted reports in {len(before)} recurrences; pages answer {first_page:.1f} s after the")
    print(f"start, figures {ready:.1f} s after it; memory {at_rest:.0f} MB at rest, {in_the_end:.0f} MB in the")
    print("end, without the pages of the database file that are mapped")
    print("\n| from due to done | a second | requests | middle ms | 95 % | 99 % | most | due to sent, 99 % |")
    print("|---|---|---|---|---|---|---|---|")
    for what, taken in sorted((what, taken) for what, taken in results.items() if taken):
        done = [one[0] for one in taken]
        shares = " | ".join(f"{at(done, share):.1f}" for share in (0.5, 0.95, 0.99, 1.0))
        waits = at([one[1] for one in taken], 0.99)
        print(f"| {what} | {len(taken) / SECONDS:.0f} | {len(taken)} | {shares} | {waits:.1f} |")
    sorted_in_all = SECONDS * SORTED_A_SECOND
    print(f"\nsorted meanwhile {sorted_in_all}, counted by the pages in the end {counted}")
    if counted != sorted_in_all:
        raise SystemExit("the pages don't count every sorted report")


if __name__ == "__main__":
    if len(sys.argv) < 2:
        raise SystemExit(__doc__)
    main(*sys.argv[1:3])
