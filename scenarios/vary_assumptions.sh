#!/usr/bin/env bash
# scenarios/vary_assumptions.sh - what assumed landmarks and parts do to plate stress (README, "What the assumptions do")
#   question  how far do the hock centre, the tendon offset, the menisci and the layer of cartilage move the answer?
#   run       bash scenarios/vary_assumptions.sh [STIFLE] [OUT]      (about 8 minutes on 2 cores; one slope, trot 50 %)
#   prints    CSV: key, value, peak plate stress MPa, largest screw bending N mm
set -euo pipefail
root=$(cd "$(dirname "${BASH_SOURCE[0]}")/.." && pwd)
stifle=${1:-$root/build/stifle}
out=${2:-$root/out/assumptions}
mkdir -p "$out"

scenario() { # tibia keys, joint keys
  cat <<EOF
dog:        {name: assumption study, mass_kg: 30, limb: right}
tibia:      {length_mm: 200, plateau_angle_deg: 25, tuberosity_width_mm: 10.8$1}
joint:      {ligament: torn$2}
levelling:  {plateau_angles_deg: [6], saw_radius_mm: 24}
activities: [trot]
study:      {stance_percent: [50], sweep_plateau_deg: [0, 30, 10]}
output:     {fields: none, pictures: false}
EOF
}

echo "key,value,peak_plate_mpa,largest_screw_bending_nmm"
variant() { # name, value, tibia keys, joint keys
  local file="$out/$1_$2.yaml" results="$out/$1_$2"
  scenario "$3" "$4" >"$file"
  "$stifle" run "$file" --out "$results" >"$results.log" 2>&1 || { cat "$results.log"; exit 1; }
  # Columns by name; the levelled slope is the one below 20 degrees.
  awk -F, -v key="$1" -v value="$2" '
    FNR == 1 { split("", column); for (i = 1; i <= NF; ++i) column[i] = $i; next }
    { for (i = 1; i <= NF; ++i) cell[column[i]] = $i }
    cell["plateau_angle_deg"] < 20 && FILENAME ~ /construct/ && cell["part"] == "plate" && cell["excluded"] == 0 { plate = cell["peak_von_mises_mpa"] }
    cell["plateau_angle_deg"] < 20 && FILENAME ~ /screws/ && cell["bending_nmm"] > bending { bending = cell["bending_nmm"] }
    END { printf "%s,%s,%.1f,%.0f\n", key, value, plate, bending }' "$results/construct.csv" "$results/screws.csv"
}
variant reference 0 "" ""
for offset in -3 3; do variant hock_offset_cranial_mm $offset ", hock_offset_cranial_mm: $offset" ""; done
for offset in -3 3; do variant hock_offset_medial_mm $offset ", hock_offset_medial_mm: $offset" ""; done
for offset in -2 2; do variant tendon_offset_medial_mm $offset "" ", tendon_offset_medial_mm: $offset"; done
for state in removed; do variant meniscus_medial $state "" ", meniscus_medial: $state"; done
for modulus in 5 10; do variant layer_modulus_mpa $modulus "" ", layer_modulus_mpa: $modulus"; done
