#!/usr/bin/env bash
# Imports a pack of a million reports into a running server's SQLite database while a unit sends reports with a
# photograph, one after the other, and prints how long each waited for its receipt. Builds the release program first.
# The same in small, without a clock, is tests/system/intake.rs.
# Usage: tests/bench/import_while_reporting.sh
set -eu
cd "$(dirname "$0")/../.."
cargo build --release --quiet --bin bartack
program=${CARGO_TARGET_DIR:-$PWD/target}/release/bartack
work=$(mktemp -d)
server=
trap 'kill $server 2>/dev/null || true; rm -rf "$work"' EXIT

mkdir "$work/data"
export BARTACK_DATA=$work/data DATABASE_URL=sqlite://$work/data/bartack.sqlite
"$program" demo --listen 127.0.0.1:0 >"$work/start" 2>"$work/log" &
server=$!
until grep -q '/report/' "$work/start"; do
    kill -0 $server || { cat "$work/log" >&2; exit 1; }
    sleep 0.2
done
form=$(grep -o 'http://[^ ]*/report/[^ ]*' "$work/start" | head -1)
"$program" simulate "$work/pack" --seed 1 --years 8 --items 2500000 --varied --reports 1070000 --movements 260000 \
    --lots 20000 --units 400 >/dev/null
rows=$(($(cat "$work"/pack/*.csv | wc -l) - $(ls "$work"/pack/*.csv | wc -l)))
# A picture of one grey dot (PNG).
base64 -d >"$work/torn.png" <<<iVBORw0KGgoAAAANSUhEUgAAAAEAAAABCAAAAAA6fptVAAAACklEQVR4nGNoAAAAggCBd81ytgAAAABJRU5ErkJggg==

"$program" import "$work/pack" >"$work/imported" 2>"$work/progress" &
import=$!
while kill -0 $import 2>/dev/null; do
    curl -sS -o "$work/page" -w '%{time_total} form\n' "$form" >>"$work/waits"
    key=$(grep -o 'name="client_key" value="[^"]*"' "$work/page" | cut -d'"' -f4)
    item=$(grep -o 'name="item" value="[^"]*"' "$work/page" | head -1 | cut -d'"' -f4)
    curl -sS -o /dev/null -w '%{time_total} %{http_code}\n' -F "client_key=$key" -F "item=$item" -F harm=none \
        -F "story=closure let go" -F "photo=@$work/torn.png;type=image/png" "$form" >>"$work/waits"
    sleep 2
done
wait $import || { cat "$work/progress" >&2; exit 1; }

echo "$(nproc) cores, $(awk '/MemTotal/ { printf "%.0f GB", $2 / 1048576 }' /proc/meminfo), $(sed -n 's/^model name[^:]*: //p' /proc/cpuinfo | head -1), $(uname -sr)"
echo "$rows rows imported beside $(grep -c ' 303$' "$work/waits") reports"
# What was answered by anything but a receipt would be a report lost.
grep -v -e ' 303$' -e ' form$' "$work/waits" && exit 1
waits() { grep "$1\$" "$work/waits" | sort -n | awk '{ w[NR] = $1 } END { printf "%.2f s at the middle, %.2f s at most", w[int((NR + 1) / 2)], w[NR] }'; }
echo "from sending to the receipt: $(waits 303); to open the form: $(waits form)"
