#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# The program against a second reading of the rules (tests/reference/oracle.py), written from the
# domain text alone: advice, recall and audit over two invented practices, about 20 s. TAP.
set -u

source=${SPRINGLINE_SOURCE:-$PWD}
program=${SPRINGLINE_PROGRAM:-$source/build/springline}
work=${TMPDIR:-/tmp}/rules_oracle.$$
trap 'rm -rf "$work"' EXIT
mkdir -p "$work/large" "$work/small"

# No .pyc beside the sources.
PYTHONDONTWRITEBYTECODE=1
export PYTHONDONTWRITEBYTECODE
python3 "$source/tests/reference/compare_oracle.py" "$program" "$work" "$@"
