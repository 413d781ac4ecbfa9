#include "ridethrough/trip/compile.hpp"

#include <optional>

#include "calendar.hpp"
#include "compiled_warnings.hpp"
#include "places.hpp"
#include "ridethrough/base/math.hpp"
#include "ridethrough/cabin/schemas.hpp"
#include "ridethrough/charging/schemas.hpp"
#include "ridethrough/circuit/schemas.hpp"
#include "ridethrough/fridge/schemas.hpp"
#include "ridethrough/sun/calendar.hpp"
#include "ridethrough/weather/climate.hpp"
#include "surroundings.hpp"
#include "tables.hpp"
#include "timetable.hpp"

namespace ridethrough::trip {
using config::Configuration;
using config::ConfigurationPtr;

// Composes a CompiledTrip out of the models of its components.
class CompiledTrip::Compiler {
  public:
    Compiler(CompiledTrip& out, const Configuration& van, const Configuration& trip)
        : out_(out), van_(van), trip_(trip), places_(places_of(trip)), tables_(std::make_unique<Tables>()) {}

    void compile() {
        calendar();
        tables_->schedule = compile_schedule(van_, trip_, *steps_, out_.warnings_);
        Plan& p = plan();
        p.weather = weather::compile(climate(), table());
        if (p.replay)
            out_.replay_starts_ = starts_in_series(places_, trip_, out_.first_day_, out_.sky_days_,
                                                   out_.sky_utc_offset_h_, out_.starts_over_a_splice_);
        components();
        skies();
        p.parameters = static_cast<int>(table().parameters().size());
        for (const int place : table().daily()) tables_->of_day.emplace_back(place);
        tables_->set_plan_pointers();
        for (auto& said : compiled_warnings(*tables_, table(), van_, places_, out_.first_day_))
            out_.warnings_.push_back(std::move(said));
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

    void components() {
        Plan& p = plan();
        const ConfigurationPtr party = trip_.part("party");
        const auto& chemistry = battery::chemistry_of(battery::in_common(van_));
        p.battery = battery::compile(van_.parts("batteries"), van_.paths_of("batteries"), table());
        p.wiring = circuit::compile_wiring(*van_.part("wiring"), table());
        p.disconnect = circuit::compile_disconnect(van_.part("disconnect"), table());
        const ConfigurationPtr sources[] = {solar::array_of_stages(van_), van_.part("dc_dc"), van_.part("mains")};
        for (int k = 0; k < charging::kSources; ++k) p.stages[k] = charging::compile_stages(sources[k], chemistry);
        p.alternator = charging::compile_alternator(van_.part("dc_dc"), van_.flag("towed"),
                                                    !trip_.parts("idling").empty(), table());
        p.mains = charging::compile_mains(van_.part("mains"), van_.part("generator"),
                                          !trip_.parts("generator_runs").empty(), table());
        for (const ConfigurationPtr& l : van_.parts("loads")) out_.load_names_.push_back(l->text("name"));
        p.loads = static_cast<int>(out_.load_names_.size());
        const double persons = loads::persons_of(party);
        tables_->loads = loads::compile(van_.parts("loads"), {p.wake_h, p.bedtime_h, persons}, table());
        p.heater = tables_->loads.heater;
        p.inverter = tables_->loads.inverter;
        surroundings(persons);
        p.party = loads::compile_party(party, p.step_h, trip_.number("warm_food_h"), table());
        p.party.first_weekday = sun::weekday(out_.first_day_);
        p.party.shade_daily = table()[p.shade_beam].daily;
        if (p.party.given && !(p.party.persons > 0)) p.heater.fitted = false;  // nobody heats a parked van
        p.water = loads::compile_water(van_.part("water"), table());
        out_.has_water_ = p.water.given;
        out_.has_heater_ = p.heater.fitted;
        p.solar = solar::compile(van_, trip_, table(), tables_->arrays);
        p.fridge = fridge::compile(*van_.part("fridge"), table());
        p.food_release = 1 - base::exp(-p.step_h / 4);  // warm food gives up its heat in about 4 h, from memory
        if (const ConfigurationPtr s = trip_.part("storage"))
            p.storage = compile_storage(*s, climate(), out_.first_day_, tables_->schedule.storage_days,
                                        chemistry.self_discharge_per_month, table());
        p.habits = {p.battery.initial_soc, habits_scale_, p.shade_beam, warm_food_kg_, p.fridge.door_openings};
    }

    void surroundings(double persons) {
        Plan& p = plan();
        p.air = cabin::compile(van_, trip_, persons, table());
        const SiteShade shade = compile_shade(trip_, table());
        p.shade_beam = shade.beam;
        p.shade_sky = shade.sky;
        habits_scale_ = table().add(trip_, "habits_scale", "trip.");
        warm_food_kg_ = table().add(trip_, "warm_food_kg", "trip.");
    }

    void skies() {
        const auto skies = skies_of(places_, out_.first_day_, out_.drawn_days(), out_.sky_utc_offset_h_);
        Plan& p = plan();
        if (places_.front().stop) set_places(places_, compile_places(places_, p, table()), out_.days_, *tables_);
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

}  // namespace ridethrough::trip
