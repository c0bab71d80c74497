#!/bin/sh
# bsdl.sh LANDFALL FOLDER FILES...: BSDL files read by this program and by GHDL, a VHDL compiler (Debian's ghdl), of
# which BSDL is a subset: GHDL joins the pieces of each pin map and says the ports' ranges, and awk splits what it
# says. Both must have the same port at every ball of every package. Prints SKIPPED: where there is no ghdl.
set -eu
landfall=$1
folder=$2
shift 2
command -v ghdl >/dev/null 2>&1 || {
  echo "SKIPPED: ghdl is not installed"
  exit 0
}
mkdir -p "$folder"

# The standard's own package as far as GHDL needs it: names and types of the attributes (IEEE 1149.1-2001, B.5.2).
cat >"$folder/std.vhd" <<'VHDL'
package STD_1149_1_2001 is
  attribute PIN_MAP : string;
  subtype PIN_MAP_STRING is string;
  type CLOCK_LEVEL is (LOW, BOTH);
  type CLOCK_INFO is record
    FREQ : real;
    LEVEL : CLOCK_LEVEL;
  end record;
  attribute TAP_SCAN_IN : boolean;
  attribute TAP_SCAN_OUT : boolean;
  attribute TAP_SCAN_MODE : boolean;
  attribute TAP_SCAN_RESET : boolean;
  attribute TAP_SCAN_CLOCK : CLOCK_INFO;
  attribute INSTRUCTION_LENGTH : integer;
  attribute BOUNDARY_LENGTH : integer;
  attribute COMPONENT_CONFORMANCE : string;
  attribute COMPLIANCE_PATTERNS : string;
  attribute INSTRUCTION_OPCODE : string;
  attribute INSTRUCTION_CAPTURE : string;
  attribute IDCODE_REGISTER : string;
  attribute REGISTER_ACCESS : string;
  attribute BOUNDARY_REGISTER : string;
  attribute DESIGN_WARNING : string;
end package;
VHDL

# report WORDS...: what GHDL says of the entity in FOLDER/entity.vhd when it runs these statements.
report() {
  printf 'architecture shown of %s is\nbegin\n  process\n  begin\n%s\n    wait;\n  end process;\nend architecture;\n' \
    "$entity" "$1" >"$folder/shown.vhd"
  rm -f "$folder"/work-obj*.cf
  (cd "$folder" && ghdl -a --std=93 -frelaxed std.vhd && ghdl -a --std=93 -frelaxed entity.vhd shown.vhd &&
    ghdl -r --std=93 -frelaxed "$entity") >"$folder/ghdl.log" 2>&1 || {
    head -5 "$folder/ghdl.log"
    return 1
  }
  sed -n 's/.*(report note): //p' "$folder/ghdl.log"
}

failed=0
maps=0
balls=0
for file in "$@"; do
  entity=$(sed -n 's/^ *[Ee][Nn][Tt][Ii][Tt][Yy] *\([A-Za-z0-9_]*\).*/\1/p' "$file" | head -1)
  packages=$(grep -i -o 'constant *[A-Za-z0-9_]* *: *PIN_MAP_STRING' "$file" | awk '{sub(/:.*/, "", $2); print $2}')
  # VHDL allows no tabs in a string, and wants to be told where the package is.
  { echo 'use work.STD_1149_1_2001;' && tr '\t' ' ' <"$file"; } >"$folder/entity.vhd"
  for package in $packages; do
    map=$(report "    report $package;")
    vectors=$(echo "$map" | grep -o '[A-Za-z0-9_]* *: *(' | sed 's/[ :(]//g' || true)
    ranges=""
    for port in $vectors; do
      ranges="$ranges    report \"$port \" & integer'image($port'left) & \" \" & integer'image($port'right);
"
    done
    [ -z "$ranges" ] || ranges=$(report "$ranges")
    # PORT:PIN or PORT:(PIN,...), the pins of a vector in the order of its range; OPEN and TIE are no pins.
    { echo "$ranges" && echo "= $map"; } | awk '
      $1 != "=" { if (NF == 3) { left[$1] = $2; right[$1] = $3 }; next }
      {
        text = substr($0, 3); gsub(/ /, "", text)
        while (match(text, /^,?[A-Za-z0-9_]+:(\([^)]*\)|[^,]*)/)) {
          item = substr(text, 1, RLENGTH); text = substr(text, RLENGTH + 1); sub(/^,/, "", item)
          port = item; sub(/:.*/, "", port); pins = item; sub(/^[^:]*:/, "", pins)
          vector = pins ~ /^\(/; gsub(/[()]/, "", pins); count = split(pins, pin, ",")
          for (i = 1; i <= count; i++) {
            name = port
            if (vector) name = port "(" (left[port] <= right[port] ? left[port] + i - 1 : left[port] - i + 1) ")"
            if (pin[i] !~ /^(OPEN|TIE)/) print pin[i] "\t" name
          }
        }
        if (text != "") print "?\t" text
      }' | sort >"$folder/theirs"
    rm -f "$folder"/bench.sqlite*
    "$landfall" --bench "$folder/bench.sqlite" import "$file" --name part --package "$package" >/dev/null
    "$landfall" --bench "$folder/bench.sqlite" --json pins part | tr -d '\n' | sed 's/}/}\n/g' |
      sed -n 's/.*"pin": *"\([^"]*\)".*"function": *"\([^"]*\)".*/\1\t\2/p' | sort >"$folder/ours"
    count=$(wc -l <"$folder/theirs")
    if [ "$count" -gt 0 ] && cmp -s "$folder/theirs" "$folder/ours"; then
      echo "$(basename "$file") $package: $count balls, the same"
    else
      echo "$(basename "$file") $package: differs (there, here)"
      diff "$folder/theirs" "$folder/ours" | head -10
      failed=1
    fi
    maps=$((maps + 1))
    balls=$((balls + count))
  done
done
echo "$(ghdl --version | head -1): $maps pin maps, $balls balls"
[ "$maps" -gt 0 ] && [ "$failed" -eq 0 ]
