// Toy batteries with known answers, so that Python can test the machinery every simulation runs on.
#include "ensemble/walk.hpp"

#include <pybind11/numpy.h>

#include <functional>
#include <map>
#include <string>
#include <utility>

#include "checks.hpp"
#include "ridethrough/stats/interval.hpp"

namespace {

namespace ensemble = ridethrough::ensemble;
using ridethrough::base::InputError;
using ridethrough::bindings::PythonPoll;

// Sets the named members from keywords; the days of both plans are a whole number.
template <class Plan>
Plan read(const std::map<std::string, double Plan::*>& members, const py::kwargs& given) {
    Plan plan;
    for (const std::pair<py::handle, py::handle> item : given) {
        const auto name = item.first.cast<std::string>();
        const py::handle value = item.second;
        if (name == "days")
            plan.days = value.cast<std::int32_t>();
        else if (const auto found = members.find(name); found != members.end())
            plan.*(found->second) = value.cast<double>();
        else
            throw InputError("walk_risk: no parameter '" + name + "'");
    }
    return plan;
}

template <class T, class Stored>
py::array_t<T> copied(const std::vector<Stored>& column, std::int64_t rows) {
    py::array_t<T> out(static_cast<py::ssize_t>(rows));
    for (std::int64_t i = 0; i < rows; ++i) out.mutable_at(i) = static_cast<T>(column[static_cast<std::size_t>(i)]);
    return out;
}

template <class Plan>
py::dict risk(const Plan& plan, std::int64_t trials, std::uint64_t seed, const ensemble::RunOptions& options,
              const py::object& progress) {
    if (!(trials > 0)) throw InputError("trials = " + std::to_string(trials) + ": allowed 1 or more");
    ensemble::WalkColumns columns(trials);
    ensemble::RunResult result;
    PythonPoll poll(progress);
    {
        const py::gil_scoped_release released;  // the plan is a C++ copy and the columns are nobody else's
        result = ensemble::walk(plan, seed, options, columns, std::ref(poll));
    }
    poll.rethrow();

    const std::int64_t finished = result.finished_prefix;
    std::int64_t events = 0;
    for (std::int64_t t = 0; t < finished; ++t) events += columns.ruined[static_cast<std::size_t>(t)];
    py::dict out;
    out["estimate"] = finished > 0 ? py::cast(ridethrough::stats::wilson(events, finished)) : py::none();
    out["ruined"] = copied<bool>(columns.ruined, finished);
    out["days"] = copied<std::int32_t>(columns.days, finished);
    out["cancelled"] = result.cancelled;
    return out;
}

py::dict walk_risk(const std::string& kind, std::int64_t trials, std::uint64_t seed, int threads,
                   std::int64_t trials_per_task, const py::object& progress, const py::kwargs& plan) {
    const ensemble::RunOptions options{threads, trials_per_task};
    if (kind == "lattice") {
        using Walk = ensemble::LatticeWalk;
        return risk(read<Walk>({{"start", &Walk::start},
                                {"cap", &Walk::cap},
                                {"target", &Walk::target},
                                {"up", &Walk::up},
                                {"down", &Walk::down},
                                {"p_up_after_up", &Walk::p_up_after_up},
                                {"p_up_after_down", &Walk::p_up_after_down}},
                               plan),
                    trials, seed, options, progress);
    }
    if (kind == "gaussian") {
        using Walk = ensemble::GaussianWalk;
        return risk(
            read<Walk>({{"start", &Walk::start}, {"cap", &Walk::cap}, {"mean", &Walk::mean}, {"sd", &Walk::sd}}, plan),
            trials, seed, options, progress);
    }
    throw InputError("kind = '" + kind + "': allowed 'lattice' or 'gaussian'");
}

}  // namespace

void bind_walks(py::module_& m) {
    m.def("walk_risk", &walk_risk, py::arg("kind"), py::kw_only(), py::arg("trials"), py::arg("seed") = 0,
          py::arg("threads") = 0, py::arg("trials_per_task") = 256, py::arg("progress") = py::none(),
          "Chance that a toy battery runs empty, for which exact answers exist: a test of the machinery.\n\n"
          "kind 'lattice' takes start, cap, target, up, down, p_up_after_up, p_up_after_down, days; 'gaussian' takes\n"
          "start, cap, mean, sd, days. Gives a dict: estimate, ruined and days (a row per finished trial), cancelled.");
}
