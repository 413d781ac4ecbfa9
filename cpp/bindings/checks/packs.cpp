// Packs of trials and the kernel's instruction sets.
#include "checks.hpp"
#include "ridethrough/engine/trial_batch.hpp"

namespace {
using namespace ridethrough;
using bindings::precision_of;

// The engine's halves, to be timed: see tests/bench/peers.py.
class Packs {
  public:
    Packs(const std::shared_ptr<const trip::CompiledTrip>& compiled, std::int64_t trials, std::uint64_t seed,
          const std::string& precision, const std::string& instruction_set) {
        engine::SeriesWanted wanted{};
        wanted[engine::kSeriesSoc] = true;  // as `simulate` wants it
        for (std::int64_t first = 0; first < trials;) {
            packs_.push_back(engine::make_runner(compiled, seed, precision_of(precision),
                                                 engine::instruction_set_named(instruction_set), wanted));
            trials_.emplace_back();
            for (; static_cast<int>(trials_.back().size()) < packs_.back()->lanes() && first < trials; ++first)
                trials_.back().push_back(first);
        }
    }
    void draw() {
        for (std::size_t i = 0; i < packs_.size(); ++i) packs_[i]->draw(trials_[i]);
    }
    std::int64_t run_drawn() {
        std::int64_t cutouts = 0;
        for (std::size_t i = 0; i < packs_.size(); ++i) {
            packs_[i]->run_drawn(nullptr);
            for (int lane = 0; lane < static_cast<int>(trials_[i].size()); ++lane)
                cutouts += packs_[i]->column(engine::kCutoutCause, lane) > 0;
        }
        return cutouts;
    }

  private:
    std::vector<std::unique_ptr<engine::PackRunner>> packs_;
    std::vector<std::vector<std::int64_t>> trials_;
};

}  // namespace

void bind_packs(py::module_& m) {
    py::class_<Packs>(m, "Packs", "Trials whose draws are kept, so that draws and kernel can be timed apart.")
        .def(py::init<const std::shared_ptr<const trip::CompiledTrip>&, std::int64_t, std::uint64_t, const std::string&,
                      const std::string&>(),
             py::arg("compiled"), py::arg("trials"), py::arg("seed"), py::kw_only(), py::arg("precision") = "double",
             py::arg("instruction_set") = "")
        .def("draw", &Packs::draw)
        .def("run_drawn", &Packs::run_drawn, "The kernel on what was drawn last; gives how many trials cut out.");
    m.def(
        "instruction_sets",
        [] {
            std::vector<std::string> names;
            for (const engine::InstructionSet& l : engine::instruction_sets()) names.emplace_back(l.name);
            return names;
        },
        "Instruction sets of the kernel that run here, the widest last. All give the same bits.");
}
