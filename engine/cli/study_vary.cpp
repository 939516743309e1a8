#include "engine/cli/study_vary.h"

#include "engine/cli/hold_inventory.h"
#include "engine/cli/terminal.h"

#include <fmt/format.h>

#include <array>
#include <charconv>
#include <cmath>

namespace steepwright::cli {

namespace {

std::optional<double> read_number(std::string_view text) {
  double value = 0.0;
  const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), value);
  if (error != std::errc() || end != text.data() + text.size() || !std::isfinite(value)) return std::nullopt;
  return value;
}

/// "20:50:2" into its numbers; false when one is none.
bool read_range(std::string_view text, Vary& vary) {
  const std::array<std::optional<double>*, 3> fields = {&vary.lower, &vary.upper, &vary.step};
  for (std::optional<double>* field : fields) {
    const std::size_t colon = text.find(':');
    *field = read_number(text.substr(0, colon));
    if (!*field) return false;
    if (colon == std::string_view::npos) return vary.upper.has_value() && *vary.lower < *vary.upper;
    text.remove_prefix(colon + 1);
  }
  return false;
}

}  // namespace

std::optional<Vary> read_vary(const std::string& text, const move::Scene& scene) {
  const std::size_t equals = text.find('=');
  const std::string what = text.substr(0, equals);
  const std::size_t at = what.find('@');
  const std::string kind_name = what.substr(0, at);
  const std::optional<study::KnobKind> kind = study::knob_kind_from_name(kind_name);
  if (!kind) {
    complain(fmt::format("--vary: '{}' cannot be varied; {}", kind_name,
                         suggest_name(kind_name, study::list_knob_kinds(), "what can be varied")));
    return std::nullopt;
  }
  const Result<study::Knob> knob = study::find_knob(scene, *kind, at == std::string::npos ? "" : what.substr(at + 1));
  if (!knob) {
    complain(fmt::format("--vary: {}; {}", knob.error().front().message, knob.error().front().remedy));
    return std::nullopt;
  }
  Vary vary;
  vary.knob = *knob;
  if (equals == std::string::npos) return vary;
  if (!read_range(std::string_view(text).substr(equals + 1), vary) || (vary.step && *vary.step <= 0.0)) {
    complain(fmt::format("--vary: '{}' is no range: write {}=FROM:TO:STEP with FROM below TO and STEP above 0",
                         text.substr(equals + 1), what));
    return std::nullopt;
  }
  return vary;
}

}  // namespace steepwright::cli
