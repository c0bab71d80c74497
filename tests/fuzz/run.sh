#!/bin/sh
# tests/fuzz/run.sh SECONDS: each fuzzer for 40,000 inputs or so long, from one random seed, on the seeds in tests/data/seeds.
set -eu
cd "$(dirname "$0")/../.."
seconds=${1:-60}
cmake --preset fuzz >/dev/null
cmake --build --preset fuzz --target fuzz_kicad_board fuzz_kicad_netlist fuzz_kicad_netlist_xml fuzz_ipc_d_356 >fuzz-build.log 2>&1 || { tail -40 fuzz-build.log; exit 1; }
rm -f fuzz-build.log
for target in kicad_board kicad_netlist kicad_netlist_xml ipc_d_356; do
  corpus=build/fuzz/corpus-$target
  mkdir -p "$corpus"
  log=build/fuzz/$target.log
  if ! build/fuzz/tests/fuzz/fuzz_$target -seed=1 -runs=40000 -max_total_time="$seconds" -timeout=10 -rss_limit_mb=2048 -max_len=16384 \
      "$corpus" "tests/data/seeds/$target" >"$log" 2>&1; then
    tail -30 "$log"
    echo "$target: the fuzzer found a fault"
    exit 1
  fi
  echo "$target: $(grep -E '^Done|^#[0-9]+.DONE' "$log" | tr '\n' ' ')"
done
