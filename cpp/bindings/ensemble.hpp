// How a running ensemble listens to Python.
#pragma once

#include <pybind11/pybind11.h>

#include <cstdint>
#include <exception>
#include <string>
#include <utility>

#include "ridethrough/engine/trial_batch.hpp"

namespace ridethrough::bindings {

inline engine::Precision precision_of(const std::string& option) {
    if (option == "double") return engine::Precision::double_;
    if (option == "single") return engine::Precision::single_;
    throw base::InputError({.path = "precision", .value = "\"" + option + "\"", .allowed = "\"single\", \"double\""});
}

// An ensemble::Poll for a caller that has released the GIL: it looks for signals (Ctrl-C) and tells progress(done);
// where that returns False the run stops and keeps what is finished. An exception stops it too, and is kept until the
// caller holds the GIL again and calls rethrow(). Make and destroy it with the GIL held; pass it with std::ref.
class PythonPoll {
  public:
    explicit PythonPoll(pybind11::object progress) : progress_(std::move(progress)) {}

    bool operator()(std::int64_t done) {
        const pybind11::gil_scoped_acquire gil;
        if (kept_) return false;  // still waiting for the workers
        try {
            if (PyErr_CheckSignals() != 0) throw pybind11::error_already_set();
            return progress_.is_none() || progress_(done).ptr() != Py_False;
        } catch (...) {
            kept_ = std::current_exception();
            return false;
        }
    }

    void rethrow() {
        if (kept_) std::rethrow_exception(std::exchange(kept_, nullptr));
    }
    // The kept exception as an object, None where there is none: for a caller that hands out what was finished with it.
    pybind11::object raised() {
        try {
            rethrow();
        } catch (pybind11::error_already_set& e) {
            return e.value();
        }
        return pybind11::none();
    }

  private:
    pybind11::object progress_;
    std::exception_ptr kept_;
};

}  // namespace ridethrough::bindings
