#include "ridethrough/charging/schemas.hpp"
#include "ridethrough/config/declare.hpp"

namespace ridethrough::charging {
using namespace config;

Field profile_field() {
    return formerly("profile", part("charge_profile", {"ChargeProfile"}, std::monostate{}, true,
                                    "charge stages; not given: the stages that suit the battery's chemistry"));
}

namespace {

// The numbers belong to the ready-made profile then; others beside it could only mislead.
void check_ready_made(const Configuration& r) {
    if (r.text("ready_made") == "none") return;
    for (const char* field : {"absorption_v", "float_v", "absorption_limit_h", "tail_current_c_rate"})
        if (r.number(field) != std::get<double>(r.schema().field(field).default_value))
            throw InputError({.path = "ChargeProfile." + std::string(field),
                              .value = number_text(r.number(field)),
                              .reason = "not allowed beside ready_made = \"" + r.text("ready_made") + "\""});
}

}  // namespace

namespace {
Stages suited(double absorption_limit_h, double per_k = 0) { return {14.4, 13.5, absorption_limit_h, 0.01, per_k}; }
constexpr double kLeadAcidLimitH = 5, kLithiumLimitH = 1;  // of the ready-made profiles
}  // namespace

ProfileStages profile_stages(const Configuration& profile) {
    const std::string& ready = profile.text("ready_made");
    const double per_k = profile.number("compensation_mv_per_k") / 1000;
    if (ready == "agm") return {suited(kLeadAcidLimitH, per_k), "lead_acid"};
    if (ready == "lithium") return {suited(kLithiumLimitH), "lithium"};
    if (ready == "converter") return {{13.65, 13.65, 24, 0.01, per_k}, "lead_acid"};
    return {{profile.number("absorption_v"), profile.number("float_v"), profile.number("absorption_limit_h"),
             profile.number("tail_current_c_rate"), per_k},
            profile.text("chemistry")};
}

Stages compile_stages(const ConfigurationPtr& source, const battery::Chemistry& chemistry) {
    const bool plain = !source || source->schema().name == "AlternatorCable";
    const ConfigurationPtr given = plain ? nullptr : source->part("charge_profile");
    return given ? profile_stages(*given).stages : suited(chemistry.absorption_limit_h);
}

const Schema& charge_profile_schema() {
    static const Schema schema{
        "ChargeProfile",
        "Stages of a charger or charge controller: absorption voltage until the tail current or a time limit, then "
        "float.",
        {
            choice("chemistry", {"lead_acid", "lithium"}, "lead_acid", own_choice(), "what the profile is meant for"),
            choice("ready_made", {"none", "agm", "lithium", "converter"}, "none", own_choice(),
                   "a ready-made profile in place of the chemistry and the numbers: agm (14.4 V for up to 5 h, then "
                   "13.5 V), lithium (14.4 V for up to 1 h, then 13.5 V), converter (an old mains converter: 13.65 V "
                   "throughout); common practice, no source"),
            number("absorption_v", "V", Variation::fixed, {12.5, 15.5}, 14.4, common_practice(),
                   "voltage held at the battery terminals until it is full"),
            number("float_v", "V", Variation::fixed, {12.5, 15}, 13.5, common_practice(), "voltage held afterwards"),
            number("absorption_limit_h", "h", Variation::fixed, {0, 24}, 5.0, from_memory("an AGM needs 4.5 to 5.3 h"),
                   "longest absorption in a day"),
            number("tail_current_c_rate", "1/h", Variation::fixed, {0.001, 0.1}, 0.01, common_practice("C/100"),
                   "the battery counts as full when its current falls below this share of its capacity"),
            number("compensation_mv_per_k", "mV/K", Variation::fixed, {-60, 0}, 0.0,
                   own_choice("none: many chargers have no sensor at the battery"),
                   "change of both voltages for each kelvin that the battery is above 25 degC, from -20 to 50 degC; "
                   "lead-acid wants about -18 (-3 a cell), lithium none"),
        },
        [](const Configuration& r) {
            check_ready_made(r);
            const bool lithium = r.text("ready_made") == "lithium" ||
                                 (r.text("ready_made") == "none" && r.text("chemistry") == "lithium");
            if (lithium && r.number("compensation_mv_per_k") != 0)
                throw InputError("ChargeProfile.compensation_mv_per_k = " +
                                 number_text(r.number("compensation_mv_per_k")) + " mV/K: must be 0 for lithium");
            if (!(r.number("absorption_v") >= r.number("float_v")))
                throw InputError({.path = "ChargeProfile.absorption_v",
                                  .value = number_text(r.number("absorption_v")),
                                  .unit = "V",
                                  .reason = "must not be below float_v = " + number_text(r.number("float_v")) + " V"});
        }};
    return schema;
}

}  // namespace ridethrough::charging
