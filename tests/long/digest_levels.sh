#!/usr/bin/env bash
# The same bits on every instruction set, optimisation level and compiler, with and without the C library's FMA copies:
# builds ridethrough_digest in each way and compares what it prints with tests/data/digests.txt. About ten minutes.
#
#   tests/long/digest_levels.sh            compare
#   tests/long/digest_levels.sh --update   after a change of the model: write the file anew from the default build
set -euo pipefail
cd "$(dirname "$0")/../.."
expected=tests/data/digests.txt
work=${BUILD_DIR:-build/digests}
mkdir -p "$work"

build() { # name, compiler, build type, flags
    local folder="$work/$1"
    if ! { cmake -S . -B "$folder" -G Ninja -DRIDETHROUGH_TESTS=ON -DCMAKE_CXX_COMPILER="$2" -DCMAKE_BUILD_TYPE="$3" \
        -DCMAKE_CXX_FLAGS="$4" && cmake --build "$folder" --target ridethrough_digest; } >"$folder.log" 2>&1; then
        tail -n 40 "$folder.log"
        return 1
    fi
}

if [[ ${1:-} == --update ]]; then
    build default "${CXX:-c++}" Release ""
    "$work/default/tests/cpp/ridethrough_digest" >"$expected"
    cat "$expected"
    exit
fi

failed=0
compare() { # name, compiler, build type, flags
    build "$@"
    local program="$work/$1/tests/cpp/ridethrough_digest" tunables
    for tunables in "" glibc.cpu.hwcaps=-AVX2,-FMA; do
        if GLIBC_TUNABLES=$tunables "$program" | cmp --silent - "$expected"; then
            echo "same bits: $1 ${tunables:+with $tunables}"
        else
            echo "OTHER BITS: $1 ${tunables:+with $tunables}"
            failed=1
        fi
    done
}

runs_here() { # processor flags, all of which are needed
    local flag
    for flag in "$@"; do grep -m 1 '^flags' /proc/cpuinfo | grep -qw "$flag" || return 1; done
}

compilers=(g++)
if command -v clang++ >/dev/null; then compilers+=(clang++); else echo "left out: no clang++ here"; fi
for compiler in "${compilers[@]}"; do
    compare "$compiler-debug" "$compiler" Debug "-O0 -march=x86-64"
    compare "$compiler-O3" "$compiler" Release "-march=x86-64"
    if runs_here sse4_2 ssse3 popcnt; then
        compare "$compiler-v2" "$compiler" Release "-march=x86-64-v2"
    else
        echo "left out: x86-64-v2, not on this processor"
    fi
    if runs_here avx2 fma bmi1 bmi2 movbe f16c; then
        compare "$compiler-v3" "$compiler" Release "-march=x86-64-v3"
    else
        echo "left out: x86-64-v3, not on this processor"
    fi
    if runs_here avx512f avx512bw avx512cd avx512dq avx512vl; then
        compare "$compiler-v4" "$compiler" Release "-march=x86-64-v4"
    else
        echo "left out: x86-64-v4, not on this processor"
    fi
done
exit "$failed"
