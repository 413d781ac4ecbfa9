#include "plausible.hpp"

#include <algorithm>
#include <cmath>
#include <string_view>

#include "places.hpp"
#include "ridethrough/base/nominal_volts.hpp"
#include "ridethrough/battery/chemistry.hpp"
#include "ridethrough/charging/dc_dc.hpp"
#include "ridethrough/charging/schemas.hpp"
#include "ridethrough/fridge/schemas.hpp"
#include "ridethrough/solar/compile.hpp"
#include "ridethrough/weather/climate.hpp"

namespace ridethrough::trip {
using config::Configuration;
using config::ConfigurationPtr;

namespace {

// What most vans have; from memory. Outside of it a unit is asked for.
constexpr double kLeastAh = 15, kMostAh = 800, kMostLeadAh = 500, kLeastArrayW = 20, kMostRoofW = 1000;
constexpr double kModuleWPerM2 = 200;  // a fifth of the 1,000 W/m2 of standard test conditions
constexpr double kLeastMohm = 1, kMostBranchMohm = 100, kMostMohm = 1000;
constexpr double kWarmestFoodC = 5;
// Charge current as a share of capacity that makers of AGM allow: .2 to .3, a few .4. Common practice, no source.
constexpr double kUsualAgmCRate = 0.25, kMostAgmCRate = 0.4;
constexpr double kRestedFull = 0.98;  // a lithium battery's table rises steeply above: nothing rests there for long

// A number, or the middle of its spread.
double central(const Configuration& r, const char* field) {
    const auto* spread = std::get_if<config::Spread>(&r.at(field));
    if (!spread) return r.number(field);
    const config::Field& f = r.schema().field(field);
    return spread->quantile(0.5, f.low, f.high);
}

std::string volts(double v) { return rounded(v) + " V"; }

// "Van.battery.capacity_ah = 1800 Ah"
std::string shown(const std::string& at, const Configuration& r, const char* field) {
    const auto* number = std::get_if<double>(&r.at(field));
    return at + "." + field + " = " + (number ? base::number_text(*number) : "about " + rounded(central(r, field))) +
           " " + r.schema().field(field).unit;
}

// 0 is "none" where it is allowed. `who` has what is usual.
void warn_unusual(Warnings& out, const std::string& at, const Configuration& r, const char* field, double low,
                  double high, const std::string& who) {
    if (!r.has(field)) return;
    config::Field usual = r.schema().field(field);
    const double x = central(r, field);
    if ((x >= low && x <= high) || x == 0) return;
    usual.low = low;
    usual.high = high;
    const std::string guess = config::unit_guess(usual, x);
    out.push_back(shown(at, r, field) + ": " + who + "; " + (guess.empty() ? "is the number right?" : guess));
}

bool declares(const Configuration& r, const char* field) {
    return std::ranges::any_of(r.schema().fields, [&](const config::Field& f) { return f.name == field; });
}

bool is_lead_acid(const battery::Chemistry& chemistry) { return std::string_view(chemistry.family) == "lead_acid"; }

void warn_battery(const Configuration& van, Warnings& out) {
    const Configuration& b = battery::in_common(van);
    const battery::Chemistry& chemistry = battery::chemistry_of(b);
    const bool lead = is_lead_acid(chemistry);
    const double most_ah = lead ? kMostLeadAh : kMostAh;  // 500 Ah of lead weigh some 150 kg
    const std::string who =
        "few vans have under " + rounded(kLeastAh) + " or over " + rounded(most_ah) + " Ah" + (lead ? " of lead" : "");
    const auto paths = van.paths_of("batteries");
    for (std::size_t i = 0; i < paths.size(); ++i)
        for (const char* field : {"capacity_ah", "measured_capacity_ah"})
            warn_unusual(out, "Van." + paths[i], *van.parts("batteries")[i], field, kLeastAh, most_ah, who);
    const std::string at = "Van." + paths.front();
    if (chemistry.vents_gas && b.text("location") == "engine_bay")
        out.push_back(at +
                      ".location = engine_bay: its heat dries an AGM out, above 45 degC most of all at 14.4 V, and "
                      "each 10 K halve its life; move it to a cool place in a box vented to the outside, or use a "
                      "charge_profile with compensation_mv_per_k");
    if (lead) return;
    if (b.text("location") == "engine_bay")
        out.push_back(at +
                      ".location = engine_bay: no place for a lithium battery; its heat ages it and blocks charge");
    if (b.number("charge_block_c") < 0)
        out.push_back(shown(at, b, "charge_block_c") +
                      ": charging a lithium battery below 0 degC harms it for good; give 0, or its maker's minimum");
}

// Of all batteries in parallel; by `field` of each where it is given, else by the rated capacity.
double sum_or_rated(const Configuration& van, const char* field) {
    double sum = 0;
    for (const ConfigurationPtr& b : van.parts("batteries")) sum += central(*b, b->has(field) ? field : "capacity_ah");
    return sum;
}

// What an appliance takes out of the battery by its inverter, A; 0 of one that hangs on none.
double inverter_a(const Configuration& load) {
    if (declares(load, "power_w") && declares(load, "efficiency"))
        return central(load, "power_w") / (central(load, "efficiency") * base::kNominalInverterV);
    const bool fed = declares(load, "feed") && declares(load, "current_a") && load.text("feed") == "inverter";
    return fed ? central(load, "current_a") : 0;
}

// What hangs on the van's inverter, the strongest first.
struct InverterLoad {
    const Configuration* load;
    double amps;
    std::string path() const { return "Van.loads." + load->text("name"); }
};
std::vector<InverterLoad> inverter_loads(const Configuration& van) {
    std::vector<InverterLoad> found;
    for (const ConfigurationPtr& load : van.parts("loads"))
        if (const double amps = inverter_a(*load); amps > 0) found.push_back({load.get(), amps});
    std::ranges::stable_sort(found, std::ranges::greater(), &InverterLoad::amps);
    return found;
}

// Appliances without an inverter of the van's own have a usual one, whose idle draw nobody counts.
void warn_inverter(const Configuration& van, Warnings& out) {
    const auto is_inverter = [](const ConfigurationPtr& l) { return l->schema().name == "Inverter"; };
    const auto appliances = inverter_loads(van);
    if (appliances.empty() || std::ranges::any_of(van.parts("loads"), is_inverter)) return;
    out.push_back(appliances.front().path() +
                  ": hangs on an inverter, and the van has no Inverter, so that its idle draw is not counted. Add one "
                  "to the loads, with its hours");
}

void warn_heavy_loads(const Configuration& van, Warnings& out) {
    if (!declares(battery::in_common(van), "max_discharge_a")) return;  // no BMS opens on current
    const double most_a = sum_or_rated(van, "max_discharge_a");
    const auto appliances = inverter_loads(van);
    for (const InverterLoad& a : appliances) {
        if (!(a.amps > most_a)) break;
        const char* field = declares(*a.load, "power_w") ? "power_w" : "current_a";
        out.push_back(shown(a.path(), *a.load, field) + ": takes " + rounded(a.amps, 0) +
                      " A out of a battery whose BMS opens above " + rounded(most_a, 0) +
                      " A (max_discharge_a, 1 C where it is not given), and then everything goes off. Give "
                      "max_discharge_a from the battery's label, or take a weaker appliance or a larger battery");
    }
    if (appliances.size() < 2) return;
    const double strongest_a = appliances[0].amps, two_a = strongest_a + appliances[1].amps;
    if (strongest_a <= most_a && two_a > most_a)
        out.push_back("Van.loads: two appliances on the inverter at once take " + rounded(two_a, 0) +
                      " A out of a battery whose BMS opens above " + rounded(most_a, 0) +
                      " A (max_discharge_a, 1 C where it is not given): use one after the other");
}

void warn_arrays(const Configuration& van, Warnings& out) {
    double roof_w = 0;
    const auto& all = van.parts("arrays");
    const auto paths = van.paths_of("arrays");
    for (std::size_t i = 0; i < all.size(); ++i) {
        const bool portable = all[i]->schema().name == "PortableArray";
        if (central(*all[i], "rated_w") < kLeastArrayW)
            warn_unusual(out, "Van." + paths[i], *all[i], "rated_w", kLeastArrayW, kMostRoofW,
                         "an array of less than " + rounded(kLeastArrayW) + " W hardly charges a battery");
        if (!portable) roof_w += central(*all[i], "rated_w");
    }
    if (roof_w > kMostRoofW)
        out.push_back((all.size() == 1 ? "Van.solar.rated_w" : "Van.arrays") +
                      std::string(": the arrays on the roof have ") + rounded(roof_w) + " W and need about " +
                      rounded(roof_w / kModuleWPerM2, 0) + " m2 at " + rounded(kModuleWPerM2) +
                      " W/m2; a van's roof has room for about " + rounded(kMostRoofW) + " W; is the number right?");
    // One set of charge stages serves the sun.
    const ConfigurationPtr serves = solar::array_of_stages(van);
    for (std::size_t i = 0; i < all.size(); ++i) {
        const ConfigurationPtr here = all[i]->part("charge_profile"), used = serves->part("charge_profile");
        if (!here || (used && *here == *used)) continue;
        out.push_back("Van." + paths[i] +
                      ".charge_profile: this charge profile is not that of the first array, which is used for all");
        return;
    }
}

void warn_profiles(const Configuration& van, Warnings& out) {
    const battery::Chemistry& chemistry = battery::chemistry_of(battery::in_common(van));
    const auto check = [&](const std::string& at, const ConfigurationPtr& source) {
        if (!source || source->schema().name == "AlternatorCable" || !source->has("charge_profile")) return;
        const std::string family = charging::profile_stages(*source->part("charge_profile")).family;
        if (family != chemistry.family)
            out.push_back("Van." + at + ".charge_profile.chemistry = " + family + ": the battery is " +
                          (is_lead_acid(chemistry) ? "lead-acid" : "lithium") +
                          "; charge stages that do not suit a battery harm it");
    };
    if (const ConfigurationPtr sun = solar::array_of_stages(van)) check(van.paths_of("arrays").front(), sun);
    for (const char* source : {"dc_dc", "mains"}) check(source, van.part(source));
}

void warn_supply(const Configuration& charger, bool towed, Warnings& out) {
    warn_unusual(out, "Van.dc_dc", charger, "supply_mohm", kLeastMohm, kMostMohm, "no cable has so little");
    if (towed && !charger.has("supply_mohm") && !charger.has("supply_length_m"))
        out.push_back(
            "Van.dc_dc.supply_mohm is not given: a trailer's cable decides what a towed camper's battery gets, and "
            "the default of " +
            base::number_text(charging::supply_mohm(charger, true)) +
            " mohm is a guess; give supply_length_m and supply_section_mm2");
    if (charger.schema().name == "AlternatorCable") return;
    const double mohm =
        charger.has("supply_mohm") ? central(charger, "supply_mohm") : charging::supply_mohm(charger, towed);
    using One = simd::Pack<double, 1>;
    const double alternator_v = central(charger, "alternator_v");
    const double input_w = central(charger, "current_a") * base::kNominalDcDcOutputV / central(charger, "efficiency");
    const double input_v = charging::supply_input_v(One(alternator_v), One(mohm), One(input_w)).lane(0);
    const double lockout_v = central(charger, "lockout_v");
    if (input_v >= lockout_v) return;
    out.push_back(
        "Van.dc_dc.lockout_v: with the alternator at " + volts(alternator_v) + " the charger's input under load is " +
        (input_v > 0 ? "at " + volts(input_v) : std::string("not there")) + ", below its lock-out of " +
        volts(lockout_v) +
        ": for half of the driving or more it drops out or gives cycling_share of its current at most (some .2 where "
        "it "
        "is not given; 0 where yours drops out, and the risk hangs on that); a shorter or thicker supply cable or a "
        "smaller current_a helps");
}

void warn_alternator(const Configuration& van, Warnings& out) {
    const ConfigurationPtr charger = van.part("dc_dc");
    if (!charger) return;
    if (!charger->flag("line_closed"))
        out.push_back(
            "Van.dc_dc.line_closed = False: the breaker or fuse in the line from the alternator is open, and "
            "driving charges nothing");
    if (!is_lead_acid(battery::chemistry_of(battery::in_common(van))) && charger->schema().name == "AlternatorCable")
        out.push_back(
            "Van.dc_dc = AlternatorCable: a lithium battery on a plain cable takes all that the alternator gives and "
            "can overheat it; use a DC-DC charger");
    warn_supply(*charger, van.flag("towed"), out);
}

double compressor_a(const Configuration& fridge) {
    const double watts = fridge.has("compressor_w") ? central(fridge, "compressor_w")
                                                    : fridge::usual_compressor_w(fridge.number("volume_l"));
    return watts / base::kNominalSystemV;
}

// A disconnect or BMS that drops everything before the fridge would drop itself.
void warn_early_cutout(const Configuration& van, const ConfigurationPtr& cutout, const std::string& at,
                       const char* field, double mohm_to_fridge, const std::string& place, Warnings& out) {
    if (!cutout) return;
    const ConfigurationPtr fridge = van.part("fridge");
    const double fridge_v = central(*fridge, "cutout_v") + compressor_a(*fridge) * mohm_to_fridge / 1000;
    if (!(central(*cutout, field) > fridge_v)) return;
    out.push_back(shown(at, *cutout, field) + ": it comes before the fridge's own cut-out (cutout_v " +
                  volts(central(*fridge, "cutout_v")) + ", that is " + volts(fridge_v) + " at " + place +
                  " with the compressor on), so that the fridge never drops out alone: heater, lights and alarms go "
                  "with it. A higher Van.fridge.cutout_v keeps the rest on");
}

void warn_cutouts(const Configuration& van, Warnings& out) {
    const ConfigurationPtr b = van.parts("batteries").front(), d = van.part("disconnect"), w = van.part("wiring");
    const double branch = central(*w, "fridge_branch_mohm"), shared = central(*w, "shared_mohm");
    warn_early_cutout(van, d, "Van.disconnect", "cutout_v", branch, "the distribution", out);
    if (declares(*b, "bms_cutoff_v"))
        warn_early_cutout(van, b, "Van." + van.paths_of("batteries").front(), "bms_cutoff_v", branch + shared,
                          "the battery", out);
    const double top_v =
        battery::chemistry_of(*b).model(*b).open_circuit_v(simd::Pack<double, 1>(kRestedFull)).lane(0) +
        central(*b, "open_circuit_voltage_offset_v");
    const auto above = [&](const ConfigurationPtr& cutout, const std::string& at, const std::string& what) {
        if (cutout && central(*cutout, "restart_v") > top_v)
            out.push_back(shown(at, *cutout, "restart_v") + ": this battery at rest has " + volts(top_v) +
                          " even when full; once it has cut out, " + what +
                          " stays off until a charger lifts the voltage");
    };
    above(van.part("fridge"), "Van.fridge", "the fridge");
    above(d, "Van.disconnect", "everything");
}

void warn_fridge(const Configuration& van, Warnings& out) {
    const ConfigurationPtr f = van.part("fridge"), w = van.part("wiring");
    if (f->number("set_point_c") > kWarmestFoodC)
        out.push_back(shown("Van.fridge", *f, "set_point_c") + ": food should stay at or below 5 degC");
    for (const char* field : {"fridge_branch_mohm", "shared_mohm"})
        warn_unusual(out, "Van.wiring", *w, field, kLeastMohm, kMostMohm, "no cable has so little");
    const double mohm = central(*w, "fridge_branch_mohm");
    if (mohm > kMostBranchMohm)
        out.push_back(shown("Van.wiring", *w, "fridge_branch_mohm") + ": the compressor's " +
                      rounded(compressor_a(*f), 1) + " A lose " + volts(compressor_a(*f) * mohm / 1000) +
                      " in it, and the fridge cuts out with so much more left in the battery; measure it, or lay a "
                      "thicker cable (from memory 25 to 60 mohm there and back)");
}

}  // namespace

std::string rounded(double x, int places) {
    double scale = 1;
    for (int i = 0; i < places; ++i) scale *= 10;
    return base::number_text(std::round(x * scale) / scale);
}

Warnings van_warnings(const Configuration& van) {
    Warnings out;
    warn_battery(van, out);
    warn_inverter(van, out);
    warn_heavy_loads(van, out);
    warn_arrays(van, out);
    warn_profiles(van, out);
    warn_alternator(van, out);
    warn_cutouts(van, out);
    warn_fridge(van, out);
    return out;
}

Warnings step_warnings(const Configuration& van, double step_h) {
    // Measured: one use of a kettle a day on 100 Ah of AGM, 3.1 % by the hour and 4.2 % by the minute.
    constexpr double kFineStepH = 5.5 / 60;
    if (step_h < kFineStepH || declares(battery::in_common(van), "max_discharge_a")) return {};
    const double ah = sum_or_rated(van, "measured_capacity_ah");
    const auto appliances = inverter_loads(van);
    if (appliances.empty() || !(appliances.front().amps > ah)) return {};
    return {appliances.front().path() + ": takes " + rounded(appliances.front().amps, 0) + " A out of " +
            rounded(ah, 0) +
            " Ah of AGM; in steps of an hour up to a quarter of its cut-outs are not seen. Give step_min = 1 for a "
            "trip that hangs on it"};
}

Warnings charger_warnings(const Configuration& van, bool drives, bool powered) {
    Warnings out;
    const Configuration& b = battery::in_common(van);
    const bool declares_rate = declares(b, "charge_c_rate");
    const double ah = sum_or_rated(van, "measured_capacity_ah");
    const double c_rate = declares_rate ? central(b, "charge_c_rate") : kMostAgmCRate, most_a = c_rate * ah;
    for (const char* source : {"dc_dc", "mains"}) {
        const ConfigurationPtr charger = van.part(source);
        const bool works = std::string_view(source) == "dc_dc" ? drives : powered;
        if (!works || !charger || charger->schema().name == "AlternatorCable" ||
            !(central(*charger, "current_a") > most_a))
            continue;
        const std::string of = "more than " + rounded(ah, 0) + " Ah of ";
        out.push_back(shown(std::string("Van.") + source, *charger, "current_a") + ": " +
                      (declares_rate
                           ? of + "lithium take by their charge_c_rate, " + rounded(most_a, 0) +
                                 " A; a BMS may switch off at such a current. Give what the maker allows, limit "
                                 "the charger, or fit a larger battery"
                           : of + "AGM should be charged with, most makers say " + rounded(kUsualAgmCRate * ah, 0) +
                                 " and at most " + rounded(most_a, 0) +
                                 " A; it gets hot and loses gas. Limit the charger, or fit a larger battery"));
    }
    return out;
}

}  // namespace ridethrough::trip
