// Trips with stops and storage, and the fridge's options, in the kernel.
#include <catch2/catch.hpp>
#include <cmath>

#include "ridethrough/trip/storage.hpp"
#include "trip/van_fixture.hpp"

using namespace van_fixture;
using One = simd::Pack<double, 1>;

namespace {

ConfigurationPtr stop(const std::string& name, const ConfigurationPtr& where, double nights, Values more = {}) {
    more.insert({{"name", name}, {"site", where}, {"nights", nights}});
    return make("Stop", more);
}
ConfigurationPtr tour(std::vector<ConfigurationPtr> stops, Values more = {}) {
    more.insert({{"stops", std::move(stops)}, {"start", std::string("2026-11-06 15:00")}, {"habits_scale", 1.3}});
    return make("Trip", more);
}
const Values no_drive{{"drive_duration_h", 0.0}};

std::vector<double> path_of(const Outcome& o, engine::Series p, std::size_t hours = 120) {
    const auto from = o.series.begin() + static_cast<std::ptrdiff_t>(p * hours);
    return {from, from + static_cast<std::ptrdiff_t>(hours)};
}

// Everything that is new at once.
ConfigurationPtr full_fridge() {
    return make("Fridge", {{"form", std::string("upright")},
                           {"volume_l", 85.0},
                           {"set_point_c", 3.5},
                           {"initial_inside_c", Spread::uniform(5, 25)},
                           {"freezer_box", make("FreezerBox")},
                           {"cover", make("InsulatedCover")},
                           {"vent_fan", make("VentFan")},
                           {"night_set_back", make("NightSetBack")}});
}
ConfigurationPtr medicine_fridge() { return make("Fridge", {{"medicine", make("Medicine")}}); }

}  // namespace

TEST_CASE("one stop is the same trip as one site") {
    for (const bool lithium : {false, true}) {
        const ConfigurationPtr van = lithium ? lfp_van() : agm_van();
        const auto a = run(compile(van, five_nights()), first_trials(60), engine::Precision::double_, 0, all_series());
        const auto b = run(compile(van, tour({stop("here", site(), 5, no_drive)})), first_trials(60),
                           engine::Precision::double_, 0, all_series());
        CHECK((a == b));
        // Two stops at the same place are too: the weather's persistence and the climate's error go on.
        const auto c = run(compile(van, tour({stop("a", site(), 2, no_drive), stop("b", site(), 3, no_drive)})),
                           first_trials(60), engine::Precision::double_, 0, all_series());
        CHECK((a == c));
    }
}

TEST_CASE("each day has the weather of the place where its night is spent") {
    const auto warm = site(0.5, 20), cold = site(0.3, 2);
    const auto only = [&](const ConfigurationPtr& where) {
        return run(compile(agm_van(), tour({stop("a", where, 5, no_drive)})), first_trials(50),
                   engine::Precision::double_, 0, all_series());
    };
    const auto both = run(compile(agm_van(), tour({stop("a", warm, 2, no_drive), stop("b", cold, 3, no_drive)})),
                          first_trials(50), engine::Precision::double_, 0, all_series());
    const auto first = only(warm), second = only(cold);
    for (std::size_t i = 0; i < both.size(); ++i)
        for (const auto p : {engine::kSeriesGhi, engine::kSeriesAirC}) {
            const auto x = path_of(both[i], p), a = path_of(first[i], p), b = path_of(second[i], p);
            // Days 0 and 1 end 33 h after the start. A day's air also looks at the days before and after it.
            for (std::size_t h = 0; h < (p == engine::kSeriesGhi ? 33u : 9u); ++h) REQUIRE(x[h] == a[h]);
            for (std::size_t h = p == engine::kSeriesGhi ? 33 : 57; h < 120; ++h) REQUIRE(x[h] == b[h]);
        }
    // Days follow each other in the scores, so the clearness of day 2 still knows that of day 1.
    CHECK(both[0].clearness[2] == second[0].clearness[2]);
}

TEST_CASE("shade and shore power are those of the stop, from the departure for it on") {
    const auto half_way = [](Values here) {
        here.insert({{"drive_duration_h", 2.0}, {"arrival_h", 14.0}});
        return tour({stop("a", site(), 2, {{"drive_duration_h", 0.0}, {"shade_beam", 0.0}, {"shade_sky", 0.0}}),
                     stop("b", site(), 3, here)});
    };
    const ConfigurationPtr van =
        agm_van({{"mains", make("MainsCharger")}, {"battery", make("AgmBattery", {{"initial_soc", 0.4}})}});
    const auto dark = run(compile(van, half_way({{"shade_beam", 1.0}, {"shade_sky", 1.0}})), first_trials(40),
                          engine::Precision::double_, 0, all_series());
    for (const auto& o : dark) {
        const auto solar = path_of(o, engine::kSeriesSolarW), driven = path_of(o, engine::kSeriesDcDcW);
        double before = 0;
        for (std::size_t h = 0; h < 120; ++h) {
            const std::size_t clock = h + 15;  // departure at 12 h of day 2
            if (clock < 60) before += solar[h];
            if (clock >= 60) REQUIRE(solar[h] == 0);
            REQUIRE((driven[h] > 0) == (clock == 60 || clock == 61));
        }
        CHECK(before > 0);
    }
    const auto plugged = run(compile(van, half_way({{"power", std::string("shore")}})), first_trials(10),
                             engine::Precision::double_, 0, all_series());
    for (const auto& o : plugged) {
        const auto mains = path_of(o, engine::kSeriesMainsW);
        for (std::size_t h = 0; h < 120; ++h)
            if (h + 15 < 62) REQUIRE(mains[h] == 0);
        CHECK(mains[62 - 15] > 0);
        CHECK(mains[119] >= 0);
    }
    CHECK_THROWS_WITH(compile(agm_van(), half_way({{"power", std::string("shore")}})), Catch::Contains("Van.mains"));
}

TEST_CASE("the drive between two stops warms an engine bay") {
    // Four hours' drive: the bay nears +35 K in half an hour and cools in two, the battery lags it by 8 h. By hand
    // +12.4 K at the drive's end and +14.4 K, the most, 1.8 h after it.
    const auto trip = tour({stop("a", site(), 1, no_drive), stop("b", site(), 4, {{"drive_duration_h", 4.0}})});
    const auto temperature = [&](const char* place) {
        const auto van = agm_van({{"battery", make("AgmBattery", {{"location", std::string(place)}})}});
        return path_of(run(compile(van, trip), first_trials(1), engine::Precision::double_, 0, all_series())[0],
                       engine::kSeriesBatteryC);
    };
    const auto bay = temperature("engine_bay"), locker = temperature("locker");
    double warmest = 0;
    for (std::size_t h = 0; h < 120; ++h) warmest = std::max(warmest, bay[h] - locker[h]);
    CHECK(bay[15] == locker[15]);
    CHECK(warmest == Approx(14.4).margin(0.3));
}

TEST_CASE("stops and a site exclude each other, and replay needs one place") {
    const auto two = std::vector<ConfigurationPtr>{stop("a", site(), 2), stop("b", site(0.3, 2), 3)};
    CHECK_THROWS_WITH(five_nights({{"stops", two}}), Catch::Contains("Trip.site: not allowed beside Trip.stops"));
    CHECK_THROWS_WITH(tour(two, {{"nights", 5.0}}), Catch::Contains("Trip.nights: not allowed beside"));
    CHECK_THROWS_WITH(make("Trip", {{"start", std::string("2026-11-06 15:00")}, {"nights", 5.0}}),
                      Catch::Contains("Trip.site: must be given"));
    CHECK_THROWS_WITH(tour({stop("a", site(), 2), stop("a", site(), 3)}), Catch::Contains("used twice"));
    CHECK_THROWS_WITH(tour({stop("a", site(), 200), stop("b", site(), 200)}), Catch::Contains("400 nights"));
    CHECK_THROWS_WITH(tour(two, {{"drives", planned("Drive", {7})}}), Catch::Contains("1 to 6"));
    CHECK_THROWS_WITH(stop("a", site(), 2, {{"drive_duration_h", 6.0}, {"arrival_h", 5.0}}),
                      Catch::Contains("Stop.drive_duration_h = 6 h"));
    CHECK_THROWS_WITH(compile(agm_van(), tour(two, {{"weather", std::string("replayed")}})),
                      Catch::Contains("one place"));
    const auto bare = make("Site", {{"latitude", 36.1}, {"longitude", -79.95}});
    CHECK_THROWS_WITH(compile(agm_van(), tour({stop("a", bare, 2)})), Catch::Contains("trip.stops.a.site.climate"));
    const auto c = compile(agm_van({{"dc_dc", std::monostate{}}}), tour(two));
    CHECK(c->hours() == 120);
    REQUIRE(c->warnings().size() == 1);
    CHECK_THAT(c->warnings()[0], Catch::Contains("the van has no DC-DC charger"));
}

TEST_CASE("every new part: lanes agree, both ledgers close, and no other draw moves") {
    const auto trials = first_trials(300);
    const auto where =
        std::vector<ConfigurationPtr>{stop("a", site(), 2, {{"shade_beam", Spread::uniform(0, 0.5)}}),
                                      stop("b", site(0.3, 2, {{"ghi_scale", Spread::normal(1, 0.05)}}), 3)};
    const auto plan_of = tour(where, {{"storage", make("Storage")}});
    for (const auto& fridge : {full_fridge(), medicine_fridge()})
        for (const bool lithium : {false, true}) {
            const auto van = [&](Values more) { return lithium ? lfp_van(more) : agm_van(more); };
            const auto compiled = compile(van({{"fridge", fridge}}), plan_of);
            for (const auto precision : {engine::Precision::double_, engine::Precision::single_}) {
                const auto narrow = run(compiled, trials, precision, 1, all_series());
                CHECK((run(compiled, trials, precision, 0, all_series()) == narrow));
                for (const auto& o : narrow) {
                    for (const double x : o.column) REQUIRE(std::isfinite(x));
                    REQUIRE(o.charge_balance_error < (precision == engine::Precision::double_ ? 1e-9 : 1e-5));
                    REQUIRE(o.energy_balance_error < (precision == engine::Precision::double_ ? 1e-9 : 1e-5));
                }
            }
            const auto loads = unheated_loads();
            const auto with = run(compile(van({{"fridge", fridge}, {"loads", loads}}), plan_of), first_trials(20));
            const auto without = run(compile(van({{"loads", loads}}), tour(where)), first_trials(20));
            for (std::size_t i = 0; i < with.size(); ++i) {
                REQUIRE(with[i].clearness == without[i].clearness);
                REQUIRE(with[i].load_ah == without[i].load_ah);
            }
        }
}

TEST_CASE("new quantities have purposes of their own") {
    const auto c = compile(
        agm_van({{"fridge", full_fridge()}}),
        tour({stop("a", site(), 2), stop("b", site(0.3, 2), 3, {{"shade_sky", 0.1}})}, {{"storage", make("Storage")}}));
    std::vector<std::string> paths;
    for (const auto& s : c->parameters()) paths.push_back(s.path);
    for (const char* path :
         {"fridge.initial_inside_c", "fridge.freezer_box.coupling_w_per_k", "fridge.cover.heat_leak_factor",
          "fridge.vent_fan.current_a", "trip.storage.bypass_share", "trip.stops.b.shade_sky",
          "trip.stops.b.site.climate.ghi_scale", "trip.stops.b.site.climate.air_temp_offset_k"})
        CHECK(std::count(paths.begin(), paths.end(), path) == 1);
}

TEST_CASE("climates of one source share their error, others have their own") {
    const auto of = [](const char* source, double sd, double warmer) {
        return site(0.3, warmer, {{"ghi_scale", Spread::normal(1, sd)}, {"source", std::string(source)}});
    };
    const auto drawn = [&](const ConfigurationPtr& a, const ConfigurationPtr& b) {
        const auto c = compile(agm_van(), tour({stop("a", a, 2), stop("b", b, 2)}));
        return std::count_if(c->parameters().begin(), c->parameters().end(),
                             [](const auto& p) { return p.spread && p.path.find("ghi_scale") != std::string::npos; });
    };
    CHECK(drawn(of("grid", 0.1, 0), of("grid", 0.1, 2)) == 1);
    CHECK(drawn(of("grid", 0.1, 0), of("grid", 0.2, 2)) == 2);
    CHECK(drawn(of("grid", 0.1, 0), of("station", 0.1, 2)) == 2);
    CHECK(drawn(of("", 0.1, 0), of("", 0.1, 2)) == 2);
    CHECK(drawn(of("", 0.1, 0), of("", 0.1, 0)) == 1);  // the same climate
}

TEST_CASE("charge after standing") {
    // dq/dt = n - k q, by hand: q0 e^-kt + n (1 - e^-kt)/k.
    const auto after = [](double q, double n, double k, double days) {
        return trip::charge_after(One(q), One(n), One(k), One(days)).v;
    };
    CHECK(after(1, 0, 0.001, 30) == Approx(std::exp(-0.03)).epsilon(1e-12));
    CHECK(after(0.9, -0.006, 0.001, 84) == Approx(0.9 * std::exp(-0.084) - 6 * (1 - std::exp(-0.084))).epsilon(1e-12));
    CHECK(after(0.9, -0.006, 0, 84) == Approx(0.9 - 0.504).epsilon(1e-9));
    CHECK(after(0.9, -0.006, 1e-6, 84) == Approx(0.9 * std::exp(-84e-6) - 6000 * (1 - std::exp(-84e-6))).epsilon(1e-6));
    for (const double k : {0.00099, 0.0001, 1e-5})  // little is lost: a series, k^3 / 24 off at most
        CHECK(after(0.2, 0.1, k, 1) == Approx(0.2 * std::exp(-k) - 0.1 * std::expm1(-k) / k).epsilon(2e-11));
    CHECK(after(0.5, 0.1, 0.001, 30) == 1);
    CHECK(after(0.5, -0.1, 0.001, 30) == 0);
    CHECK(after(0.7, -0.1, 0.001, 0) == Approx(0.7));
}

TEST_CASE("a van that stood is emptier with its isolator on, and fuller in the sun") {
    double lowest = 0;  // of the last run's trips, at their worst moment
    const auto started = [&lowest](Values storage) {
        storage.insert({"weeks", 8.0});
        double sum = 0;
        lowest = 0;
        const auto van = agm_van({{"battery", make("AgmBattery", {{"initial_soc", 1.0}, {"state_of_health", 1.0}})},
                                  {"solar", make("SolarArray", {{"self_consumption_ma", 10.0}})}});
        for (const auto& o : run(compile(van, five_nights({{"storage", make("Storage", storage)}})), first_trials(64),
                                 engine::Precision::double_, 0, all_series())) {
            sum += path_of(o, engine::kSeriesSoc)[0] / 64;
            lowest = std::max(lowest, o.column[engine::kMinSoc]);
        }
        return sum;
    };
    const std::string roof = "under_roof";
    const double stood = started({{"solar", roof}, {"bypass_share", 0.1}, {"self_discharge_per_month", 0.03}});
    started({{"solar", roof}, {"isolator", std::string("on")}});  // .5 A would take 672 Ah
    CHECK(lowest <= 0);
    const double sunny = started({{"bypass_share", 0.1}});
    // By hand: .05 A and the controller's .01 A for 56 days are 81 Ah of 158, and 3 % a month for 1.84 months; the
    // first hour takes 1 % or so.
    const double q = 1.8412 * 0.03, full = 150 * 1.054;
    CHECK(stood == Approx(std::exp(-q) - 24 * 56 * 0.06 / full * (1 - std::exp(-q)) / q).margin(0.02));
    CHECK(sunny > 0.97);
}
