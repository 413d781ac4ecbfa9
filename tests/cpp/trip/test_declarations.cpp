// What every declaration of a van and a trip has to say.
#include <catch2/catch.hpp>
#include <map>
#include <regex>

#include "ridethrough/trip/registry.hpp"

using namespace ridethrough;
using namespace ridethrough::config;

namespace {

bool must_be_given(const Field& f) { return std::holds_alternative<std::monostate>(f.default_value) && !f.optional; }

}  // namespace

TEST_CASE("every default says where it comes from") {
    const std::regex year("\\b(1[89]|20)[0-9][0-9]\\b"), no_citation("memory|practice|choice|weak|fit|assum|no source");
    std::map<Provenance, int> count;
    for (const Schema* schema : trip::all_schemas())
        for (const Field& f : schema->fields) {
            CAPTURE(schema->name, f.name);
            if (!must_be_given(f)) REQUIRE(f.source);
            if (!f.source) continue;
            ++count[f.source->provenance];
            CAPTURE(f.source->text());
            if (f.source->provenance == Provenance::published) {
                CHECK(std::regex_search(f.source->note, year));
                CHECK_FALSE(std::regex_search(f.source->note, no_citation));
                CHECK_FALSE(f.source->is_weak);
            }
            // What the provenance says is not said a second time, and the note stands well after it.
            CHECK_FALSE(std::regex_search(f.source->note, std::regex("from memory|no source|weak")));
            CHECK_FALSE(f.source->text().ends_with(": "));
        }
    CHECK(count[Provenance::published] > 0);
    CHECK(count[Provenance::practice] > 10);
    CHECK(count[Provenance::unverified] > 150);
    CHECK(count[Provenance::assumption] > 100);
}

TEST_CASE("a source in words") {
    CHECK(published("Bendt et al. 1981").text() == "Bendt et al. 1981");
    CHECK(common_practice().text() == "common practice, no source");
    CHECK(common_practice("C/100").text() == "common practice, no source: C/100");
    CHECK(from_memory("2.5 V a cell").text() == "from memory: 2.5 V a cell");
    CHECK(weak(from_memory()).text() == "from memory, weak");
    CHECK(weak(own_choice("off")).text() == "own choice, weak: off");
    CHECK(name_of(Provenance::unverified) == "unverified");
}
