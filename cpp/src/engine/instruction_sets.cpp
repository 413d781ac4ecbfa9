#include "ridethrough/engine/instruction_sets.hpp"

#include <cstdlib>

#include "ridethrough/config/configuration.hpp"

namespace ridethrough::engine {

#define RIDETHROUGH_DECLARE(set)   \
    namespace set {                \
    Kernel<double> kernel(double); \
    Kernel<float> kernel(float);   \
    }
RIDETHROUGH_DECLARE(reference)
RIDETHROUGH_DECLARE(lanes)
RIDETHROUGH_DECLARE(v2)
RIDETHROUGH_DECLARE(v3)
RIDETHROUGH_DECLARE(v4)
#undef RIDETHROUGH_DECLARE

namespace {

#if defined(__x86_64__) && defined(__clang__)
// Clang has long had no names for the levels of x86-64. Processors that have these have what else belongs to one.
#define RIDETHROUGH_HAS_V2 __builtin_cpu_supports("sse4.2") && __builtin_cpu_supports("popcnt")
#define RIDETHROUGH_HAS_V3 \
    __builtin_cpu_supports("avx2") && __builtin_cpu_supports("fma") && __builtin_cpu_supports("bmi2")
#define RIDETHROUGH_HAS_V4                                                                                           \
    __builtin_cpu_supports("avx512f") && __builtin_cpu_supports("avx512bw") && __builtin_cpu_supports("avx512cd") && \
        __builtin_cpu_supports("avx512dq") && __builtin_cpu_supports("avx512vl")
#elif defined(__x86_64__)
#define RIDETHROUGH_HAS_V2 __builtin_cpu_supports("x86-64-v2")
#define RIDETHROUGH_HAS_V3 __builtin_cpu_supports("x86-64-v3")
#define RIDETHROUGH_HAS_V4 __builtin_cpu_supports("x86-64-v4")
#endif

std::vector<InstructionSet> instruction_sets_here() {
    std::vector<InstructionSet> found{{"reference", reference::kernel(0.0), reference::kernel(0.0f)}};
#if defined(__x86_64__)
#if !defined(RIDETHROUGH_FEW_KERNELS)
    if (RIDETHROUGH_HAS_V2) found.push_back({"x86-64-v2", v2::kernel(0.0), v2::kernel(0.0f)});
#endif
    if (RIDETHROUGH_HAS_V3) found.push_back({"x86-64-v3", v3::kernel(0.0), v3::kernel(0.0f)});
#if !defined(RIDETHROUGH_FEW_KERNELS)
    if (RIDETHROUGH_HAS_V4) found.push_back({"x86-64-v4", v4::kernel(0.0), v4::kernel(0.0f)});
#endif
#else
    found.push_back({"lanes", lanes::kernel(0.0), lanes::kernel(0.0f)});
#endif
    return found;
}

}  // namespace

const std::vector<InstructionSet>& instruction_sets() {
    static const std::vector<InstructionSet> here = instruction_sets_here();
    return here;
}

const InstructionSet& instruction_set_named(const std::string& name) {
    const char* asked = name.empty() ? std::getenv("RIDETHROUGH_INSTRUCTION_SET") : name.c_str();
    if (const char* before = std::getenv("RIDETHROUGH_LEVEL"); name.empty() && !asked && before && *before)
        throw base::InputError("RIDETHROUGH_LEVEL: now RIDETHROUGH_INSTRUCTION_SET");
    if (!asked || !*asked) return instruction_sets().back();
    std::string known;
    for (const InstructionSet& set : instruction_sets()) {
        if (asked == std::string(set.name)) return set;
        known += std::string(known.empty() ? "\"" : ", \"") + set.name + "\"";
    }
    throw base::InputError({.path = name.empty() ? "RIDETHROUGH_INSTRUCTION_SET" : "instruction_set",
                            .value = std::string("\"") + asked + "\"",
                            .allowed = "on this processor " + known});
}

}  // namespace ridethrough::engine
