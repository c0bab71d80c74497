#!/bin/sh
# import_against_shell.sh BUILD [FILE...]: an import, parse to committed bench file, against SQLite's own shell
# which takes the same rows from CSV into the same tables with the same indexes, journal and synchronous. In turn,
# RUNS times (5), the least of each; on a busy machine the times on the processor tell more. Without FILE: a board
# of 1,000,000 pins. DESIGN.md section 10: within 1.3.
#
# What the shell cannot do is left out in its favour: its empty fields cannot be NULL nor its text a BLOB in STRICT
# tables, so the tables are the same but not STRICT, and a BLOB is text of the same length. Its CSV lies ready, and
# it does not check foreign keys.
set -eu
build=$1
shift
runs=${RUNS:-5}
scratch=$(mktemp -d "${TMPDIR:-/tmp}/landfall-benchmark-XXXXXX")
trap 'rm -rf "$scratch"' EXIT INT TERM
if [ $# -eq 0 ]; then
  "$build/tests/benchmarks/make_board" ipc 1000000 >"$scratch/large.ipc"
  set -- "$scratch/large.ipc"
fi

# Milliseconds by the clock and on the processor of a command, as "clock busy".
took() {
  start=$(date +%s%N)
  /usr/bin/time -f '%U %S' -o "$scratch/busy" "$@" >/dev/null 2>&1
  end=$(date +%s%N)
  awk -v clock="$((end - start))" '{ printf "%d %d\n", clock / 1e6, ($1 + $2) * 1000 }' "$scratch/busy"
}
least() { awk '{ if (NR == 1 || $1 < clock) clock = $1; if (NR == 1 || $2 < busy) busy = $2 } END { print clock, busy }' "$1"; }
clear_away() { rm -f "$scratch/$1.sqlite" "$scratch/$1.sqlite-wal" "$scratch/$1.sqlite-shm"; }

for file in "$@"; do
  mkdir -p "$scratch/csv"
  rm -f "$scratch"/csv/*
  clear_away own
  "$build/viewer/landfall" --bench "$scratch/own.sqlite" import "$file" >/dev/null 2>&1

  # The same rows as CSV, and what takes them.
  sqlite3 "$scratch/own.sqlite" .schema | sed 's/ STRICT, WITHOUT ROWID;/ WITHOUT ROWID;/; s/ STRICT;/;/' >"$scratch/schema.sql"
  {
    echo "PRAGMA journal_mode = WAL; PRAGMA synchronous = FULL;"
    cat "$scratch/schema.sql"
    echo "BEGIN IMMEDIATE;"
    echo ".mode csv"
  } >"$scratch/shell.sql"
  tables=$(sqlite3 "$scratch/own.sqlite" "SELECT name FROM sqlite_schema WHERE type = 'table' AND name NOT LIKE 'sqlite_%' ORDER BY rootpage")
  rows=0
  for table in $tables; do
    columns=$(sqlite3 "$scratch/own.sqlite" "SELECT group_concat(iif(type = 'BLOB', printf('printf(''%%.*c'', length(\"%w\"), ''x'')', name), printf('\"%w\"', name)), ', ') FROM pragma_table_info('$table')")
    sqlite3 -csv "$scratch/own.sqlite" "SELECT $columns FROM \"$table\"" >"$scratch/csv/$table.csv"
    [ -s "$scratch/csv/$table.csv" ] || continue
    echo ".import '$scratch/csv/$table.csv' $table" >>"$scratch/shell.sql"
    rows=$((rows + $(sqlite3 "$scratch/own.sqlite" "SELECT count(*) FROM \"$table\"")))
  done
  echo "COMMIT;" >>"$scratch/shell.sql"

  : >"$scratch/own.times"
  : >"$scratch/shell.times"
  n=0
  while [ "$n" -lt "$runs" ]; do
    clear_away own
    took "$build/viewer/landfall" --bench "$scratch/own.sqlite" import "$file" >>"$scratch/own.times"
    clear_away shell
    took sqlite3 -init "$scratch/shell.sql" "$scratch/shell.sqlite" "" >>"$scratch/shell.times"
    n=$((n + 1))
  done
  # Both must hold the same rows, or the comparison is none.
  for table in $tables; do
    for side in own shell; do
      sqlite3 "$scratch/$side.sqlite" "SELECT count(*) FROM \"$table\"" >"$scratch/$side.count"
    done
    if ! cmp -s "$scratch/own.count" "$scratch/shell.count"; then
      echo "table $table: $(cat "$scratch/own.count") rows against $(cat "$scratch/shell.count")" >&2
      exit 1
    fi
  done
  printf '%s: %s rows\n' "$(basename "$file")" "$rows"
  echo "$(least "$scratch/own.times") $(least "$scratch/shell.times")" | awk '{
    printf "  by the clock: import %.3f s, shell %.3f s, ratio %.2f (goal 1.30)\n", $1 / 1000, $3 / 1000, $1 / $3
    printf "  on the processor: import %.3f s, shell %.3f s, ratio %.2f\n", $2 / 1000, $4 / 1000, $2 / $4 }'
  clear_away own
  "$build/tests/benchmarks/import_split" "$file" "$scratch/own.sqlite"
done
