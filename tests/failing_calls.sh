#!/usr/bin/env bash
# Makes every call that writes to disk fail once, at each place where it is made: disk full, device error, interrupted. Each
# failure must be reported in a line, and everything saved before must survive. Needs strace; not part of the build.
# `tests/failing_calls.sh [PROGRAM]`, by default the release build.
set -uo pipefail
cd "$(dirname "$0")/.."
command -v strace > /dev/null || { echo "strace is not there, not run"; exit 0; }
program=$(realpath "${1:-target/release/leveloff}")
ground=$(mktemp -d)
trap 'rm -rf "$ground"' EXIT
cd "$ground" || exit 1
export XDG_CONFIG_HOME="$ground/config" LEVELOFF_DATA="$ground/data"
tries=0 wrong=0

complain() { echo "$1: $2"; sed 's/^/    /' "$ground/err"; wrong=$((wrong + 1)); }

kept() { "$program" log --json 2> /dev/null | grep -c '"id"'; }

# $1, $2: call and error as strace names them; the rest: a command that writes
each() {
  local call=$1 error=$2 name at status before; shift 2
  for at in $(seq 1 40); do
    name="$* with $call $at failing by $error"
    rm -rf new.html config
    before=$(kept)
    strace -f -qq -o trace -e trace="$call" -e inject="$call:error=$error:when=$at" "$program" "$@" > out 2> err
    status=$?
    grep -q INJECTED trace || return 0
    tries=$((tries + 1))
    case $status in 0 | 1) ;; *) complain "$name" "ended with $status" ;; esac
    grep -q panicked err && complain "$name" "a panic"
    # If its own messages cannot be written, it can report nothing; the work itself is done.
    if [ "$status" != 0 ] && [[ $(grep INJECTED trace) != *'write('[12],* ]]; then
      [ -s err ] || complain "$name" "nothing is told"
      for file in new.html config/leveloff/config.toml; do
        [ ! -e "$file" ] || complain "$name" "$file was left behind"
      done
    fi
    [ "$(kept)" -ge "$before" ] || complain "$name" "a run is gone"
    "$program" log > /dev/null 2> err || complain "$name" "the logbook cannot be listed"
    [ -s err ] && complain "$name" "the logbook complains"
    "$program" verify data/runs/*.json > /dev/null 2> err || complain "$name" "a recording is not what it was"
    compgen -G 'data/*/*.part' > /dev/null && complain "$name" "part of a file was left"
  done
  complain "$name" "there is no end of it"
}

fly="simulate catch-the-sink --hand brief"
"$program" $fly --seed 1 --save > /dev/null || exit 1
id=$("$program" log --json | sed -n 's/.*"id": "\([^"]*\)".*/\1/p' | head -1)
seed=2
for error in ENOSPC EIO EINTR; do
  for call in write fsync rename ftruncate flock mkdir; do
    each "$call" "$error" $fly --seed $seed --save
    each "$call" "$error" note "$id" "right on the number"
    each "$call" "$error" debrief "$id" --html new.html
    each "$call" "$error" config init
    seed=$((seed + 1))
  done
done
echo "$tries calls failed, $wrong times it went wrong"
[ "$wrong" = 0 ]
