#!/bin/sh
# Gate a handover on asfound's exit code. Usage: gate.sh PLAN READBACK...
#   0  nothing at or above the gate        -> go on
#   1  findings at or above the gate       -> stop, the result says which
#   2  no verdict (input missing or wrong) -> stop, this is no pass and no fail
set -u
asfound check "$@" --gate handover --out result.json
code=$?
case $code in
  0) echo "gate: handover may go on" ;;
  1) echo "gate: findings, see result.json" ;;
  *) echo "gate: no verdict, mend the input first" ;;
esac
exit $code
