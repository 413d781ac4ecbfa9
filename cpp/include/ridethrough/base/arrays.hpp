// Numbers of many trials, as they are handed to NumPy without a copy.
#pragma once

#include <Eigen/Core>

namespace ridethrough::base {

template <class T>
using Column = Eigen::Array<T, Eigen::Dynamic, 1>;
template <class T>
using Table = Eigen::Array<T, Eigen::Dynamic, Eigen::Dynamic, Eigen::RowMajor>;

}  // namespace ridethrough::base
