// The kernel's instruction sets on this processor. All give the same bits.
#pragma once

#include <string>
#include <vector>

#include "ridethrough/engine/kernel.hpp"

namespace ridethrough::engine {

struct InstructionSet {
    const char* name;  // "reference" (one lane), "x86-64-v2", "x86-64-v3", "x86-64-v4"; "lanes" on other processors
    Kernel<double> double_;
    Kernel<float> single;

    template <class T>
    const Kernel<T>& kernel() const {
        if constexpr (sizeof(T) == sizeof(double))
            return double_;
        else
            return single;
    }
};

// Those that run here, the widest last.
const std::vector<InstructionSet>& instruction_sets();
// The one of that name; of no name, what the environment's RIDETHROUGH_INSTRUCTION_SET says, else the widest.
// InputError where the processor has no such instruction set.
const InstructionSet& instruction_set_named(const std::string& name);

}  // namespace ridethrough::engine
