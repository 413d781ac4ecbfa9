#include <catch2/catch.hpp>
#include <fstream>
#include <sstream>

#include "trip/digest.hpp"

// A change of the model moves these on purpose: tests/long/digest_levels.sh --update writes the new ones.
TEST_CASE("some thousand trials come to the committed bits with every instruction set of this processor") {
    std::ostringstream expected;
    expected << std::ifstream(RIDETHROUGH_TEST_DATA "/digests.txt").rdbuf();
    for (const auto& set : ridethrough::engine::instruction_sets()) {
        INFO("instruction set " << set.name);
        CHECK(digest::report(set.name) == expected.str());
    }
}

TEST_CASE("an instruction set that the processor has not is an error that names those it has") {
    CHECK_THROWS_WITH(ridethrough::engine::instruction_set_named("x86-64-v9"),
                      Catch::Contains("instruction_set = \"x86-64-v9\": allowed on this processor \"reference\""));
}

TEST_CASE("the digest sees the smallest change of one value") {
    digest::Fnv a, b;
    a.add(std::vector<double>{1, 2, 3});
    b.add(std::vector<double>{1, std::nextafter(2.0, 3.0), 3});
    CHECK(a.value() != b.value());
    digest::Fnv known;  // "foobar" of the FNV authors' own test vectors, from memory
    known.add(std::vector<char>{'f', 'o', 'o', 'b', 'a', 'r'});
    CHECK(known.value() == 0x85944171f73967e8u);
}
