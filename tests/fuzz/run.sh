#!/bin/sh
# tests/fuzz/run.sh SECONDS: each fuzzer for 40,000 inputs or so long, from one random seed, on the seeds in tests/data/seeds;
# as many at once as there are cores.
set -eu
cd "$(dirname "$0")/../.."
seconds=${1:-60}
readers="kicad_board kicad_netlist kicad_netlist_xml ipc_d_356 ipc_2581 ball_list bsdl ibis kicad_symbols kicad_old_symbols kicad_footprint picture"
cmake --preset asan >/dev/null
cmake --build --preset asan --target $(printf 'fuzz_%s ' $readers) >fuzz-build.log 2>&1 || { tail -40 fuzz-build.log; exit 1; }
rm -f fuzz-build.log
printf '%s\n' $readers | SECONDS_EACH=$seconds xargs -I{} -P "$(nproc)" sh -c '
  corpus=build/asan/corpus-{}
  log=build/asan/{}.log
  mkdir -p "$corpus"
  if build/asan/tests/fuzz/fuzz_{} -seed=1 -runs=40000 -max_total_time="$SECONDS_EACH" -timeout=10 -rss_limit_mb=2048 -max_len=16384 \
      "$corpus" tests/data/seeds/{} >"$log" 2>&1; then
    echo "{}: $(grep -E "^Done|^#[0-9]+.DONE" "$log" | tr "\n" " ")"
  else
    tail -30 "$log"
    echo "{}: the fuzzer found a fault"
    exit 255
  fi'
