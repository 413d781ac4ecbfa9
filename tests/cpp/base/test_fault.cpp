// The text of an error and its facts are one thing.
#include <catch2/catch.hpp>
#include <string>

#include "ridethrough/base/text.hpp"

using ridethrough::base::Fault;
using ridethrough::base::InputError;

TEST_CASE("an error's text is made of its facts") {
    CHECK(Fault{.path = "a", .reason = "odd"}.text() == "a: odd");
    CHECK(Fault{.path = "a.b", .value = "1", .unit = "Ah", .allowed = "5 to 2000 Ah"}.text() ==
          "a.b = 1 Ah: allowed 5 to 2000 Ah");
    const Fault all{.path = "a.b",
                    .value = "1",
                    .reason = "odd",
                    .allowed = "2",
                    .hint = "is 2 meant?",
                    .suggestion = "c",
                    .more = "look it up"};
    CHECK(all.text() == "a.b = 1: odd; allowed 2; is 2 meant?; did you mean c? look it up");
    CHECK(Fault{.path = "a", .reason = "odd", .more = "look it up"}.text() == "a: odd; look it up");
}

TEST_CASE("an error carries its facts, and one of a text alone has none") {
    const InputError error({.path = "a", .value = "1", .allowed = "2"});
    CHECK(std::string(error.what()) == "a = 1: allowed 2");
    CHECK(error.facts().path == "a");
    CHECK(error.facts().allowed == "2");
    CHECK(InputError("odd").facts().path.empty());
    CHECK(std::string(InputError(std::string("odd")).what()) == "odd");
}
