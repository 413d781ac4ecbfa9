#include <catch2/catch.hpp>
#include <fstream>

#include "trip/draw_names.hpp"

using namespace ridethrough;

namespace {

constexpr const char* kFile = RIDETHROUGH_TEST_DATA "/draw_names.txt";

// Lines "path -> draw"; the path is that of the first version.
std::map<std::string, std::string> committed() {
    std::map<std::string, std::string> out;
    std::ifstream file(kFile);
    for (std::string line; std::getline(file, line);) {
        const auto arrow = line.find(" -> ");
        const std::string draw = line.substr(arrow + 4);
        out.emplace(draw, line.substr(0, arrow));
    }
    return out;
}

}  // namespace

// A field or a part may be renamed, its draw may not: Field::draw_name and random::ParameterPath keep the old name.
TEST_CASE("no draw moves: each has the name that it always had") {
    const draw_names::Table table = draw_names::table();
    const auto old = committed();
    REQUIRE(old.size() > 200);
    std::map<std::string, std::string> now = table.fields;
    for (const std::string& name : table.fixed) now[name] = "(no field)";
    for (const auto& [draw, path] : old) {
        INFO("this draw would move, as nothing has its name any more: " << draw << ", of " << path);
        CHECK(now.contains(draw));
    }
    for (const auto& [draw, path] : now) {
        INFO(
            "not in draw_names.txt: " << draw << ", of " << path
                                      << "; is it new? then run ridethrough_tests \"write tests/data/draw_names.txt\"");
        CHECK(old.contains(draw));
    }
}

TEST_CASE("every quantity that may vary stands in the table of draws") {
    const draw_names::Table table = draw_names::table();
    for (const config::Schema* schema : trip::all_schemas())
        for (const config::Field& f : schema->fields) {
            CAPTURE(schema->name, f.name);
            CHECK(table.declared.contains(schema->name + "." + f.name) >= draw_names::varies(f));
        }
}

TEST_CASE("write tests/data/draw_names.txt", "[.]") {
    draw_names::Table table = draw_names::table();
    const auto old = committed();
    for (auto& [draw, path] : table.fields)
        if (old.contains(draw)) path = old.at(draw);
    std::ofstream(kFile) << draw_names::report(table);
    SUCCEED(kFile);
}
