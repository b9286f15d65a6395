#!/bin/sh
# Gate a handover on asfound's exit code. Usage: gate.sh PLAN READBACK...
#   0  nothing at or above the gate        -> go on
#   1  findings at or above the gate       -> stop, the report says which
#   2  no verdict (input missing or wrong) -> stop, this is neither a pass nor a fail
# With a verdict, it leaves in the folder gate/ result.json for machines, result.sarif and result.junit.xml for the
# pipeline's own pages, report.html to look at and sign, and punch-list.csv for whoever corrects the settings.
set -u
mkdir -p gate && cd gate && rm -f result.json result.sarif result.junit.xml report.html punch-list.csv && cd .. \
  || exit 2  # no old result may be left
asfound check "$@" --gate handover --out gate/result.json --out gate/result.sarif --out gate/result.junit.xml \
  --out gate/report.html --out gate/punch-list.csv
code=$?
case $code in
  0) echo "gate: handover may go on" ;;
  1) echo "gate: findings, see gate/report.html" ;;
  *) echo "gate: no verdict, correct the input first" ;;
esac
exit $code
