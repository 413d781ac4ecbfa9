#include <catch2/catch.hpp>
#include <cstdlib>
#include <limits>

#include "ridethrough/config/configuration.hpp"

using namespace ridethrough::base;
using namespace ridethrough::config;
using Catch::Matchers::Contains;

namespace {

const Schema& lamp() {
    static const Schema schema{
        "Lamp",
        "A lamp.",
        {
            {.name = "name", .type = FieldType::text, .default_value = std::string("lamp")},
            {.name = "current_a", .unit = "A", .variation = Variation::day, .low = 0, .high = 20, .default_value = 0.5},
        }};
    return schema;
}

class Weather : public Series {
  public:
    explicit Weather(std::uint64_t id) : id_(id) {}
    std::uint64_t digest() const override { return id_; }
    std::string text() const override { return "weather()"; }

  private:
    std::uint64_t id_;
};

// One field of every kind.
const Schema& cabin() {
    static const Schema schema{
        "Cabin",
        "A cabin.",
        {
            {.name = "height_m", .unit = "m", .low = 1, .high = 3, .default_value = 2.0},
            {.name = "people", .type = FieldType::integer, .low = 0, .high = 10, .default_value = 2.0},
            {.name = "heated", .type = FieldType::flag, .default_value = true},
            {.name = "place",
             .type = FieldType::choice,
             .default_value = std::string("inside"),
             .choices = {"inside", "outside"}},
            {.name = "table_v",
             .unit = "V",
             .type = FieldType::numbers,
             .low = 8,
             .high = 16,
             .default_value = std::vector<double>{10, 12},
             .size = 2},
            {.name = "walls_m",
             .unit = "m",
             .type = FieldType::bearings,
             .low = 0,
             .high = 5,
             .default_value = std::vector<double>{}},
            {.name = "rise_k", .unit = "K", .variation = Variation::trial, .low = 0, .high = 20, .optional = true},
            {.name = "lamp",
             .type = FieldType::part,
             .default_value = Configuration::make(lamp(), {}),
             .choices = {"Lamp"}},
            {.name = "lamps",
             .type = FieldType::parts,
             .default_value = std::vector<ConfigurationPtr>{},
             .choices = {"Lamp"}},
            {.name = "weather", .type = FieldType::series, .optional = true},
        },
        [](const Configuration& r) {
            if (r.number("height_m") > 2.5 && r.flag("heated"))
                throw InputError("Cabin.height_m = " + number_text(r.number("height_m")) + " m: too high to heat");
        },
        [](const Configuration& r) {
            return r.has("rise_k") ? std::vector<std::string>{"Cabin.rise_k is given"} : std::vector<std::string>{};
        }};
    return schema;
}

const Schema& site() {
    static const Schema schema{
        "Site", "A place.", {{.name = "latitude", .unit = "deg", .low = -90, .high = 90, .doc = "north positive"}}};
    return schema;
}

ConfigurationPtr named(const char* name) { return Configuration::make(lamp(), {{"name", std::string(name)}}); }

}  // namespace

TEST_CASE("missing fields take their defaults and are left out of repr") {
    const ConfigurationPtr r = Configuration::make(cabin(), {});
    CHECK(r->number("height_m") == 2);
    CHECK(r->integer("people") == 2);
    CHECK(r->flag("heated"));
    CHECK(r->text("place") == "inside");
    CHECK(r->numbers("table_v") == std::vector<double>{10, 12});
    CHECK_FALSE(r->has("rise_k"));
    CHECK(r->part("lamp")->number("current_a") == 0.5);
    CHECK(r->parts("lamps").empty());
    CHECK(r->repr() == "Cabin()");
    CHECK_THROWS_WITH(Configuration::make(site(), {}), "Site.latitude: must be given; allowed -90 to 90 deg");
}

TEST_CASE("repr is what Python evaluates") {
    const ConfigurationPtr r =
        Configuration::make(cabin(), {{"people", 3.0},
                                      {"heated", false},
                                      {"place", std::string("outside")},
                                      {"table_v", std::vector<double>{11.5, 12.25}},
                                      {"walls_m", std::vector<double>{270, 2, 90.5, 1}},
                                      {"rise_k", Spread::triangular(1, 2, 4)},
                                      {"lamp", Configuration::make(lamp(), {{"current_a", 1.5}})},
                                      {"lamps", std::vector<ConfigurationPtr>{named("it's"), named("b\\\n")}},
                                      {"weather", std::make_shared<const Weather>(7)}});
    CHECK(r->repr() ==
          "Cabin(people=3, heated=False, place='outside', table_v=[11.5, 12.25], walls_m=[[90.5, 1], [270, 2]], "
          "rise_k=triangular(1, 2, 4), lamp=Lamp(current_a=1.5), lamps=[Lamp(name='it\\'s'), "
          "Lamp(name='b\\\\\\x0a')], weather=weather())");
}

TEST_CASE("range errors name the field, the value and what is allowed") {
    const auto with = [](const char* name, Value value) {
        return [=] { Configuration::make(cabin(), {{name, value}}); };
    };
    const double nan = std::numeric_limits<double>::quiet_NaN(), inf = std::numeric_limits<double>::infinity();
    CHECK_THROWS_WITH(with("height_m", -5.0)(), "Cabin.height_m = -5 m: allowed 1 to 3 m");
    CHECK_THROWS_WITH(with("height_m", nan)(), "Cabin.height_m = nan m: allowed 1 to 3 m");
    CHECK_THROWS_WITH(with("height_m", inf)(), "Cabin.height_m = inf m: allowed 1 to 3 m");
    CHECK_THROWS_WITH(with("height_m", std::string("2"))(),
                      "Cabin.height_m = '2': allowed 1 to 3 m; write a number without quotes: 2");
    CHECK_THROWS_WITH(with("height_m", std::monostate{})(), "Cabin.height_m = None: allowed 1 to 3 m");
    CHECK_THROWS_WITH(with("rise_k", true)(), "Cabin.rise_k = True: allowed 0 to 20 K, or None");
    CHECK_THROWS_WITH(with("people", 1.5)(), "Cabin.people = 1.5: allowed whole number, 0 to 10");
    CHECK_THROWS_WITH(with("people", nan)(), Contains("Cabin.people = nan"));
    CHECK_THROWS_WITH(with("heated", 1.0)(), "Cabin.heated = 1: allowed True or False");
    CHECK_THROWS_WITH(with("place", std::string("outsid"))(),
                      "Cabin.place = 'outsid': allowed 'inside' or 'outside'; did you mean 'outside'?");
    CHECK_THROWS_WITH(with("table_v", std::vector<double>{10, 17})(), "Cabin.table_v.2 = 17 V: allowed 8 to 16 V");
    CHECK_THROWS_WITH(with("table_v", std::vector<double>{10})(),
                      "Cabin.table_v = 1 numbers: allowed 2 numbers, 8 to 16 V");
    CHECK_THROWS_WITH(with("walls_m", std::vector<double>{90, nan})(),
                      "Cabin.walls_m = [90, nan]: allowed [bearing, number] pairs, compass bearing 0 to 360 deg, "
                      "number 0 to 5 m, or a table by N, NE, E, SE, S, SW, W, NW");
    CHECK_THROWS_WITH(with("walls_m", std::vector<double>{nan, 1})(), Contains("Cabin.walls_m = [nan, 1]: allowed"));
    CHECK_THROWS_WITH(with("walls_m", std::vector<double>{90, 1, 90, 2})(),
                      "Cabin.walls_m = [90, 2]: the bearing 90 deg is given twice (360 deg is 0)");
    CHECK_THROWS_WITH(with("walls_m", 1.0)(), Contains("Cabin.walls_m = 1 m: allowed [bearing, number] pairs"));
    CHECK_THROWS_WITH(with("lamp", Configuration::make(site(), {{"latitude", 1.0}}))(),
                      "Cabin.lamp = Site(latitude=1): allowed Lamp");
    CHECK_THROWS_WITH(with("lamp", ConfigurationPtr{})(), "Cabin.lamp = None: allowed Lamp");
    CHECK_THROWS_WITH(with("lamps", std::vector<ConfigurationPtr>{Configuration::make(site(), {{"latitude", 1.0}})})(),
                      "Cabin.lamps = Site(latitude=1): allowed a list of Lamp");
    CHECK_THROWS_WITH(with("lamps", std::vector<ConfigurationPtr>{named("a"), named("a")})(),
                      "Cabin.lamps: the name 'a' is used twice");
    CHECK_THROWS_WITH(with("lamps", std::vector<ConfigurationPtr>{named("a.b")})(), Contains("without a dot"));
    CHECK_THROWS_WITH(with("hight_m", 2.0)(), Contains("Cabin.hight_m: no such field; did you mean height_m?"));
    CHECK_THROWS_WITH(with("qqq", 2.0)(), Contains("Cabin.qqq: no such field; it has height_m, people, heated"));
    CHECK_THROWS_WITH(with("height_m", 2.75)(), "Cabin.height_m = 2.75 m: too high to heat");
}

TEST_CASE("an unknown field's error holds all names that there are") {
    for (const char* wrong : {"hight_m", "qqq", "volts"}) {
        try {
            Configuration::make(cabin(), {{wrong, 2.0}});
            FAIL("no error");
        } catch (const InputError& error) {
            CHECK_THAT(error.facts().choices, Catch::Matchers::StartsWith("height_m, people, heated"));
            CHECK(error.facts().suggestion == (std::string(wrong) == "hight_m" ? "height_m" : ""));
        }
    }
}

TEST_CASE("a spread must fit the field's level and range") {
    const auto lamp_with = [](Spread s) { return Configuration::make(lamp(), {{"current_a", s}}); };
    CHECK_NOTHROW(lamp_with(Spread::uniform(0, 20)));
    CHECK_NOTHROW(lamp_with(Spread::uniform(0, 1, Variation::trial)));
    CHECK_NOTHROW(lamp_with(Spread::normal(1, 30)));
    CHECK_THROWS_WITH(lamp_with(Spread::uniform(0, 1, Variation::hour)),
                      "Lamp.current_a = uniform(0, 1, per='hour'): allowed per='trial' or 'day'");
    CHECK_THROWS_WITH(lamp_with(Spread::uniform(0, 21)),
                      "Lamp.current_a = uniform(0, 21): allowed 0 to 20 A; are W meant? 21 W are 1.64 A at 12.8 V");
    CHECK_THROWS_WITH(lamp_with(Spread::normal(-1, 1)), Contains("allowed 0 to 20 A"));
    CHECK_THROWS_WITH(Configuration::make(cabin(), {{"height_m", Spread::uniform(1, 2)}}),
                      "Cabin.height_m = uniform(1, 2): fixed for the whole plan; allowed one number");
    CHECK_THROWS_WITH(Configuration::make(cabin(), {{"people", Spread::discrete({1, 2}, {1, 1})}}),
                      Contains("allowed whole number"));
    CHECK_THROWS_AS(lamp_with(Spread::uniform(0, 1))->number("current_a"), InputError);
}

TEST_CASE("records are equal by value, and digests agree with that") {
    const auto a =
        Configuration::make(cabin(), {{"lamps", std::vector<ConfigurationPtr>{named("a")}}, {"rise_k", 0.0}});
    const auto b =
        Configuration::make(cabin(), {{"lamps", std::vector<ConfigurationPtr>{named("a")}}, {"rise_k", -0.0}});
    CHECK(*a == *b);
    CHECK(a->digest() == b->digest());
    for (const auto& [name, value] : Values{{"rise_k", Spread::normal(1, 1)},
                                            {"lamps", std::vector<ConfigurationPtr>{}},
                                            {"people", 5.0},
                                            {"heated", false},
                                            {"place", std::string("outside")},
                                            {"table_v", std::vector<double>{9, 10}},
                                            {"walls_m", std::vector<double>{9, 1}},
                                            {"lamp", named("b")},
                                            {"weather", std::make_shared<const Weather>(1)}}) {
        CAPTURE(name);
        const auto c = a->replace({{name, value}});
        CHECK_FALSE(*c == *a);
        CHECK(c->digest() != a->digest());
        CHECK(*c->replace({{name, a->at(name)}}) == *a);
    }
    CHECK(*a->replace({{"weather", std::make_shared<const Weather>(1)}}) ==
          *a->replace({{"weather", std::make_shared<const Weather>(1)}}));
}

TEST_CASE("the digest is FNV-1a of name and values, the same in every release") {
    // worked out in Python from the offset basis and prime of RFC 9923, over the lengths and texts of both names, the
    // kind's index 2 and the bits of 36.0, all as little-endian 64-bit draws
    CHECK(Configuration::make(site(), {{"latitude", 36.0}})->digest() == 0xf65c3b3d82d3ead2u);
}

TEST_CASE("warnings are gathered from inside too") {
    static const Schema house{
        "House", "", {{.name = "cabin", .type = FieldType::part, .default_value = std::monostate{}}}};
    const auto quiet = Configuration::make(cabin(), {}), loud = Configuration::make(cabin(), {{"rise_k", 1.0}});
    CHECK(Configuration::make(house, {{"cabin", quiet}})->warnings().empty());
    CHECK(Configuration::make(house, {{"cabin", loud}})->warnings() ==
          std::vector<std::string>{"Cabin.rise_k is given"});
}

TEST_CASE("a default outside its own range is found") {
    const Schema wrong{"Wrong", "", {{.name = "x_m", .unit = "m", .low = 0, .high = 1, .default_value = 2.0}}};
    CHECK_THROWS_WITH(Configuration::make(wrong, {}), "Wrong.x_m = 2 m: allowed 0 to 1 m");
}

TEST_CASE("numbers are written short and read back the same") {
    CHECK(number_text(150) == "150");
    CHECK(number_text(0.1) == "0.1");
    CHECK(number_text(100000) == "100000");
    CHECK(number_text(1e22) == "1e+22");
    CHECK(number_text(-2.5e-7) == "-2.5e-07");
    for (const double x : {1.0 / 3, 0.1 + 0.2, 12345678.9, 5e-324, 1.7976931348623157e308})
        CHECK(std::strtod(number_text(x).c_str(), nullptr) == x);
}

TEST_CASE("the nearest name is near, or none") {
    const std::vector<std::string> names{"capacity_ah", "resistance_mohm", "name"};
    CHECK(nearest_name("capacity_a", names) == "capacity_ah");
    CHECK(nearest_name("Capacity", names) == "capacity_ah");
    CHECK(nearest_name("nmae", names).empty());  // two replacements in four letters
    CHECK(nearest_name("names", names) == "name");
    CHECK(nearest_name("volts", names).empty());
}

TEST_CASE("a value knows whether it is the default, was given or was measured") {
    const ConfigurationPtr fresh = Configuration::make(cabin(), {{"people", 2.0}});
    CHECK(fresh->origin("height_m") == Origin{});
    CHECK(fresh->origin("people") == Origin{Origin::given});  // also where it is what the default would be
    CHECK_THROWS_WITH(fresh->origin("hight_m"), Contains("no such field; did you mean height_m?"));

    const ConfigurationPtr measured =
        fresh->with_measured({{"height_m", 1.9}, {"rise_k", Spread::uniform(2, 3)}}, "2024-02-29");
    CHECK(measured->origin("height_m") == Origin{Origin::measured, "2024-02-29"});
    CHECK(measured->origin("rise_k").text() == "measured on 2024-02-29");
    CHECK(measured->origin("people").text() == "given");
    CHECK(measured->origin("heated").text() == "default");
    CHECK(measured->number("height_m") == 1.9);

    // A replacement changes the origin of what it names alone, and a later word overrules an earlier one.
    const ConfigurationPtr later = measured->replace({{"heated", false}, {"rise_k", 2.0}});
    CHECK(later->origin("height_m").date == "2024-02-29");
    CHECK(later->origin("rise_k") == Origin{Origin::given});
    CHECK(later->origin("heated") == Origin{Origin::given});
    CHECK(later->origin("place") == Origin{});
}

TEST_CASE("origin takes no part in what a configuration is") {
    const ConfigurationPtr standard = Configuration::make(cabin(), {});
    const ConfigurationPtr given = Configuration::make(cabin(), {{"height_m", 2.0}});
    const ConfigurationPtr measured = standard->with_measured({{"height_m", 2.0}}, "2026-05-01");
    for (const ConfigurationPtr& same : {given, measured}) {
        CHECK(*same == *standard);
        CHECK(same->digest() == standard->digest());
        CHECK(same->repr() == standard->repr());
    }
}

TEST_CASE("a measurement has a day of the calendar and is of a number") {
    const ConfigurationPtr r = Configuration::make(cabin(), {});
    for (const char* date : {"2026-02-29", "2026-13-01", "2026-00-01", "2026-5-1", "01.05.2026", "2026-05-01T10", "",
                             "2026-05-+1", "0000-01-01"}) {
        CAPTURE(date);
        CHECK_THROWS_WITH(r->with_measured({{"height_m", 2.0}}, date),
                          Contains("Cabin.height_m: measured on '" + std::string(date) + "'; allowed a date such as"));
    }
    CHECK_THROWS_WITH(r->with_measured({{"heated", true}}, "2026-05-01"),
                      "Cabin.heated: only numbers are measured; allowed is to give it");
    CHECK_THROWS_WITH(r->with_measured({{"height_m", 9.0}}, "2026-05-01"), "Cabin.height_m = 9 m: allowed 1 to 3 m");
    CHECK_THROWS_WITH(r->with_measured({{"hight_m", 2.0}}, "2026-05-01"), Contains("no such field"));
}
