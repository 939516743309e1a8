#include "engine/io/scene_file.h"

#include "engine/io/climber_file.h"
#include "engine/io/hold_file.h"
#include "engine/io/scene_checks.h"
#include "engine/io/scene_parts.h"
#include "engine/io/text_file.h"
#include "engine/io/toml_reader.h"
#include "engine/move/goals.h"

#include <algorithm>

namespace steepwright::io {

namespace {

void append(Findings& findings, Findings more) {
  findings.insert(findings.end(), std::make_move_iterator(more.begin()), std::make_move_iterator(more.end()));
}

/// Reads one scene, stage by stage.
class SceneReader {
 public:
  SceneReader(const Document& document, std::filesystem::path folder, const SceneOptions& options)
      : root_(document), folder_(std::move(folder)), options_(options) {
    loaded_.source.file = document.file;
  }

  Result<LoadedScene> run() {
    read_references();
    if (!has_errors(findings_)) {
      check_holds(root_.entries("hold"), loaded_.scene.wall, loaded_.scene.holds, findings_);
    }
    if (has_errors(findings_)) {
      tidy(findings_);
      return tl::unexpected<Findings>(std::move(findings_));
    }
    move::place_holds(loaded_.scene);
    tidy(findings_);
    loaded_.warnings = std::move(findings_);
    return std::move(loaded_);
  }

 private:
  void read_references() {
    move::Scene& scene = loaded_.scene;
    scene.name = *root_.text("name");
    loaded_.inventory = std::make_shared<const Inventory>(read_inventory());
    read_climber_of_scene();
    scene.wall = read_wall(*root_.entry("wall"), findings_);
    scene.holds = read_holds(root_.entries("hold"), scene.wall, *loaded_.inventory, findings_);
    scene.moves = read_moves(root_.entries("move"), scene, findings_);
  }

  Inventory read_inventory() {
    loaded_.source.inventory_file = *root_.text("inventory_file");
    const auto found = load_reference(loaded_.source.inventory_file, folder_, "models/holds");
    if (!found) {
      report("inventory_file", found.error());
      return {};
    }
    auto inventory = parse_inventory(found->text, found->name, found->folder);
    if (!inventory) {
      append(findings_, std::move(inventory.error()));
      return {};
    }
    append(findings_, std::move(inventory->warnings));
    loaded_.inventory_folder = found->folder;
    return std::move(inventory->inventory);
  }

  void read_climber_of_scene() {
    const bool has_file = root_.has("climber_file");
    if (has_file == root_.has("climber")) {
      findings_.push_back(root_.error(has_file ? "climber_file" : "",
                                      has_file ? "goes not with [climber]: keep one of them" : "needs a climber",
                                      has_file ? "" : "add climber_file = \"...\" or [climber]"));
      return;
    }
    if (options_.climber_file) {
      loaded_.source.climber_file = options_.climber_file->string();
      return take(load_climber(*options_.climber_file));
    }
    if (!has_file) {
      loaded_.scene.climber = read_climber(*root_.entry("climber"), findings_);
      return;
    }
    loaded_.source.climber_file = *root_.text("climber_file");
    const auto found = load_reference(loaded_.source.climber_file, folder_, "models/climbers");
    if (!found) return report("climber_file", found.error());
    take(parse_climber(found->text, found->name));
  }

  void take(Result<LoadedClimber> climber) {
    if (!climber) return append(findings_, std::move(climber.error()));
    loaded_.scene.climber = climber->climber;
    append(findings_, std::move(climber->warnings));
  }

  /// A fault in following a reference, at the key that has it.
  void report(std::string_view key, const Findings& faults) {
    for (const Finding& fault : faults) findings_.push_back(root_.error(key, fault.message, fault.remedy));
  }

  Entry root_;
  std::filesystem::path folder_;
  const SceneOptions& options_;
  LoadedScene loaded_;
  Findings findings_;
};

}  // namespace

Result<LoadedScene> parse_scene(std::string_view text, const std::string& file, const std::filesystem::path& folder,
                                const SceneOptions& options) {
  const Result<Document> document = parse_document(text, file, FileKind::kScene);
  if (!document) return tl::unexpected<Findings>(document.error());
  Findings findings = check_form(*document);
  if (has_errors(findings)) return tl::unexpected<Findings>(std::move(findings));
  return SceneReader(*document, folder, options).run();
}

Result<LoadedScene> load_scene(const std::filesystem::path& path, const SceneOptions& options) {
  const Result<std::string> text = load_text(path);
  if (!text) return tl::unexpected<Findings>(text.error());
  const std::filesystem::path folder = find_folder(path);
  return parse_scene(*text, path.string(), folder, options);
}

Result<LoadedScene> load_default_scene(const SceneOptions& options) {
  const auto text = embedded_file(kDefaultScene);
  if (!text) return failure("this program was built without its default scene");
  return parse_scene(*text, std::string(kDefaultScene), {}, options);
}

}  // namespace steepwright::io
