// The parts of bind_climate, and arrays out of vectors.
#pragma once

#include <pybind11/numpy.h>

#include <algorithm>
#include <span>
#include <vector>

#include "bindings.hpp"

namespace ridethrough::bindings {

using Numbers = py::array_t<double, py::array::c_style | py::array::forcecast>;

inline Numbers to_array(std::span<const double> values) {
    Numbers out(static_cast<py::ssize_t>(values.size()));
    std::copy(values.begin(), values.end(), out.mutable_data());
    return out;
}
inline std::vector<double> to_vector(const Numbers& array) { return {array.data(), array.data() + array.size()}; }

// One value of `f` for each element.
template <class F>
Numbers map(const Numbers& x, F f) {
    Numbers out(std::vector<py::ssize_t>(x.shape(), x.shape() + x.ndim()));
    for (py::ssize_t i = 0; i < x.size(); ++i) out.mutable_data()[i] = f(x.data()[i]);
    return out;
}

void bind_sun(py::module_& m);
void bind_hourly_series(py::module_& m);

}  // namespace ridethrough::bindings
