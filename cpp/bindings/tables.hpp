// Tables of numbers that come from NumPy.
#pragma once

#include <pybind11/numpy.h>

#include <string>

#include "ridethrough/base/arrays.hpp"
#include "ridethrough/base/text.hpp"

namespace ridethrough::bindings {

template <class T>
using Numbers = pybind11::array_t<T, pybind11::array::c_style | pybind11::array::forcecast>;

template <class T>
base::Table<T> table_of(const char* path, const Numbers<T>& values) {
    if (values.ndim() != 2)
        throw base::InputError({.path = path, .reason = std::to_string(values.ndim()) + " dimensions", .allowed = "2"});
    return Eigen::Map<const base::Table<T>>(values.data(), values.shape(0), values.shape(1));
}

}  // namespace ridethrough::bindings
