// Measured hours and their replay.
#include <catch2/catch.hpp>
#include <cmath>

#include "weather/weather_fixture.hpp"

using namespace ridethrough;
using namespace ridethrough::weather;
using Catch::Matchers::Contains;

namespace {

using One = simd::Pack<double, 1>;

// Air temperature counts the hours, so that a replayed hour says where it came from.
SeriesHours counted(sun::Date first, int hours) {
    SeriesHours r;
    r.latitude_deg = 36.1;
    r.longitude_deg = -79.95;
    r.utc_offset_h = -5;
    r.first_hour = std::int64_t{sun::day_number(first)} * 24;
    for (int i = 0; i < hours; ++i) {
        r.ghi_w_m2.push_back(i % 24 >= 8 && i % 24 < 16 ? 400 : 0);
        r.air_temp_c.push_back(i * .001);
    }
    return r;
}

PlaneFactors flat(const WeatherSeries& record) {
    const auto skies = series_skies(record);
    return of_series_hours(record, solar::plane_factors(skies.days, {}));
}

}  // namespace

TEST_CASE("a record checks what it is given") {
    auto r = counted({2021, 1, 1}, 48);
    CHECK_NOTHROW(WeatherSeries(r));
    auto bad = r;
    bad.ghi_w_m2[7] = std::nan("");
    CHECK_THROWS_WITH(WeatherSeries(bad), Contains("ghi_w_m2[7]"));
    bad = r;
    bad.air_temp_c[3] = -999;
    CHECK_THROWS_WITH(WeatherSeries(bad), Contains("air_temp_c[3] = -999") && Contains("-90 to 70"));
    bad = r;
    bad.air_temp_c.pop_back();
    CHECK_THROWS_AS(WeatherSeries(bad), base::InputError);
    bad = r;
    bad.wraps = true;
    CHECK_THROWS_WITH(WeatherSeries(bad), Contains("8760"));
    auto other = r;
    other.ghi_w_m2[12] += 1;
    CHECK(WeatherSeries(r).digest() == WeatherSeries(r).digest());
    CHECK(WeatherSeries(r).digest() != WeatherSeries(other).digest());
}

TEST_CASE("diffuse light is measured or split, and the beam stays below what the Sun gives") {
    auto r = counted({2021, 6, 1}, 48);
    const WeatherSeries split(r);
    for (std::size_t i = 0; i < 48; ++i) {
        const double ghi = split.data().ghi_w_m2[i], dhi = split.data().dhi_w_m2[i], i0 = split.i0_wh_m2()[i];
        REQUIRE(dhi >= 0);
        REQUIRE(dhi <= ghi);
        REQUIRE(ghi - dhi <= highest_beam_share * i0 + 1e-9);
        if (i0 > 1.1 * ghi && ghi > 0) REQUIRE(dhi == Approx(ghi * sun::diffuse_share_hourly(ghi / i0)).margin(1e-9));
    }
    r.dhi_w_m2.assign(48, 0);
    for (std::size_t i = 0; i < 48; ++i) r.dhi_w_m2[i] = r.ghi_w_m2[i] / 2;
    CHECK(WeatherSeries(r).data().dhi_w_m2[12] == 200);
}

TEST_CASE("trips start within the window, in every year, wholly inside the record") {
    const WeatherSeries record(counted({2018, 6, 1}, 24 * 1000));  // to 2021-02-24
    const int november = sun::day_number({2026, 11, 6});
    const auto starts = replay_starts(record, november, 6, -5, 15);
    CHECK(starts.size() == 3 * 31);  // 2018, 2019, 2020
    for (const auto s : starts) {
        CHECK(s % 24 == 0);
        const auto d = sun::date_of(sun::day_number({2018, 6, 1}) + s / 24);
        CHECK(((d.month == 10 && d.day >= 22) || (d.month == 11 && d.day <= 21)));
    }
    CHECK(replay_starts(record, november, 6, -4, 0)[0] % 24 == 23);  // a clock one hour ahead: midnight is 23 h there
    CHECK_THROWS_AS(replay_starts(record, november, 6, -4.5, 0), base::InputError);
    CHECK_THROWS_WITH(replay_starts(record, november, 900, -5, 15), Contains("outside the weather record"));
    // Leap day: 29 February is taken as the 28th in other years.
    CHECK(replay_starts(record, sun::day_number({2028, 2, 29}), 3, -5, 0).size() == 2);
}

TEST_CASE("a typical year closes on itself and its splices are counted") {
    auto r = counted({2001, 1, 1}, 8760);
    r.wraps = true;
    r.splices = {0, 744};
    const WeatherSeries record(r);
    const auto starts = replay_starts(record, sun::day_number({2026, 12, 30}), 5, -5, 0);
    REQUIRE(starts == std::vector<std::int32_t>{363 * 24});
    CHECK(splices_crossed(record, starts[0], 5 * 24) == 1);
    CHECK(splices_crossed(record, 0, 24 * 40) == 1);
    CHECK(splices_crossed(record, 24, 24) == 0);
    CHECK(replay_starts(record, sun::day_number({2026, 1, 3}), 5, -5, 10).size() == 21);

    const ReplayPlan<double> plan(record, flat(record));
    using V = simd::Pack<double, 2>;
    HourlyWeather<V> out;
    const std::int32_t start[2] = {363 * 24, 100 * 24};
    replay_weather(plan.view(), 1, start, out);
    CHECK(out.air[0].lane(0) == 364 * 24 * .001);
    CHECK(out.air[5].lane(1) == (101 * 24 + 5) * .001);
    replay_weather(plan.view(), 2, start, out);
    CHECK(out.air[0].lane(0) == 0);  // over the year's end
    CHECK(out.ghi[10].lane(0) == 400);
    CHECK(out.clearness.lane(0) > out.clearness.lane(1));  // the same light from a lower Sun
    for (int h = 0; h < 24; ++h)
        for (int l = 0; l < 2; ++l) CHECK(out.beam[h].lane(l) + out.sky[h].lane(l) <= out.ghi[h].lane(l) + 1e-9);
}
