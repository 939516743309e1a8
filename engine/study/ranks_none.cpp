// Without MPI there is one rank.
#ifndef STEEPWRIGHT_HAS_MPI

#include "engine/study/ranks.h"

namespace steepwright::study {

struct Ranks::Storage {};

Ranks::Ranks() = default;
Ranks::~Ranks() = default;
int Ranks::rank() const { return 0; }
int Ranks::count() const { return 1; }
HandOutEnd Ranks::run(const HandOut& hand_out) { return run_on_threads(hand_out); }
std::optional<std::string> Ranks::share(const std::string& text) { return text; }

}  // namespace steepwright::study

#endif
