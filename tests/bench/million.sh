#!/usr/bin/env bash
# Simulates a pack of a million reports and 200,000 movements, imports it into SQLite, analyses it, and prints a
# Markdown table of time, peak memory and rows a second. Builds the release program first. Takes minutes, not hours.
# Usage: tests/bench/million.sh
set -eu
cd "$(dirname "$0")/../.."
cargo build --release --quiet --bin bartack
program=${CARGO_TARGET_DIR:-$PWD/target}/release/bartack
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT

# Runs a command beside a watch on its peak memory, which the kernel keeps in /proc; prints seconds and megabytes.
measure() {
    local began ended peak=0 now child
    began=$(date +%s.%N)
    "$@" >"$work/out" 2>"$work/err" &
    child=$!
    while now=$(sed -n 's/^VmHWM:[^0-9]*\([0-9]*\) kB/\1/p' "/proc/$child/status" 2>/dev/null) && [ -n "$now" ]; do
        peak=$now
        sleep 0.1
    done
    wait "$child" || { cat "$work/err" >&2; exit 1; }
    ended=$(date +%s.%N)
    awk -v a="$began" -v b="$ended" -v kb="$peak" 'BEGIN { printf "%.1f %.0f\n", b - a, kb / 1024 }'
}

line() {
    awk -v what="$1" -v rows="$2" -v seconds="$3" -v mb="$4" \
        'BEGIN { printf "| %s | %d | %.1f | %.0f | %d |\n", what, rows, seconds, mb, rows / (seconds > 0 ? seconds : 1) }'
}

export BARTACK_DATA=$work/data
export DATABASE_URL=sqlite://$work/data/bartack.sqlite
mkdir -p "$BARTACK_DATA"
read -r seconds mb <<<"$(measure "$program" simulate "$work/pack" --seed 1 --years 8 --items 2500000 \
    --reports 1070000 --movements 260000 --lots 20000 --units 400)"
rows=$(($(cat "$work"/pack/*.csv | wc -l) - $(ls "$work"/pack/*.csv | wc -l)))
echo "$(nproc) cores, $(awk '/MemTotal/ { printf "%.0f GB", $2 / 1048576 }' /proc/meminfo), $(sed -n 's/^model name[^:]*: //p' /proc/cpuinfo | head -1), $(uname -sr)"
echo
echo "| step | rows | seconds | peak MB | rows a second |"
echo "|---|---|---|---|---|"
line "simulate" "$rows" "$seconds" "$mb"
read -r seconds mb <<<"$(measure "$program" import "$work/pack")"
line "import into SQLite" "$rows" "$seconds" "$mb"
read -r seconds mb <<<"$(measure "$program" analyse "$work/pack" --as-of 2026-10-31 --json --timings)"
line "read, analyse and print as JSON" "$rows" "$seconds" "$mb"
line "of this, analyse" "$rows" "$(sed -n 's/.* analysed in \([0-9.]*\) s$/\1/p' "$work/err")" "$mb"
