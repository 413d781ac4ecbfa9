// Where a default comes from, and what its readers see of that.
#pragma once

#include <string>
#include <string_view>
#include <utility>

namespace ridethrough::config {

// published: a citation is given; practice: common practice, no source; unverified: from memory; assumption: our own
// choice, a fit or a worked-out number included.
enum class Provenance { published, practice, unverified, assumption };
std::string_view name_of(Provenance provenance);

struct Source {
    Provenance provenance;
    std::string note = {};  // the citation of what is published, else a remark
    bool is_weak = false;   // weak even for its kind

    std::string text() const;  // "from memory, weak: 100, 200 or 300 W"
};

// "Bendt et al. 1981": with its year.
inline Source published(std::string citation) { return {Provenance::published, std::move(citation)}; }
inline Source common_practice(std::string note = {}) { return {Provenance::practice, std::move(note)}; }
inline Source from_memory(std::string note = {}) { return {Provenance::unverified, std::move(note)}; }
inline Source own_choice(std::string note = {}) { return {Provenance::assumption, std::move(note)}; }
inline Source weak(Source source) {
    source.is_weak = true;
    return source;
}

}  // namespace ridethrough::config
