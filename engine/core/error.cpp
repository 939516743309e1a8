#include "engine/core/error.h"

#include <algorithm>
#include <utility>

namespace steepwright {

std::string to_text(const Finding& finding) {
  std::string text;
  if (!finding.place.file.empty()) {
    text += finding.place.file + ":";
    if (finding.place.line > 0) {
      text += std::to_string(finding.place.line) + ":" + std::to_string(finding.place.column) + ":";
    }
    text += " ";
  }
  text += finding.severity == Severity::kError ? "error: " : "warning: ";
  if (!finding.key.empty()) text += finding.key + ": ";
  text += finding.message;
  if (!finding.remedy.empty()) text += "; " + finding.remedy;
  return text;
}

bool has_errors(const Findings& findings) {
  return std::any_of(findings.begin(), findings.end(),
                     [](const Finding& finding) { return finding.severity == Severity::kError; });
}

tl::unexpected<Findings> failure(std::string message, std::string remedy) {
  Finding finding;
  finding.message = std::move(message);
  finding.remedy = std::move(remedy);
  return tl::unexpected<Findings>(Findings{std::move(finding)});
}

}  // namespace steepwright
