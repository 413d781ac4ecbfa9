// Streams, draws and the elementary functions, for tests and for a reference model fed with the same draws.
#include <pybind11/numpy.h>

#include <map>
#include <string>

#include "checks.hpp"
#include "ridethrough/base/math.hpp"
#include "ridethrough/random/draws.hpp"
#include "ridethrough/random/purpose.hpp"
#include "ridethrough/random/stream.hpp"

namespace base = ridethrough::base;
namespace rnd = ridethrough::random;

namespace {

template <class T>
using Array = py::array_t<T, py::array::c_style | py::array::forcecast>;

template <class Out, class In, class F>
Array<Out> map_array(const Array<In>& in, F f) {
    Array<Out> out(std::vector<py::ssize_t>(in.shape(), in.shape() + in.ndim()));
    const In* from = in.data();
    Out* to = out.mutable_data();
    for (py::ssize_t i = 0; i < in.size(); ++i) to[i] = f(from[i]);
    return out;
}

template <class T>
using One = ridethrough::simd::Pack<T, 1>;

using Double = double (*)(double);
const std::map<std::string, Double> doubles = {
    {"exp", base::exp},
    {"expm1", base::expm1},
    {"log", base::log},
    {"log1p", base::log1p},
    {"sin", base::sin},
    {"cos", base::cos},
    {"acos", base::acos},
    {"asin", base::asin},
    {"inverse_normal", base::inverse_normal},
    {"normal_cdf", base::normal_cdf},
};
using Float = float (*)(float);
const std::map<std::string, Float> floats = {
    {"exp", [](float x) { return exp(One<float>(x)).v; }},
    {"expm1", [](float x) { return expm1(One<float>(x)).v; }},
    {"log", [](float x) { return log(One<float>(x)).v; }},
    {"log1p", [](float x) { return log1p(One<float>(x)).v; }},
    {"sin", [](float x) { return sin(One<float>(x)).v; }},
    {"cos", [](float x) { return cos(One<float>(x)).v; }},
    {"inverse_normal", [](float x) { return inverse_normal(One<float>(x)).v; }},
};

template <class T, class Table>
Array<T> evaluate(const Table& table, const std::string& name, const Array<T>& x) {
    const auto found = table.find(name);
    if (found == table.end()) {
        std::string known;
        for (const auto& entry : table) known += " " + entry.first;
        throw py::value_error("name = '" + name + "': allowed" + known);
    }
    return map_array<T>(x, found->second);
}

template <class T>
Array<T> power(const Array<T>& x, double y) {
    return map_array<T>(x, [y](T a) { return pow(One<T>(a), One<T>(static_cast<T>(y))).v; });
}

}  // namespace

void bind_draws(py::module_& m) {
    m.def(
        "seed_state",
        [](std::uint64_t seed, const std::string& purpose_name, std::uint64_t trial) {
            std::uint32_t key[8];
            rnd::SeedSequence(seed, rnd::purpose(purpose_name)).key_of(trial, key);
            std::uint64_t words[4];
            for (int i = 0; i < 4; ++i) words[i] = std::uint64_t{key[2 * i + 1]} << 32 | key[2 * i];
            return Array<std::uint64_t>(4, words);
        },
        py::arg("seed"), py::arg("purpose_name"), py::arg("trial"),
        "The stream's key: NumPy's SeedSequence(seed, spawn_key=(purpose_hash(purpose_name), trial)) as 4 words.");
    m.def(
        "stream_draws",
        [](std::uint64_t seed, const std::string& purpose_name, std::uint64_t trial, py::ssize_t n) {
            if (!(n >= 0)) throw py::value_error("n = " + std::to_string(n) + ": allowed 0 or more");
            Array<std::uint64_t> draws(n);
            rnd::Stream stream(seed, rnd::purpose(purpose_name), trial);
            for (py::ssize_t i = 0; i < n; ++i) draws.mutable_at(i) = stream.next();
            return draws;
        },
        py::arg("seed"), py::arg("purpose_name"), py::arg("trial"), py::arg("n"),
        "First n draws of a stream: numpy.random.PCG64 on the same SeedSequence gives the same.");
    m.def(
        "first_draws",
        [](std::uint64_t seed, const std::string& purpose_name, py::ssize_t trials) {
            if (!(trials >= 0)) throw py::value_error("trials = " + std::to_string(trials) + ": allowed 0 or more");
            Array<std::uint64_t> draws(trials);
            const rnd::SeedSequence key(seed, rnd::purpose(purpose_name));
            for (py::ssize_t i = 0; i < trials; ++i)
                draws.mutable_at(i) = rnd::Stream(key, static_cast<std::uint64_t>(i)).next();
            return draws;
        },
        py::arg("seed"), py::arg("purpose_name"), py::arg("trials"), "First draw of each of the trials 0, 1, 2, ...");
    m.def(
        "normals", [](const Array<std::uint64_t>& draws) { return map_array<double>(draws, rnd::normal); },
        py::arg("draws"), "Standard normal of each draw, from its high half.");
    m.def(
        "uniforms", [](const Array<std::uint64_t>& draws) { return map_array<double>(draws, rnd::uniform); },
        py::arg("draws"), "Uniform in (0, 1) of each draw, from its low half.");
    m.def(
        "poisson_counts",
        [](const Array<double>& u, double mean_count, int max_count) {
            return map_array<int>(u, [=](double x) { return rnd::count_of(x, mean_count, max_count); });
        },
        py::arg("u"), py::arg("mean_count"), py::arg("max_count"),
        "Poisson counts by inverse distribution function, cut at max_count.");
    m.def(
        "inverse_normal", [](const Array<double>& u) { return map_array<double>(u, Double{base::inverse_normal}); },
        py::arg("x"), "Inverse of the standard normal distribution function.");
    m.def(
        "math_double",
        [](const std::string& name, const Array<double>& x) { return evaluate<double>(doubles, name, x); },
        py::arg("name"), py::arg("x"), "The project's own double function of that name, for tests.");
    m.def(
        "math_float", [](const std::string& name, const Array<float>& x) { return evaluate<float>(floats, name, x); },
        py::arg("name"), py::arg("x"), "The project's own float function of that name, for tests.");
    m.def("pow_double", &power<double>, py::arg("x"), py::arg("y"), "x to the power y, x > 0, for tests.");
    m.def("pow_float", &power<float>, py::arg("x"), py::arg("y"), "x to the power y, x > 0, for tests.");
}
