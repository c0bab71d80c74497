#!/bin/sh
# tests/fuzz/run.sh SECONDS: each fuzzer for 40,000 inputs or so long, from one random seed, on the seeds in tests/data/seeds.
set -eu
cd "$(dirname "$0")/../.."
seconds=${1:-60}
readers="kicad_board kicad_netlist kicad_netlist_xml ipc_d_356 ipc_2581 ball_list bsdl ibis kicad_symbols kicad_old_symbols kicad_footprint picture"
targets=""
for reader in $readers; do targets="$targets fuzz_$reader"; done
cmake --preset fuzz >/dev/null
cmake --build --preset fuzz --target $targets >fuzz-build.log 2>&1 || { tail -40 fuzz-build.log; exit 1; }
rm -f fuzz-build.log
for target in $readers; do
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
