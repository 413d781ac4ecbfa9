#include "ridethrough/trip/compile.hpp"

#include <algorithm>
#include <cmath>
#include <optional>

#include "calendar.hpp"
#include "places.hpp"
#include "plausible.hpp"
#include "ridethrough/base/math.hpp"
#include "ridethrough/charging/schemas.hpp"
#include "ridethrough/circuit/schemas.hpp"
#include "ridethrough/fridge/schemas.hpp"
#include "ridethrough/sun/calendar.hpp"
#include "ridethrough/weather/climate.hpp"
#include "surroundings.hpp"
#include "tables.hpp"
#include "timetable.hpp"

namespace ridethrough::trip {
using base::InputError;
using config::Configuration;
using config::ConfigurationPtr;

namespace {
constexpr double kEmptyStart = 0.02;
// An afternoon over the mean of its month, a lived-in cabin over the air, and what AGM stands; from memory.
constexpr double kAfternoonK = 6, kLivedInK = 5, kHottestAgmC = 45;
}  // namespace

// Composes a CompiledTrip out of the models of its components.
class CompiledTrip::Compiler {
  public:
    Compiler(CompiledTrip& out, const Configuration& van, const Configuration& trip)
        : out_(out), van_(van), trip_(trip), places_(places_of(trip)), tables_(std::make_unique<Tables>()) {}

    void compile() {
        calendar();
        tables_->schedule = compile_schedule(van_, trip_, *steps_, out_.warnings_);
        weather_draws();
        components();
        Plan& p = plan();
        warn_of_dry_tanks();
        skies();
        p.parameters = static_cast<int>(table().parameters().size());
        for (const int place : table().daily()) tables_->of_day.emplace_back(place);
        tables_->point();
        warn_of_strong_chargers();
        warn_of_empty_start();
        warn_of_hot_battery();
        out_.tables_ = std::move(tables_);
    }

  private:
    Plan& plan() { return tables_->plan; }
    random::ParameterTable& table() { return out_.table_; }
    const Configuration& site() const { return *places_.front().site; }
    const Configuration& climate() const { return *places_.front().climate; }

    void calendar() {
        const auto start = sun::parse_start(trip_.text("start"), "Trip.start");
        out_.first_day_ = start.day_number;
        out_.start_hour_ = start.hour;
        out_.hours_ = 24 * nights_of(trip_);
        Plan& p = plan();
        p.replay = trip_.text("weather") == "replayed";
        steps_.emplace(out_.clock_, start.day_number, static_cast<int>(start.hour), out_.hours_,
                       trip_.integer("step_min"));
        if (const auto record = weather::weather_series_of(climate()); record && p.replay)
            steps_->follow_series(record->data().utc_offset_h);
        set_clock(*steps_, *tables_);
        out_.days_ = steps_->days();
        out_.sky_days_ = steps_->sky_days();
        out_.sky_utc_offset_h_ = steps_->sky_utc_offset_h();
        for (const auto& said : {out_.clock_.warnings, zone_warnings(out_.clock_, site()), steps_->warnings()})
            out_.warnings_.insert(out_.warnings_.end(), said.begin(), said.end());
        p.wake_h = trip_.number("wake_h");
        p.bedtime_h = trip_.number("bedtime_h");
        out_.table_ = random::ParameterTable(out_.drawn_days());
    }

    void weather_draws() {
        Plan& p = plan();
        p.clearness = table().draws("weather.clearness", 1);
        p.temperature = table().draws("weather.temperature", 1);
        p.cloud = table().draws("weather.cloud", 24);
        if (!p.replay) return;
        out_.replay_starts_ = starts_in_series(places_, trip_, out_.first_day_, out_.sky_days_, out_.sky_utc_offset_h_,
                                               out_.starts_over_a_splice_);
    }

    void components() {
        Plan& p = plan();
        const ConfigurationPtr party = trip_.part("party");
        const auto& chemistry = battery::chemistry_of(battery::in_common(van_));
        p.battery = battery::compile(van_.parts("batteries"), van_.paths_of("batteries"), table());
        p.wiring = circuit::compile_wiring(*van_.part("wiring"), table());
        p.disconnect = circuit::compile_disconnect(van_.part("disconnect"), table());
        charging_sources(chemistry);
        for (const ConfigurationPtr& l : van_.parts("loads")) out_.load_names_.push_back(l->text("name"));
        p.loads = static_cast<int>(out_.load_names_.size());
        tables_->loads = loads::compile(van_.parts("loads"),
                                        {p.wake_h, p.bedtime_h, party ? party->number("persons") : 2.0}, table());
        p.heater = tables_->loads.heater;
        p.inverter = tables_->loads.inverter;
        surroundings(party);
        p.party = loads::compile_party(party, p.step_h, trip_.number("warm_food_h"), table());
        p.party.first_weekday = sun::weekday(out_.first_day_);
        p.party.shade_daily = table()[p.shade_beam].daily;
        if (p.party.given && !(p.party.persons > 0)) p.heater.fitted = false;  // nobody heats a parked van
        p.water = loads::compile_water(van_.part("water"), table());
        out_.has_water_ = p.water.given;
        out_.has_heater_ = p.heater.fitted;
        solar();
        p.fridge = fridge::compile(*van_.part("fridge"), table());
        p.food_release = 1 - base::exp(-p.step_h / 4);  // warm food gives up its heat in about 4 h, from memory
        if (const ConfigurationPtr s = trip_.part("storage"))
            p.storage = compile_storage(*s, climate(), out_.first_day_, tables_->schedule.storage_days,
                                        chemistry.self_discharge_per_month, table());
        p.habits = {p.battery.initial_soc, habits_scale_, p.shade_beam, warm_food_kg_, p.fridge.door_openings};
    }

    void charging_sources(const battery::Chemistry& chemistry) {
        Plan& p = plan();
        const ConfigurationPtr sources[charging::kSources] = {solar::array_of_stages(van_), van_.part("dc_dc"),
                                                              van_.part("mains")};
        for (int k = 0; k < charging::kSources; ++k) p.stages[k] = charging::compile_stages(sources[k], chemistry);
        p.alternator = charging::compile_alternator(van_.part("dc_dc"), van_.flag("towed"),
                                                    !trip_.parts("idling").empty(), table());
        p.mains = charging::compile_mains(van_.part("mains"), van_.part("generator"),
                                          !trip_.parts("generator_runs").empty(), table());
    }

    void surroundings(const ConfigurationPtr& party) {
        Plan& p = plan();
        p.air = {table().add(van_, "cabin_sun_rise_k_per_w_m2", ""),
                 table().add(van_, "cabin_person_heat_w", ""),
                 table().add(van_, "cabin_heat_loss_w_per_k", ""),
                 table().add(van_, "cabin_lag_h", ""),
                 table().add(van_, "window_ventilation", ""),
                 party ? party->number("persons") : 2.0,
                 van_.number("windows_open_above_c"),
                 van_.number("windows_wide_above_c"),
                 trip_.number("out_from_h"),
                 trip_.number("out_to_h"),
                 trip_.number("out_share")};
        const SiteShade shade = compile_shade(trip_, table());
        p.shade_beam = shade.beam;
        p.shade_sky = shade.sky;
        habits_scale_ = table().add(trip_, "habits_scale", "trip.");
        warm_food_kg_ = table().add(trip_, "warm_food_kg", "trip.");
        p.ghi_scale = table().add(climate(), "ghi_scale", "climate.");
        p.clearness_lag1 = table().add(climate(), "clearness_lag1", "climate.");
        p.air_temp_lag1 = climate().number("air_temp_lag1");
    }

    void solar() {
        Plan& p = plan();
        auto& arrays = tables_->arrays;
        arrays = solar::compile_arrays(van_, table());
        const auto shade = solar::compile_shade_by_time(trip_, table());
        std::copy(std::begin(shade.of), std::end(shade.of), std::begin(p.solar.shade_by_time));
        if (std::any_of(arrays.begin(), arrays.end(), [](const auto& a) { return !a.portable; }))
            p.solar.film = solar::compile_film(van_.part("snow_and_frost"), table());
    }

    void warn_of_dry_tanks() {
        const auto& events = tables_->loads.events;
        if (plan().water.given &&
            std::none_of(events.begin(), events.end(), [](const auto& e) { return e.litres_per_h > 0; }))
            out_.warnings_.push_back(
                "Van.water is given, but the van has no WaterPump: nothing is drawn from the tank");
    }

    void warn_of_strong_chargers() {
        const Plan& p = plan();
        const auto given = [&](const double* spans) {
            bool any = false;
            for (int step = 0; spans && step < p.steps; ++step) any = any || spans[2 * step + 1] > spans[2 * step];
            return any;
        };
        const bool drives = given(p.drive) || given(p.idle), powered = given(p.powered) || given(p.generator);
        for (auto& warning : charger_warnings(van_, drives, powered)) out_.warnings_.push_back(std::move(warning));
    }

    // By the middles of all spreads.
    void warn_of_empty_start() {
        using One = simd::Pack<double, 1>;
        const Plan& p = plan();
        std::vector<One> middle;
        for (const random::Parameter& x : table().parameters())
            middle.emplace_back(x.spread ? x.spread->quantile(0.5, x.low, x.high) : x.constant);
        const random::Parameters<One> x(middle.data());
        One charge = x[p.battery.initial_soc], standby_a(0.0);
        for (int i = 0; i < p.standbys; ++i) standby_a += x[p.standby[i].current_a];
        if (p.storage.any())
            charge = charge_after_storage(p.storage, x, p.battery.initial_soc, p.ghi_scale, p.solar, standby_a,
                                          battery::of_trials(p.battery, x).q_max_ah);
        if (charge.lane(0) > kEmptyStart) return;
        out_.warnings_.push_back(
            p.storage.any()
                ? "Trip.storage.weeks = " + base::number_text(std::round(x[p.storage.weeks].lane(0))) +
                      " weeks: the battery is empty before the trip begins, in the middle of all spreads, so "
                      "that the risk says little of the trip itself. Charge it before you leave (a trip "
                      "without storage), switch it off at the isolator, or let the sun reach the roof"
                : "Van.battery.initial_soc = " + base::number_text(charge.lane(0)) +
                      ": the battery is empty before the trip begins; give what it has then");
    }

    // Lead-acid in the afternoon of the trip's warmest month; beside the engine it is told of in any weather.
    void warn_of_hot_battery() {
        const Configuration& b = battery::in_common(van_);
        if (battery::chemistry_of(b).lithium || b.text("location") == "engine_bay") return;
        const auto& by_month = climate().numbers("air_temp_c");
        double month_c = -100;
        for (int d = 0; d < out_.days_; ++d)
            month_c =
                std::max(month_c, by_month[static_cast<std::size_t>(sun::date_of(out_.first_day_ + d).month - 1)]);
        const double around_c = month_c + kAfternoonK + (b.text("location") == "living_space" ? kLivedInK : 0);
        if (!(around_c > kHottestAgmC)) return;
        out_.warnings_.push_back(
            "Van.battery.location = " + b.text("location") + " at " + base::number_text(std::round(month_c)) +
            " degC mean outdoor air: the AGM stands in about " + base::number_text(std::round(around_c)) +
            " degC; above 45 degC it dries out at 14.4 V and may overheat. Find it a cooler place, or use a "
            "charge_profile with compensation_mv_per_k");
    }

    void skies() {
        const auto skies = skies_of(places_, out_.first_day_, out_.drawn_days(), out_.sky_utc_offset_h_);
        Plan& p = plan();
        if (places_.front().stop)
            set_places(places_,
                       compile_places(places_, {p.clearness_lag1, p.ghi_scale, p.shade_beam, p.shade_sky}, table()),
                       out_.days_, *tables_);
        add_dusk_and_dawn(skies, out_.first_day_, *steps_, *tables_);
        if (p.solar.shade_by_time[0]) add_parts_of_day(skies, *tables_);
        make_sky_tables(places_, skies, van_, trip_, *steps_, *tables_);
    }

    CompiledTrip& out_;
    const Configuration &van_, &trip_;
    std::vector<Place> places_;  // one, or the trip's stops
    std::optional<ClockSteps> steps_;
    std::unique_ptr<Tables> tables_;
    random::ParameterIndex habits_scale_, warm_food_kg_;
};

CompiledTrip::CompiledTrip(ConfigurationPtr van, ConfigurationPtr trip)
    : CompiledTrip(van, trip, clock_without_zones(*trip)) {}

CompiledTrip::CompiledTrip(ConfigurationPtr van, ConfigurationPtr trip, Clock clock) : clock_(std::move(clock)) {
    Compiler compiler(*this, *van, *trip);
    for (const ConfigurationPtr& r : {van, trip})
        for (auto& w : r->warnings()) warnings_.push_back(std::move(w));
    compiler.compile();
}

CompiledTrip::~CompiledTrip() = default;

const Plan& CompiledTrip::plan() const { return tables_->plan; }
const std::vector<Interval>& CompiledTrip::schedule() const { return tables_->schedule.intervals; }

template <>
SkyView<double> CompiledTrip::skies<double>() const {
    return tables_->in_double.view();
}
template <>
SkyView<float> CompiledTrip::skies<float>() const {
    return tables_->in_single.view();
}

}  // namespace ridethrough::trip
