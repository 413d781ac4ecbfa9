#!/usr/bin/env bash
# clang-tidy over the library and the bindings, as the build with the tests compiles them (README, second command), with
# the checks of .clang-tidy; it comes with the extra `long`. About three minutes of one processor.
#
#   tests/long/tidy.sh            all files
#   tests/long/tidy.sh solar trip those whose path has one of these words
set -euo pipefail
cd "$(dirname "$0")/../.."
commands=${BUILD_DIR:-build/test}
tidy=$({ command -v .venv/bin/clang-tidy || command -v clang-tidy; })

words=$(IFS='|'; echo "${*:-.}")
# As CMakeLists.txt has it for Clang; a newer Clang finds GCC 12's library to use what C++20 took back.
clang=(-Wno-unknown-warning-option -Wno-sign-conversion -Wno-deprecated-declarations)
find cpp/src cpp/bindings -name '*.cpp' | grep -E "$words" | sort |
    xargs -P "${JOBS:-2}" -n 1 "$tidy" -p "$commands" --quiet "${clang[@]/#/--extra-arg=}"
