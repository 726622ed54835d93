#!/usr/bin/env bash
# Checks that every build gives the digests of `tests/it/data/golden.json`: debug, release, small, for this processor, and for
# others if the toolchain (or the one named by `RUSTC`) has them and a linker is set for Cargo. `tests/digests.sh` runs all,
# `tests/digests.sh release native` some. Each is built in its own folder below `target/`.
set -euo pipefail
cd "$(dirname "$0")/.."
golden=tests/it/data/golden.json
levers=$(mktemp)
trap 'rm -f "$levers"' EXIT
builds=("$@")
[ $# -gt 0 ] || builds=(debug release small native i686 aarch64)

# name, then the command that runs the program: flies each drill by the lever script kept beside its digest
check() {
  local name=$1 wrong=0 count=0; shift
  while IFS=$'\t' read -r drill digest script; do
    count=$((count + 1))
    { echo t_s,lever; tr -d '[' <<< "$script" | tr ']' '\n' | awk -F, 'NF > 1 { printf "%.6f,%.3f\n", $(NF - 1) / 64, $NF / 1000 }'; } > "$levers"
    found=$("$@" simulate "$drill" --lever "$levers" --seed 1 --json | sed -n 's/^  "digest": "\(.*\)",$/\1/p')
    [ "$found" = "$digest" ] || { echo "$name: $drill: $found, golden is $digest"; wrong=1; }
  done < <(sed -n 's/^{"drill":"\([^"]*\)".*"scripted":{"digest":"\([^"]*\)".*"script":\(.*\)}.*/\1\t\2\t\3/p' "$golden")
  [ "$count" -gt 20 ] || { echo "$golden was not read"; exit 1; }
  [ "$wrong" = 0 ] && echo "$name: $count digests equal"
  return "$wrong"
}

build() { cargo build --quiet --locked --bin leveloff --target-dir "target/digests-$1" "${@:2}"; }

cross() {
  local name=$1 target=$2; shift 2
  if ! [ -d "$("${RUSTC:-rustc}" --print target-libdir --target "$target")" ]; then echo "$name: $target is not installed, not run"; return 0; fi
  if [ $# -gt 0 ] && ! command -v "$1" > /dev/null; then echo "$name: $1 is not there, not run"; return 0; fi
  # A static binary, which needs no libraries of its architecture.
  RUSTFLAGS="-C target-feature=+crt-static" build "$name" --release --target "$target"
  check "$name" "$@" "target/digests-$name/$target/release/leveloff"
}

for name in "${builds[@]}"; do
  case $name in
    debug) build debug; check debug target/digests-debug/debug/leveloff ;;
    release) build release --release; check release target/digests-release/release/leveloff ;;
    small) build small --release --config 'profile.release.opt-level="s"'; check small target/digests-small/release/leveloff ;;
    native) RUSTFLAGS="-C target-cpu=native" build native --release; check native target/digests-native/release/leveloff ;;
    i686) cross i686 i686-unknown-linux-gnu ;;
    aarch64) cross aarch64 aarch64-unknown-linux-gnu qemu-aarch64-static ;;
    *) echo "no build $name"; exit 2 ;;
  esac
done
