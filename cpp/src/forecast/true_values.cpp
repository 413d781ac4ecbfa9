#include <algorithm>
#include <cmath>
#include <tuple>

#include "ridethrough/engine/supplies.hpp"
#include "ridethrough/forecast/readings.hpp"

namespace ridethrough::forecast {

namespace {

using One = simd::Pack<double, 1>;

double volts_at(const circuit::BusState<One>& bus, Place at) {
    switch (at) {
        case Place::panel:
            return bus.distribution_v.v;
        case Place::fridge:
            return bus.fridge_v.v;
        case Place::terminals:
            break;
    }
    return bus.terminal_v.v;
}

constexpr double kChargingW = 1;  // less than this is no charge. Own choice

// A battery and its bus as they stand at the end of an hour, under loads of one's own.
class LoadTest {
  public:
    LoadTest(const trip::CompiledTrip& compiled, const engine::PackRunner& pack, int hour, int lane)
        : plan_(compiled.plan()), pack_(pack), hour_(hour), lane_(lane) {
        for (std::size_t i = 0; i < compiled.parameters().size(); ++i)
            drawn_.emplace_back(pack.drawn(static_cast<int>(i), lane));
    }

    double full_ah() { return trial().battery.q_max_ah.v; }

    double volts(const MeterReading& r) { return own_charge(r) ? own_volts(r.at) : volts_at(solve(r), r.at); }
    double amps(const MeterReading& r) {
        return own_charge(r) ? series(engine::kSeriesBatteryA) : solve(r).battery_a.v;
    }

  private:
    engine::Trial<One> trial() { return engine::of_trials(plan_, random::Parameters<One>(drawn_.data())); }
    double series(engine::Series s) const { return pack_.series_at(s, hour_, lane_); }

    // While something charges, chargers decide the volts, whatever is on: those of the trial, over the hour.
    bool own_charge(const MeterReading& r) const {
        const double charge_w =
            series(engine::kSeriesSolarW) + series(engine::kSeriesDcDcW) + series(engine::kSeriesMainsW);
        return !r.nothing_charges && charge_w > kChargingW;
    }
    double own_volts(Place at) {
        const double terminal_v = series(engine::kSeriesTerminalV);
        if (at == Place::terminals) return terminal_v;
        if (at == Place::fridge) return series(engine::kSeriesFridgeV);
        const double load_w = series(engine::kSeriesOtherLoadsW) + series(engine::kSeriesFridgeW);
        return terminal_v - trial().shared_ohm.v * load_w / std::max(terminal_v, circuit::kCurrentLimitV);
    }

    // The bus with nothing that charges.
    circuit::BusState<One> solve(const MeterReading& r) {
        const engine::Trial<One> c = trial();
        const battery::Battery<One>& b = c.battery;
        const One temp_c(series(engine::kSeriesBatteryC)), zero(0);
        const One available(pack_.state_at(engine::kAvailableCharge, hour_, lane_));
        const bool runs = r.compressor ? *r.compressor : pack_.state_at(engine::kCompressorRuns, hour_, lane_) > 0.5;
        const double loads_w = r.loads_w ? *r.loads_w : series(engine::kSeriesOtherLoadsW);
        circuit::BusInput<One> in{};
        in.distribution_a = One(loads_w / base::kNominalRestingV);
        in.terminal_a = in.solar_w = in.dc_dc_a = in.mains_a = in.set_v = in.acceptance_a = zero;
        in.fridge_w = runs ? c.fridge.compressor_w + c.fridge.fan_w : zero;
        in.shared_ohm = c.shared_ohm;
        in.branch_ohm = c.branch_ohm;
        in.discharge_ohm = in.charge_ohm = b.resistance_ohm * battery::slowness(b, temp_c);
        const One net_a = in.distribution_a + in.fridge_w * One(1 / base::kNominalSystemV);
        const One share = simd::min(net_a * One(100) / b.capacity_ah, One(1));
        in.source_v = battery::source_voltage(b, available, battery::capacity_factor(b, temp_c), share) -
                      One(pack_.state_at(engine::kPolarisationV, hour_, lane_));
        return circuit::balance(in);
    }

    const trip::Plan& plan_;
    const engine::PackRunner& pack_;
    int hour_, lane_;
    std::vector<One> drawn_;
};

auto order(const MeterReading& r) {
    const auto number = [](const std::optional<double>& x) { return x.value_or(-1); };
    return std::make_tuple(r.hour, r.quantity, r.at, r.low, r.high, r.sd, r.relative_sd, r.bias, r.bias_sd,
                           r.bias_relative_sd, number(r.loads_w), r.nothing_charges, number(r.since_full_h),
                           r.compressor ? *r.compressor + 1 : 0);
}

void require(const char* field, double value, bool ok, const char* allowed) {
    if (!ok) throw base::InputError({.path = field, .value = base::number_text(value), .allowed = allowed});
}

}  // namespace

std::vector<MeterReading> in_order(const trip::CompiledTrip& compiled, std::vector<MeterReading> readings) {
    for (const MeterReading& r : readings) {
        const auto finite = [](double x) { return x - x == 0; };
        require("hour", r.hour, r.hour >= 0 && r.hour <= compiled.hours(), "0 to the end of the trip");
        require("low", r.low, finite(r.low), "a number");
        require("high", r.high, finite(r.high) && r.high >= r.low, "a number, low or more");
        require("sd", r.sd, finite(r.sd) && r.sd > 0, "over 0");
        require("relative_sd", r.relative_sd, finite(r.relative_sd) && r.relative_sd >= 0, "0 or more");
        require("bias_sd", r.bias_sd, finite(r.bias_sd) && r.bias_sd >= 0, "0 or more");
        require("bias_relative_sd", r.bias_relative_sd, finite(r.bias_relative_sd) && r.bias_relative_sd >= 0,
                "0 or more");
        if (r.loads_w) require("loads_w", *r.loads_w, *r.loads_w >= 0 && *r.loads_w <= 1e5, "0 to 100,000 W");
        if (r.since_full_h) require("since_full_h", *r.since_full_h, finite(*r.since_full_h), "a number of hours");
    }
    std::stable_sort(readings.begin(), readings.end(),
                     [](const MeterReading& a, const MeterReading& b) { return order(a) < order(b); });
    return readings;
}

int hour_before(const trip::CompiledTrip& compiled, double hour) {
    return std::clamp(static_cast<int>(std::floor(hour)) - 1, 0, compiled.hours() - 1);
}

TrueValues::TrueValues(const trip::CompiledTrip& compiled, std::vector<MeterReading> readings)
    : compiled_(compiled), readings_(std::move(readings)) {
    // The hour of the sky's day in which the trip begins.
    const double begins = compiled.start_hour() + compiled.sky_utc_offset_h() - compiled.utc_offset_h();
    const int into_day = static_cast<int>(std::floor(begins - 24 * std::floor(begins / 24)));
    for (const MeterReading& r : readings_) {
        const int hour = hour_before(compiled, r.hour);
        hours_.push_back(hour);
        first_hours_.push_back(std::max(hour - (hour + into_day) % 24, 0));
    }
}

engine::SeriesWanted TrueValues::series() {
    engine::SeriesWanted wanted{};
    for (const engine::Series s :
         {engine::kSeriesSoc, engine::kSeriesTerminalV, engine::kSeriesFridgeC, engine::kSeriesBatteryC,
          engine::kSeriesSolarW, engine::kSeriesDcDcW, engine::kSeriesMainsW, engine::kSeriesOtherLoadsW,
          engine::kSeriesFridgeW, engine::kSeriesFridgeV, engine::kSeriesBatteryA})
        wanted[s] = true;
    return wanted;
}

void TrueValues::fill(const engine::PackRunner& pack, int lane, std::size_t count, std::vector<double>& values) const {
    values.clear();
    for (std::size_t i = 0; i < count; ++i) {
        const MeterReading& r = readings_[i];
        const int hour = hours_[i];
        const auto soc = [&] { return pack.series_at(engine::kSeriesSoc, hour, lane); };
        const auto test = [&] { return LoadTest(compiled_, pack, hour, lane); };
        switch (r.quantity) {
            case Quantity::soc:
                values.push_back(soc());
                break;
            case Quantity::ah_used:
                values.push_back((1 - soc()) * test().full_ah());
                break;
            case Quantity::ah_left:
                values.push_back(soc() * test().full_ah());
                break;
            case Quantity::volts:
                values.push_back(test().volts(r));
                break;
            case Quantity::amps:
                values.push_back(test().amps(r));
                break;
            case Quantity::yield_wh: {
                double sum = 0;
                for (int h = first_hours_[i]; h <= hour; ++h) sum += pack.series_at(engine::kSeriesSolarW, h, lane);
                values.push_back(sum);
                break;
            }
            case Quantity::fridge_c:
                values.push_back(pack.series_at(engine::kSeriesFridgeC, hour, lane));
                break;
        }
    }
}

}  // namespace ridethrough::forecast
