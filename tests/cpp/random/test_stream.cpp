#include <catch2/catch.hpp>
#include <cstring>
#include <set>
#include <string_view>
#include <vector>

#include "ridethrough/base/math.hpp"
#include "ridethrough/config/configuration.hpp"
#include "ridethrough/random/draws.hpp"
#include "ridethrough/random/purpose.hpp"
#include "ridethrough/random/stream.hpp"

namespace base = ridethrough::base;
namespace rnd = ridethrough::random;
using ridethrough::simd::Pack;

namespace {

template <class V>
void lanes_equal_draws(const std::vector<std::uint64_t>& draws) {
    using T = typename V::Scalar;
    using One = Pack<T, 1>;
    for (std::size_t i = 0; i < draws.size(); i += V::width) {
        const V z = rnd::normal_of<V>(&draws[i]), u = rnd::uniform_of<V>(&draws[i]);
        const V k = rnd::count_of(u, V(T(4)), 20);
        for (int l = 0; l < V::width; ++l) {
            const std::uint64_t* w = &draws[i + static_cast<std::size_t>(l)];
            if (z.lane(l) != rnd::normal_of<One>(w).lane(0)) FAIL("normal of " << *w);
            if (u.lane(l) != rnd::uniform_of<One>(w).lane(0)) FAIL("uniform of " << *w);
            if (k.lane(l) != rnd::count_of(rnd::uniform_of<One>(w), One(T(4)), 20).lane(0)) FAIL("count of " << *w);
        }
    }
}

std::vector<std::uint64_t> some_draws() {
    std::vector<std::uint64_t> draws = {0, ~std::uint64_t(0),      0x7fffffff80000000u, 0x800000007fffffffu,
                                        1, std::uint64_t(1) << 32, 0xfffffffeffffff7fu, 0x13333333ffffff80u};
    rnd::Stream stream(7, rnd::purpose("test.words"), 0);
    while (draws.size() < 65536) draws.push_back(stream.next());
    return draws;
}

}  // namespace

TEST_CASE("pcg64 of the header gives its published draws", "[random]") {
    // Golden draws of pcg-cpp 0.98 for pcg64(42, 54), equal to numpy.random.PCG64's generator.
    pcg64 engine(42, 54);
    for (const std::uint64_t draw :
         {9705778491962043240u, 1370407407632858425u, 11774395822783136600u, 17944889938176486912u})
        CHECK(engine() == draw);
}

TEST_CASE("a stream begins anew and advances", "[random]") {
    rnd::Stream stream(1, rnd::purpose("test.algebra"), 5);
    std::vector<std::uint64_t> drawn;
    for (int i = 0; i < 1000; ++i) drawn.push_back(stream.next());
    rnd::Stream again(1, rnd::purpose("test.algebra"), 5);
    for (int i = 0; i < 10; ++i) CHECK(again.next() == drawn[static_cast<std::size_t>(i)]);
    again.advance(500);
    CHECK(again.next() == drawn[510]);
    rnd::Stream copy = again;
    CHECK(copy.next() == again.next());
}

TEST_CASE("purpose hash and collisions", "[random]") {
    // Test vectors of the FNV reference code for FNV-1a, 32 bits.
    CHECK(rnd::purpose("") == 0x811c9dc5u);
    CHECK(rnd::purpose("a") == 0xe40c292cu);
    CHECK(rnd::purpose("foobar") == 0xbf9cf968u);
    const std::string_view names[] = {"weather.clearness",    "weather.temperature",
                                      "weather.cloud",        "weather.replay",
                                      "load.fridge",          "load.laptop",
                                      "load.heater",          "load.kettle",
                                      "load.lights",          "spread.battery.capacity_ah",
                                      "spread.solar.rated_w", "spread.fridge.volume_l"};
    std::set<std::uint32_t> keys;
    for (const auto name : names) keys.insert(rnd::purpose(name));
    CHECK(keys.size() == std::size(names));
}

TEST_CASE("a draw's halves and their ends", "[random]") {
    const std::uint64_t low_end = 0, high_end = ~std::uint64_t(0);
    CHECK(rnd::uniform(low_end) == 0x1p-33);
    CHECK(rnd::uniform(high_end) == 1.0 - 0x1p-33);
    CHECK(rnd::normal(low_end) == base::inverse_normal(0x1p-33));
    CHECK(rnd::normal(high_end) == -rnd::normal(low_end));
    const float last = rnd::uniform_of<Pack<float, 1>>(&high_end).lane(0);
    CHECK(last < 1.0f);
    CHECK(rnd::uniform_of<Pack<float, 1>>(&low_end).lane(0) > 0.0f);

    double widest_normal = 0.0, widest_uniform = 0.0;
    for (const std::uint64_t draw : some_draws()) {
        // In double the draw is the inverse distribution function at u, bit for bit.
        const double u = (static_cast<double>(draw >> 32) + 0.5) * 0x1p-32;
        if (rnd::normal(draw) != base::inverse_normal(u)) FAIL("draw " << draw);
        const double z = static_cast<double>(rnd::normal_of<Pack<float, 1>>(&draw).lane(0));
        widest_normal = std::max(widest_normal, ridethrough::simd::abs(Pack<double, 1>(z - rnd::normal(draw))).lane(0));
        const double v = static_cast<double>(rnd::uniform_of<Pack<float, 1>>(&draw).lane(0));
        widest_uniform =
            std::max(widest_uniform, ridethrough::simd::abs(Pack<double, 1>(v - rnd::uniform(draw))).lane(0));
    }
    CHECK(widest_normal < 4e-6);  // 8 float ulp at the far ends, |z| = 6.3
    CHECK(widest_uniform < 0x1p-24);
}

TEST_CASE("draws in lanes equal draws one by one", "[random]") {
    const auto draws = some_draws();
    lanes_equal_draws<Pack<double, 2>>(draws);
    lanes_equal_draws<Pack<double, 4>>(draws);
    lanes_equal_draws<Pack<double, 8>>(draws);
    lanes_equal_draws<Pack<float, 4>>(draws);
    lanes_equal_draws<Pack<float, 8>>(draws);
    lanes_equal_draws<Pack<float, 16>>(draws);
}

TEST_CASE("counts by inverse distribution function", "[random]") {
    // Poisson with mean 3: P(0) = exp(-3) = .0498, P(<= 2) = .4232, P(<= 3) = .6472 (any table).
    CHECK(rnd::count_of(0.049, 3.0, 20) == 0);
    CHECK(rnd::count_of(0.050, 3.0, 20) == 1);
    CHECK(rnd::count_of(0.423, 3.0, 20) == 2);
    CHECK(rnd::count_of(0.424, 3.0, 20) == 3);
    CHECK(rnd::count_of(0.648, 3.0, 20) == 4);
    CHECK(rnd::count_of(0.999999, 3.0, 5) == 5);
    CHECK(rnd::count_of(0.999999, 0.0, 5) == 0);
    CHECK(rnd::count_of(1.0 - 0x1p-33, 3.0, 1000) < 25);
    const auto just_below_one = Pack<float, 1>(0x1.fffffep-1f);
    CHECK(rnd::count_of(just_below_one, Pack<float, 1>(3.0f), 1000).lane(0) < 25.0f);
    CHECK_THROWS_AS(rnd::count_of(0.5, -1.0, 5), base::InputError);
    CHECK_THROWS_AS(rnd::count_of(std::numeric_limits<double>::quiet_NaN(), 1.0, 5), base::InputError);
}
