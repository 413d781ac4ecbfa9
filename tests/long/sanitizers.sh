#!/usr/bin/env bash
# The C++ tests under the address and undefined-behaviour sanitizers, and those that use threads under the thread
# sanitizer. About ten minutes.
#
#   tests/long/sanitizers.sh
set -euo pipefail
cd "$(dirname "$0")/../.."
work=${BUILD_DIR:-build/sanitizers}

# GCC warns of std::regex in Catch2's main where the sanitizers change its inlining: a false alarm.
common="-O1 -fno-omit-frame-pointer -fno-var-tracking -Wno-maybe-uninitialized"
build() { # name, flags
    cmake -S . -B "$work/$1" -G Ninja -DRIDETHROUGH_TESTS=ON -DCMAKE_BUILD_TYPE=Debug \
        -DCMAKE_CXX_FLAGS="$common $2" >/dev/null
    cmake --build "$work/$1" --target ridethrough_tests
}

build address "-fsanitize=address,undefined -fno-sanitize-recover=all"
UBSAN_OPTIONS=print_stacktrace=1 "$work/address/tests/cpp/ridethrough_tests"

build thread "-fsanitize=thread"
threaded="[#test_digest]"
for file in tests/cpp/ensemble/test_*.cpp; do threaded+=",[#$(basename "$file" .cpp)]"; done
TSAN_OPTIONS=halt_on_error=1 "$work/thread/tests/cpp/ridethrough_tests" --filenames-as-tags "$threaded"
