// What the binders of all layers share. A function bound to Python takes and returns base::RecordPtr as it stands: in
// Python it is an instance of the class named by its schema. A Series is held by shared_ptr.
#pragma once

#include <cstring>
#include <new>

#include <pybind11/pybind11.h>
#include <pybind11/stl.h>

#include "ridethrough/base/record.hpp"

namespace py = pybind11;

void bind_arrays(py::module_& m);
void bind_base(py::module_& m);
void bind_clock(py::module_& m);
void bind_random(py::module_& m);
void bind_results(py::module_& m);
void bind_climate(py::module_& m);
void bind_ensemble(py::module_& m);
void bind_estimate(py::module_& m);
void bind_trip(py::module_& m);

namespace ridethrough::bindings {

// The Python object behind every configuration class.
struct RecordObject {
    base::RecordPtr record;

    // Python can hold an object whose construction failed (a traceback that prints `self`). pybind11 then allocates
    // without constructing: zeroed memory is a null pointer, which is refused here.
    static void* operator new(std::size_t size) { return std::memset(::operator new(size), 0, size); }
    static void* operator new(std::size_t, void* place) { return place; }
    static void operator delete(void* p) { ::operator delete(p); }

    const base::Record& get() const {
        if (!record) throw py::type_error("this configuration was never constructed");
        return *record;
    }
};

void bind_spread(py::module_& m);  // parts of bind_base
void bind_schema(py::module_& m);
void bind_record(py::module_& m);

const base::Schema& schema_named(const std::string& name);  // InputError with the nearest name
bool load_record(py::handle source, base::RecordPtr& out);  // false where `source` is not a Record
py::object to_python(const base::RecordPtr& record);        // None for a null pointer
py::object to_python(const base::Field& field, const base::Value& value);
// Values of the schema's fields; an InputError names the field that a Python object does not fit.
base::Values to_values(const base::Schema& schema, const py::dict& given);

}  // namespace ridethrough::bindings

namespace pybind11::detail {
template <>
struct type_caster<ridethrough::base::RecordPtr> {
    PYBIND11_TYPE_CASTER(ridethrough::base::RecordPtr, const_name("Record"));
    bool load(handle source, bool) { return ridethrough::bindings::load_record(source, value); }
    static handle cast(const ridethrough::base::RecordPtr& record, return_value_policy, handle) {
        return ridethrough::bindings::to_python(record).release();
    }
};
}  // namespace pybind11::detail
