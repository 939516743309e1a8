#include "viewer/document/state_check.h"

#include "engine/io/climber_file.h"
#include "engine/io/hold_file.h"
#include "engine/io/scene_checks.h"
#include "engine/io/scene_parts.h"
#include "engine/io/scene_writer.h"
#include "engine/io/toml_reader.h"

#include <regex>

namespace steepwright::viewer {

namespace {

// Lines of a text that nobody sees would mislead.
Findings without_places(Findings findings) {
  static const std::regex kLine(R"( \(line \d+\)| in line \d+)");
  for (Finding& finding : findings) {
    finding.place = {};
    finding.message = std::regex_replace(finding.message, kLine, "");
  }
  return findings;
}

}  // namespace

Findings check_state(const SceneState& state) {
  const auto document = io::parse_document(io::write_scene(state.scene, state.source), "scene", io::FileKind::kScene);
  if (!document) return without_places(document.error());
  Findings findings = io::check_form(*document);
  if (has_errors(findings)) return without_places(std::move(findings));
  const io::Entry root(*document);
  if (const auto climber = root.entry("climber")) static_cast<void>(io::read_climber(*climber, findings));
  const wall::Wall wall = io::read_wall(*root.entry("wall"), findings);
  // For names and places; shapes are what the state has them to be.
  static_cast<void>(io::read_holds(root.entries("hold"), wall, io::Inventory{}, findings));
  static_cast<void>(io::read_moves(root.entries("move"), state.scene, findings));
  if (!has_errors(findings)) io::check_holds(root.entries("hold"), wall, state.scene.holds, findings);
  return without_places(std::move(findings));
}

}  // namespace steepwright::viewer
