#include "viewer/store/settings.h"

#include "engine/io/atomic_file.h"
#include "engine/io/text.h"
#include "engine/io/text_file.h"

#include <fmt/format.h>
#include <toml++/toml.h>

#include <algorithm>

namespace steepwright::viewer {

namespace {

constexpr const char* kFileName = "viewer.toml";
constexpr double kLeastTextScale = 0.7;
constexpr double kMostTextScale = 2.0;

}  // namespace

void remember_file(const std::filesystem::path& file, Settings& settings) {
  std::error_code error;
  const std::filesystem::path absolute = std::filesystem::absolute(file, error).lexically_normal();
  if (error) return;
  std::erase(settings.recent_files, absolute);
  settings.recent_files.insert(settings.recent_files.begin(), absolute);
  if (settings.recent_files.size() > kMostRecentFiles) settings.recent_files.resize(kMostRecentFiles);
}

std::string write_settings(const Settings& settings) {
  std::string text = "# What the window of Steepwright remembers.\n";
  text += fmt::format("light_theme = {}\n", settings.is_light);
  text += fmt::format("cautions_seen = {}\n", settings.has_seen_cautions);
  text += fmt::format("smooth_edges = {}\n", settings.has_smooth_edges);
  text += fmt::format("shadows = {}\n", settings.has_shadows);
  text += fmt::format("grid = {}\n", settings.has_grid);
  text += fmt::format("reach = {}\n", settings.has_reach);
  text += fmt::format("text_scale = {}\n", io::to_decimal(settings.text_scale));
  text += "recent_files = [\n";
  for (const auto& file : settings.recent_files) text += "  " + io::to_toml_string(file.string()) + ",\n";
  return text + "]\n";
}

Settings parse_settings(std::string_view text) {
  Settings settings;
  toml::table table;
  try {
    table = toml::parse(text);
  } catch (const toml::parse_error&) {
    return settings;
  }
  const auto read = [&table](const char* key, bool& value) { value = table[key].value_exact<bool>().value_or(value); };
  read("light_theme", settings.is_light);
  read("cautions_seen", settings.has_seen_cautions);
  read("smooth_edges", settings.has_smooth_edges);
  read("shadows", settings.has_shadows);
  read("grid", settings.has_grid);
  read("reach", settings.has_reach);
  const double scale = table["text_scale"].value_or(settings.text_scale);
  if (scale >= kLeastTextScale && scale <= kMostTextScale) settings.text_scale = scale;
  if (const toml::array* files = table["recent_files"].as_array()) {
    for (const toml::node& file : *files) {
      const auto name = file.value<std::string>();
      if (name && !name->empty() && settings.recent_files.size() < kMostRecentFiles)
        settings.recent_files.emplace_back(*name);
    }
  }
  return settings;
}

Settings load_settings(const std::filesystem::path& config_folder, FirstLook look) {
  const auto text = io::load_text(config_folder / kFileName);
  if (!text || !io::scan_text(*text).fault.empty()) {
    Settings settings;
    settings.has_shadows = settings.has_smooth_edges = look == FirstLook::kFull;
    return settings;
  }
  return parse_settings(*text);
}

Result<void> save_settings(const std::filesystem::path& config_folder, const Settings& settings) {
  std::error_code error;
  std::filesystem::create_directories(config_folder, error);
  if (error) {
    return failure(fmt::format("the settings folder {} cannot be made: {}", io::in_quotes(config_folder.string()),
                               error.message()),
                   "set XDG_CONFIG_HOME to a folder that may be written");
  }
  return io::save_atomically(config_folder / kFileName, write_settings(settings));
}

}  // namespace steepwright::viewer
